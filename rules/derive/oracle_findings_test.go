package derive_test

import (
	"fmt"
	"slices"
	"strings"

	"asleft/rules/derive"
)

// maxWays bounds the ways in which missing facts can turn out that are looked at, as the package comment has it.
const maxWays = 4096

// lines is what the oracle says about an install, one line for each thing that is compared.
func (a *asp) report(w *world, in *install, x *answer) []string {
	out := a.settings(in, x)
	var scopes []string // of refusals that are sure
	open := slices.ContainsFunc(out, func(s string) bool { return strings.HasSuffix(s, ": "+string(derive.Open)) })
	contradicted := false
	for u, d := range x.units {
		g := a.groups[u.group]
		if ofPlan(g.settings[0]) && in.demands == nil {
			continue
		}
		if d.emptied >= 0 || d.clash {
			line, scope := unmet(a.conflict(g, d), "sure")
			out, scopes = append(out, line), append(scopes, scope)
			contradicted = contradicted || scope == ""
		}
		if len(d.risks) > 0 && g.profile != "" && !d.settled {
			line, scope := unmet(a.risks(g, d), "open")
			out, open = append(out, line), open || scope == "remote-start" || scope == "job"
		}
	}
	for i, t := range x.rules {
		r, scope := a.rules[i].rule, a.scope(i)
		sure := map[bool]string{true: "sure", false: "open"}[t.holds && !t.assumed]
		if r.refuse != "" && (t.holds || t.unknown) {
			out = append(out, fmt.Sprintf("refusal %s of %s, %s", r.id, scope, sure))
			if sure == "sure" {
				scopes = append(scopes, scope)
			} else if scope == "remote-start" || scope == "job" {
				open = true
			}
		}
		if r.caution && (t.holds || t.unknown) {
			out = append(out, "caution "+r.id)
		}
	}
	for _, name := range x.unmet {
		if s := in.job.str("wish", name, "setting"); !ofPlan(s) || in.demands != nil {
			out = append(out, fmt.Sprintf("not met: %s = %s", s, canonical(s, in.job.str("wish", name, "value"))))
		}
	}
	for _, f := range sorted(x.missing) {
		if rests := a.resting(in, x, f); len(rests) > 0 {
			out = append(out, fmt.Sprintf("missing %s for %s", f, strings.Join(rests, ", ")))
		}
	}
	refused := x.refused || contradicted || slices.Contains(scopes, "remote-start") || slices.Contains(scopes, "job")
	out = append(out, "start: "+string(a.start(w, in, x, refused, open)))
	slices.Sort(out)
	return slices.Compact(out)
}

// unmet is the line of a group that is left nothing: the refusal that the first of its rules with a scope names, else a contradiction,
// or the whole job where nobody knows yet.
func unmet(list []says, sure string) (line, scope string) {
	var rules []string
	rule := ""
	for _, s := range list {
		rules = append(rules, s.rule)
		if scope == "" && s.scope != "" {
			rule, scope = s.rule, s.scope
		}
	}
	switch {
	case scope == "" && sure == "sure":
		return "contradiction: " + strings.Join(rules, ", "), ""
	case scope == "":
		scope = "job"
	}
	return fmt.Sprintf("refusal %s of %s, unmet, %s: %s", rule, scope, sure, strings.Join(rules, ", ")), scope
}

// risks are the rules of safety that may leave a group nothing, in the order of the walk.
func (a *asp) risks(g *group, d *decision) []says {
	var out []says
	for _, k := range d.risks {
		out = append(out, a.saying(g, k))
	}
	slices.SortStableFunc(out, func(x, y says) int { return strings.Compare(x.id, y.id) })
	return out
}

// scope is what a rule refuses.
func (a *asp) scope(i int) string {
	n := a.rules[i]
	if n.rule.refuse == "function" {
		return "function " + n.instance
	}
	return n.rule.refuse
}

// resting is what rests on a missing fact: scopes, and settings that it still keeps open or that safety decided by assuming it.
func (a *asp) resting(in *install, x *answer, fact string) []string {
	var out []string
	for what, why := range x.missing[fact] {
		device, s, ofSetting := strings.Cut(what, " ")
		if ofSetting && device != "function" {
			if ofPlan(s) && in.demands == nil || why == "open" && !x.stillOpen(a, device, s) {
				continue
			}
		}
		out = append(out, what)
	}
	slices.Sort(out)
	return out
}

// stillOpen reports whether the group of a setting is open and no way of turning out settles it.
func (x *answer) stillOpen(a *asp, device, s string) bool {
	for u, d := range x.units {
		if u.device == device && slices.Contains(a.groups[u.group].settings, s) {
			return d.open && !d.settled
		}
	}
	return false
}

