package derive

import (
	"asleft/config/job"
	"asleft/config/profile"
	"asleft/rules/base"
)

// Input is everything that a derivation looks at.
type Input struct {
	Base     *base.Base // nil is the shipped one
	Job      *job.Job
	Profiles []*profile.Profile
	Policy   *job.Policy       // nil without one
	Demands  []Demand          // nil in pass 1; not nil, even if empty, in pass 2
	With     map[string]string // what-if: facts and quantities by name, wishes as wish.SETTING
	Without  bool              // derive the rest with remote start left out
}

// skips reports whether the setting is left to pass 2.
func (in Input) skips(name string) bool {
	return in.Demands == nil && base.OfPlan(name)
}

// Derive decides every setting of the install. The error is source.Problems when job and profiles do not fit
// together; whatever the install is like, a refusal or contradiction is a result and not an error.
func Derive(in Input) (*Result, error) {
	d, err := prepare(in)
	if err != nil {
		return nil, err
	}
	d.program.load(d.state)
	d.program.run(d.state)
	return d.report(), nil
}

// derivation is a compiled install with one run of it.
type derivation struct {
	in      Input
	program *program
	state   *state
}

func prepare(in Input) (*derivation, error) {
	if in.Base == nil {
		in.Base = base.Shipped()
	}
	in, tries, wrong := tried(in)
	if wrong != nil {
		return nil, wrong
	}
	if in.Without {
		tries["start.wanted"] = "no"
		tries["start.path"] = "none"
	}
	facts, problems := base.Gather(in.Base, in.Job, in.Profiles, in.Policy, tries)
	if problems != nil {
		return nil, problems
	}
	p, err := compile(in, facts)
	if err != nil {
		return nil, err
	}
	return &derivation{in: in, program: p, state: p.newState()}, nil
}
