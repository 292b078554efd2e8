package rules

import (
	"strings"

	"asleft/config/setting"
	"asleft/rules/assign"
	"asleft/rules/derive"
)

// The questions that may be asked about an outcome. Each runs on the same job, profiles, policy and
// demands of the button plan as the outcome itself.

// Why tells the chain from facts to the value of a setting.
func (o *Outcome) Why(key setting.Key) (derive.Explanation, error) {
	return derive.Explain(o.input, key)
}

// WhyNot gives the minimal conflicts that keep a setting from a value, all of them or the first.
func (o *Outcome) WhyNot(key setting.Key, value setting.Value, all bool) (derive.NotThis, error) {
	return derive.WhyNot(o.input, key, value, all)
}

// Repairs finds the cheapest changes after which nothing of the scope is refused any more. The
// button plan is left out: it is made anew on a job that is no longer refused.
func (o *Outcome) Repairs(scope derive.Scope) (repairs []derive.Repair, whole bool, err error) {
	in := o.input
	in.Demands = nil
	return derive.Repairs(in, scope, 0)
}

// Failed is what repairs are asked for: each scope that is refused, and the contradiction of a job.
func (o *Outcome) Failed() []derive.Scope {
	var out []derive.Scope
	seen := map[derive.Scope]bool{}
	add := func(s derive.Scope) {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	if len(o.Derived.Contradictions) > 0 {
		add(derive.Scope{What: "job"})
	}
	for _, f := range o.Derived.Refusals {
		add(f.Scope)
	}
	return out
}

// Shifts tells what the tried facts and wishes change against the job as it is written.
func (o *Outcome) Shifts(asWritten *Outcome) []derive.Shift {
	return derive.Shifts(&asWritten.Derived, &o.Derived)
}

// WhyButton explains the place of one function in the button plan.
func (o *Outcome) WhyButton(function string) (assign.Explanation, error) {
	return assign.Why(o.Plan, function)
}

// KeyOf splits DEVICE/SETTING; without a device any that has the setting is meant.
func KeyOf(text string) setting.Key {
	if device, name, both := strings.Cut(text, "/"); both {
		return setting.Key{Device: device, Setting: name}
	}
	return setting.Key{Setting: text}
}
