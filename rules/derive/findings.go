package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// findings reports the rules that refuse or caution.
func (d *derivation) findings(r *Result) {
	for i := range d.program.rules {
		code := &d.program.rules[i]
		truth := d.state.truth[i]
		if code.rule.Refuse != "" && truth != base.False {
			f := d.finding(int32(i))
			f.Open = truth != base.True || (code.rule.Level == base.Safety && d.state.sure[i] != base.True)
			r.Refusals = append(r.Refusals, f)
		}
		if code.rule.Caution != "" && truth != base.False {
			f := d.finding(int32(i))
			f.Where, f.Scope = code.rule.Caution, Scope{}
			r.Cautions = append(r.Cautions, f)
		}
	}
}

func (d *derivation) finding(i int32) Finding {
	code := &d.program.rules[i]
	f := Finding{
		Rule: code.rule.ID, Scope: Scope{What: code.rule.Refuse}, Why: code.rule.Why, Source: code.rule.Source, Cure: code.rule.Cure,
		Facts: d.factsOf(i), Rules: []RuleRef{code.ref("refuses " + code.rule.Refuse)},
	}
	if code.rule.Refuse == "function" {
		f.Scope.Name = code.instance
	}
	return f
}

// failures reports a group that hard rules or two wishes left without a choice: the fewest constraints that
// cannot hold together on this device, wishes blamed before wiring before safety.
func (d *derivation) failures(r *Result, g *group) {
	got := &d.state.groups[g.index]
	if d.in.skips(g.settings[0]) {
		return
	}
	if f, unsure := d.undecidedBySafety(g); unsure {
		r.Refusals = append(r.Refusals, f)
	}
	if !got.emptied && !got.clash {
		return
	}
	all := blamed(d.counting(g, got, got.at))
	f := Finding{Unmet: true}
	var says []string
	for _, i := range search.Conflict(len(all), func(set []int) bool {
		m := g.full
		for _, i := range set {
			m &= all[i].mask
		}
		return m != 0
	}) {
		d.blame(&f, &all[i])
		says = append(says, f.Rules[len(f.Rules)-1].Says)
	}
	limit := fmt.Sprintf("%s has %s.", g.device.Name, d.abilities(g, f.Rules))
	if f.Scope.What != "" {
		f.Cure = cmp.Or(f.Cure, otherwise)
		f.Why += " Here " + strings.Join(says, " and ") + " leaves nothing: " + limit
		r.Refusals = append(r.Refusals, f)
		return
	}
	f.Scope = Scope{What: "job"}
	f.Why = strings.Join(says, " and ") + " cannot hold together."
	if !g.virtual {
		f.Why += sentence(limit)
	}
	f.Source = "the lines named"
	f.Cure = otherwise
	r.Contradictions = append(r.Contradictions, f)
	r.JobRefused = true
}

// otherwise is the cure of what names none.
const otherwise = "Change one of the lines named, or use another device."

// blame adds a constraint to a finding. The first that says what is refused when it cannot be met gives the finding its
// scope and words.
func (d *derivation) blame(f *Finding, c *constraint) {
	f.Rules = append(f.Rules, d.program.ref(c))
	for _, fact := range d.factsOf(c.rule) {
		if !slices.Contains(f.Facts, fact) {
			f.Facts = append(f.Facts, fact)
		}
	}
	if c.unmet == "" || f.Scope.What != "" {
		return
	}
	code := d.program.rules[c.rule]
	f.Rule, f.Scope = code.rule.ID, Scope{What: c.unmet}
	f.Why, f.Source, f.Cure = code.rule.Why, code.rule.Source, code.rule.Cure
	if c.unmet == "function" {
		f.Scope.Name = code.instance
	}
}

// abilities says what the device can do about the settings that the rules speak of.
func (d *derivation) abilities(g *group, refs []RuleRef) string {
	var out []string
	for at, name := range g.settings {
		if slices.ContainsFunc(refs, func(r RuleRef) bool { return strings.HasPrefix(r.Says, name+" ") }) {
			out = append(out, name+": "+valuesOf(g, at, g.full))
		}
	}
	text := strings.Join(out, "; ")
	if len(g.options) > 0 && len(out) > 1 {
		text += ", set together by " + strings.Join(g.optionIDs(), ", ")
	}
	return text
}

// homeless reports wishes about settings that no device has.
func (d *derivation) homeless(r *Result) {
	for _, h := range d.program.homeless {
		if h.ref.Level != base.Wish || d.in.skips(h.setting) {
			continue
		}
		r.NotMet = append(r.NotMet, NotMet{RuleRef: h.ref, Because: fmt.Sprintf("Not on this device: %s has no setting %s.", orController(d, h.device), h.setting)})
	}
}

func orController(d *derivation, device string) string {
	if device != "" {
		return device
	}
	return d.program.facts.Controller().Name
}

// testNeeds are the commissioning tests that apply, in the order of work.
func (d *derivation) testNeeds() []TestNeed {
	asked := map[string][]string{}
	for i := range d.program.rules {
		if d.state.truth[i] == base.True {
			for _, id := range d.program.rules[i].rule.Prove {
				if !slices.Contains(asked[id], d.program.rules[i].rule.ID) {
					asked[id] = append(asked[id], d.program.rules[i].rule.ID)
				}
			}
		}
	}
	if d.in.Policy != nil {
		for _, id := range d.in.Policy.Tests {
			asked[id] = append(asked[id], "shop policy")
		}
	}
	var out []TestNeed
	for i := range d.program.needs {
		n := &d.program.needs[i]
		if d.program.eval(n.when, n.never, d.state.seen) == base.False && asked[n.test.ID] == nil {
			continue
		}
		t := TestNeed{Test: n.test, Instance: n.instance, Because: asked[n.test.ID]}
		t.Required = n.test.Critical || len(t.Because) > 0
		t.Done = slices.Contains(d.in.Job.Proven, t.ID()) || slices.Contains(d.in.Job.Proven, n.test.ID)
		out = append(out, t)
	}
	return out
}

// outcome is what all this says about remote start.
func (d *derivation) outcome(r *Result, refused bool) Outcome {
	switch {
	case !d.wanted():
		return NotWanted
	case refused || r.JobRefused:
		return Refused
	}
	open := false
	for _, f := range r.Refusals {
		if f.Scope.What != "remote-start" && f.Scope.What != "job" {
			continue
		}
		if !f.Open {
			return Refused
		}
		open = true
	}
	for _, s := range r.Settings {
		open = open || s.Kind == Open
	}
	if open {
		return OutOpen
	}
	for _, t := range r.Tests {
		if t.Required && !t.Done && (t.Test.SetsOff == "remote-start" || t.Test.SetsOff == "job" || len(t.Because) > 0) {
			return ToBeProven
		}
	}
	return Proven
}

func (d *derivation) wanted() bool {
	value, _ := d.program.facts.Said("start.wanted")
	return value == "yes"
}
