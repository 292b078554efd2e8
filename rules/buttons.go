package rules

import (
	"asleft/config/profile"
	"asleft/rules/assign"
	"asleft/rules/derive"
)

// assign solves the button plan. A function that the rules refuse gets no button; the rest goes on.
func (o *Outcome) assign(refused []derive.Finding, devices *profile.Catalogue) error {
	problem, err := assign.FromJob(o.Job, devices.Find)
	if err != nil {
		return err
	}
	for _, f := range refused {
		problem.Refused = append(problem.Refused, assign.Refusal{
			Function: f.Scope.Name, Words: o.words(f.Scope.Name), Rule: f.Rule, Reason: f.Why, Cure: f.Cure, Source: f.Source,
		})
	}
	if o.Plan, err = assign.Solve(problem); err != nil || len(o.options.Prefer) == 0 {
		return err
	}
	plan, err := assign.Prefer(o.Plan, o.options.Prefer...)
	if err != nil {
		return &PreferError{err}
	}
	o.Plan = plan
	return nil
}

// PreferError says that a tried wish names something that the job does not have.
type PreferError struct{ Err error }

func (e *PreferError) Error() string { return e.Err.Error() }

// Unwrap gives the cause.
func (e *PreferError) Unwrap() error { return e.Err }

// words are the owner's words for a function, the same as in the plan.
func (o *Outcome) words(name string) string {
	for _, f := range o.Job.Functions {
		if f.Name == name {
			return f.OwnersWords()
		}
	}
	return name
}
