package derive_test

import (
	"fmt"
	"slices"
	"strings"

	"asleft/rules/derive"
)

// maxWays bounds the ways in which missing facts can turn out that are looked at, as the package comment has it.
const maxWays = 4096

// report is what the oracle says about an install, one line for each thing that is compared.
func (a *asp) report(w *world, in *install, x *answer) []string {
	f := findings{lines: a.settings(in, x)}
	f.open = slices.ContainsFunc(f.lines, func(s string) bool { return strings.HasSuffix(s, ": "+string(derive.Open)) })
	a.ofGroups(&f, in, x)
	a.ofRules(&f, x)
	for _, name := range x.unmet {
		if s := in.job.str("wish", name, "setting"); !ofPlan(s) || in.demands != nil {
			f.lines = append(f.lines, fmt.Sprintf("not met: %s = %s", s, canonical(s, in.job.str("wish", name, "value"))))
		}
	}
	missing := x.through(a)
	for _, fact := range sorted(missing) {
		if what := a.resting(in, x, missing[fact]); len(what) > 0 {
			f.lines = append(f.lines, fmt.Sprintf("missing %s for %s", fact, strings.Join(what, ", ")))
		}
	}
	f.lines = append(f.lines, "start: "+string(a.start(w, in, x, f.refused || x.refused, f.open)))
	slices.Sort(f.lines)
	return slices.Compact(f.lines)
}

// findings are lines, with what they say about remote start: refused for sure, or open.
type findings struct {
	lines         []string
	refused, open bool
}

// add notes a refusal or contradiction.
func (f *findings) add(line, scope string, sure bool) {
	f.lines = append(f.lines, line)
	if scope == "remote-start" || scope == "job" {
		f.refused, f.open = f.refused || sure, f.open || !sure
	}
}

// ofGroups are the refusals and contradictions of groups that are left nothing.
func (a *asp) ofGroups(f *findings, in *install, x *answer) {
	for u, d := range x.units {
		g := a.groups[u.group]
		if ofPlan(g.settings[0]) && in.demands == nil {
			continue
		}
		if d.emptied >= 0 || d.clash {
			line, scope := unmet(a.conflict(g, d), "sure")
			f.add(line, scope, true)
		}
		if len(d.risks) > 0 && g.profile != "" && !d.settled {
			line, scope := unmet(a.risks(g, d), "open")
			f.add(line, scope, false)
		}
	}
}

// ofRules are the refusals and cautions of rules that hold, or may hold.
func (a *asp) ofRules(f *findings, x *answer) {
	for i, t := range x.rules {
		if !t.holds && !t.unknown {
			continue
		}
		r, sure := a.rules[i].rule, t.holds && !t.assumed
		if r.refuse != "" {
			f.add(fmt.Sprintf("refusal %s of %s, %s", r.id, a.scope(i), surely[sure]), a.scope(i), sure)
		}
		if r.caution {
			f.lines = append(f.lines, "caution "+r.id)
		}
	}
}

var surely = map[bool]string{true: "sure", false: "open"}

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
		return "contradiction: " + strings.Join(rules, ", "), "job"
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

// resting is what rests on a missing fact and is listed: scopes, and settings that it still keeps open or that safety decided by
// assuming it.
func (a *asp) resting(in *install, x *answer, on map[string]string) []string {
	var out []string
	for what, why := range on {
		device, s, ofSetting := strings.Cut(what, " ")
		if ofSetting && device != "function" {
			if ofPlan(s) && in.demands == nil || why == "open" && !x.stillOpen(a, device, s) || x.unlisted(a, device, s) {
				continue
			}
		}
		out = append(out, what)
	}
	slices.Sort(out)
	return out
}

// unlisted reports whether a setting is that of a group that is not listed.
func (x *answer) unlisted(a *asp, device, s string) bool {
	for u, d := range x.units {
		if u.device == device && slices.Contains(a.groups[u.group].settings, s) {
			return a.groups[u.group].unlisted(d)
		}
	}
	return false
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
	missing := x.through(a)
	for _, f := range sorted(missing) {
		matters := false
		for what := range missing[f] {
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
			return kind == derive.Open && !a.groups[u.group].unlisted(d) && (in.demands != nil || !ofPlan(s))
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
func (a *asp) settle(second []atom, answers []*answer) {
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
func said(r *derive.Result, loose map[string]string) []string {
	var out []string
	for _, s := range r.Settings {
		out = append(out, saidSetting(s, loose[s.Key.String()]))
	}
	for _, f := range r.Refusals {
		if f.Unmet {
			out = append(out, fmt.Sprintf("refusal %s of %s, unmet, %s: %s", f.Rule, f.Scope, surely[!f.Open], blamed(f)))
			continue
		}
		out = append(out, fmt.Sprintf("refusal %s of %s, %s", f.Rule, f.Scope, surely[!f.Open]))
	}
	for _, f := range r.Contradictions {
		out = append(out, "contradiction: "+blamed(f))
	}
	for _, f := range r.Cautions {
		out = append(out, "caution "+f.Rule)
	}
	for _, n := range r.NotMet {
		out = append(out, "not met: "+n.Says)
	}
	for _, m := range r.Missing {
		out = append(out, fmt.Sprintf("missing %s for %s", m.Fact, strings.Join(slices.Sorted(slices.Values(m.Settles)), ", ")))
	}
	out = append(out, "start: "+string(r.Start))
	slices.Sort(out)
	return slices.Compact(out)
}

// blamed are the rules that a finding names.
func blamed(f derive.Finding) string {
	var ids []string
	for _, ref := range f.Rules {
		ids = append(ids, ref.Rule)
	}
	return strings.Join(ids, ", ")
}

func saidSetting(s derive.Setting, loose string) string {
	line := fmt.Sprintf("setting %s: %s", s.Key, s.Kind)
	switch {
	case s.Kind == derive.Open || s.Kind == derive.Impossible:
		return line
	case loose == "settled":
		return fmt.Sprintf("setting %s = %s settled", s.Key, s.Value)
	case loose == "open" && s.Kind == derive.NotApplicable:
		return line + " " + levels[s.Level]
	case loose == "open":
		return line + " " + levels[s.Level] + ": " + string(s.Value)
	}
	line += fmt.Sprintf(" = %s, %s", s.Value, levels[s.Level])
	if s.Option != "" {
		line += ", " + s.Option + ": " + s.Position
	}
	return line
}
