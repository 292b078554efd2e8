package rules

import (
	"asleft/config/profile"
	"asleft/rules/assign"
	"asleft/rules/derive"
)

// assign solves the button plan. A function that the rules refuse gets no button; the rest goes on.
func (o *Outcome) assign(first *derive.Result, devices *profile.Catalogue) error {
	problem, err := assign.FromJob(o.Job, devices.Find)
	if err != nil {
		return err
	}
	for _, f := range first.Refusals {
		if f.Scope.What == "function" {
			problem.Refused = append(problem.Refused, assign.Refusal{
				Function: f.Scope.Name, Words: o.words(f.Scope.Name), Rule: f.Rule, Reason: f.Why, Cure: f.Cure, Source: f.Source,
			})
		}
	}
	o.Plan, err = assign.Solve(problem)
	return err
}

// words are the owner's words for a function.
func (o *Outcome) words(name string) string {
	for _, f := range o.Job.Functions {
		if f.Name == name && len(f.Words) > 0 {
			return f.Words[0]
		}
	}
	return name
}