// start is what all this says about remote start.
func (a *asp) start(w *world, in *install, x *answer, refused, open bool) derive.Outcome {
	switch {
	case in.job.str("start") != "on":
		return derive.NotWanted
	case refused:
		return derive.Refused
	case open:
		return derive.OutOpen
	}
	asked := map[string]bool{}
	if in.policied {
		for _, id := range w.policy.words("tests") {
			asked[id] = true
		}
	}
	for i, t := range x.rules {
		for _, id := range a.rules[i].rule.prove {
			asked[id] = asked[id] || t.holds
		}
	}
	done := in.job.words("proven")
	for k, test := range w.book.tests {
		instances := x.tests[k]
		if asked[test.id] {
			instances = a.of(w, in, test.each)
		}
		for _, instance := range instances {
			needed := asked[test.id] || test.critical && (test.setsOff == "remote-start" || test.setsOff == "job")
			if needed && !slices.Contains(done, test.id) && !slices.Contains(done, test.id+":"+instance) {
				return derive.ToBeProven
			}
		}
	}
	return derive.Proven
}

// of are the instances of a kind in one install.
func (a *asp) of(w *world, in *install, kind string) []string {
	switch kind {
	case "":
		return []string{""}
	case "circuit", "opening", "function", "remote":
		return in.job.keys(kind)
	}
	return a.names[kind]
}

// ways chooses the facts that are let turn out in any way: those on which something open rests. It reports false when nothing does or
// the ways are too many.
func (a *asp) ways(in *install, x *answer) bool {
	total := 1
	for _, f := range sorted(x.missing) {
		matters := false
		for what := range x.missing[f] {
			matters = matters || a.isOpen(in, x, what)
		}
		if !matters {
			continue
		}
		pattern, instance, text := a.book.factNamed(f)
		in.complete = append(in.complete, pattern+" "+instance)
		total = min(total*len(text.domain), maxWays+1)
	}
	for u, d := range x.units {
		if d.open {
			in.open = append(in.open, u)
		}
	}
	return len(in.complete) > 0 && total <= maxWays && !x.odd
}

// isOpen reports whether a setting has no value, or a refusal rests on an assumption or on what nobody knows.
func (a *asp) isOpen(in *install, x *answer, what string) bool {
	device, s, _ := strings.Cut(what, " ")
	for u, d := range x.units {
		if at := slices.Index(a.groups[u.group].settings, s); u.device == device && at >= 0 {
			kind, _ := d.kind(a.groups[u.group], at)
			return kind == derive.Open && (in.demands != nil || !ofPlan(s))
		}
	}
	for i, t := range x.rules {
		if a.rules[i].rule.refuse != "" && a.scope(i) == what && (t.unknown || t.assumed) {
			return true
		}
	}
	return false
}

// settle takes what comes out the same in all ways for decided.
func (a *asp) settle(second []atom, installs []*install, answers []*answer) {
	calm := map[int]bool{}
	for _, x := range second {
		switch x.name {
		case "calm":
			calm[x.number(0)] = true
		case "startrefused":
			answers[x.number(0)].refused = true
		}
	}
	for _, x := range second {
		if x.name != "ended" || !calm[x.number(0)] {
			continue
		}
		d := answers[x.number(0)].units[unit{x.text(1), x.number(2)}]
		d.settled, d.pick = true, x.number(3)
	}
}

// said is a result of the engine in the same lines; of settings of a group that missing facts keep open or settle less is said.
func said(in *install, r *derive.Result, loose map[string]string) []string {
	var out []string
	for _, s := range r.Settings {
		key := s.Key.Device + " " + s.Key.Setting
		line := fmt.Sprintf("setting %s: %s", key, s.Kind)
		switch {
		case s.Kind == derive.Open || s.Kind == derive.Impossible:
		case loose[key] == "settled":
			line = fmt.Sprintf("setting %s = %s settled", key, s.Value)
		case loose[key] == "open":
			line += " " + levels[s.Level]
			if s.Kind != derive.NotApplicable {
				line += ": " + string(s.Value)
			}
		default:
			line += fmt.Sprintf(" = %s, %s", s.Value, levels[s.Level])
			if s.Option != "" {
				line += ", " + s.Option + ": " + s.Position
			}
		}
		out = append(out, line)
	}
	rules := func(f derive.Finding) string {
		var ids []string
		for _, ref := range f.Rules {
			ids = append(ids, ref.Rule)
		}
		return strings.Join(ids, ", ")
	}
	for _, f := range r.Refusals {
		sure := map[bool]string{true: "open", false: "sure"}[f.Open]
		if f.Unmet {
			out = append(out, fmt.Sprintf("refusal %s of %s, unmet, %s: %s", f.Rule, f.Scope, sure, rules(f)))
			continue
		}
		out = append(out, fmt.Sprintf("refusal %s of %s, %s", f.Rule, f.Scope, sure))
	}
	for _, f := range r.Contradictions {
		out = append(out, "contradiction: "+rules(f))
	}
	for _, f := range r.Cautions {
		out = append(out, "caution "+f.Rule)
	}
	for _, n := range r.NotMet {
		out = append(out, "not met: "+n.Says)
	}
	for _, m := range r.Missing {
		var rests []string
		for _, s := range m.Settles {
			rests = append(rests, s)
		}
		slices.Sort(rests)
		out = append(out, fmt.Sprintf("missing %s for %s", m.Fact, strings.Join(rests, ", ")))
	}
	out = append(out, "start: "+string(r.Start))
	slices.Sort(out)
	return slices.Compact(out)
}
