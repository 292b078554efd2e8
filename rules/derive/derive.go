package derive

import (
	"slices"

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
	_, r, err := derived(in)
	return r, err
}

// Install is a job that both passes are derived of: its rules are brought down to its devices once.
type Install struct {
	in Input // as given, of pass 1
	d  *derivation
}

// Prepare brings the rules down to an install; demands in the input are not looked at. The error is that of Derive.
func Prepare(in Input) (*Install, error) {
	both := in
	both.Demands = []Demand{} // the settings that only pass 2 decides are there from the beginning
	in.Demands = nil
	d, err := prepare(both)
	if err != nil {
		return nil, err
	}
	d.in.Demands = nil
	return &Install{in: in, d: d}, nil
}

// Refused is pass 1 as far as the button plan asks for it: the functions that rules refuse. It comes before Derive. The
// error is that of Derive.
func (x *Install) Refused() ([]Finding, error) {
	d, r := x.d, &Result{}
	d.run()
	for _, g := range d.program.groups {
		d.failures(r, g)
	}
	d.findings(r)
	r.sort()
	if len(d.openGroups()) > 0 || slices.ContainsFunc(r.Refusals, func(f Finding) bool { return f.Open }) {
		// What is open may settle, however its missing facts turn out, and what pass 2 adds has no say in that.
		whole, err := Derive(x.in)
		if err != nil {
			return nil, err
		}
		r = whole
	}
	return slices.DeleteFunc(r.Refusals, func(f Finding) bool { return f.Scope.What != "function" }), nil
}

// Derive is pass 2: it decides every setting, with the demands of the button plan. It is asked once.
func (x *Install) Derive(demands []Demand) *Result {
	d := x.d
	d.in.Demands = append([]Demand{}, demands...)
	d.program.fromDemands(demands)
	d.program.sortConstraints()
	d.run()
	return d.report()
}

// derivation is a compiled install with one run of it.
type derivation struct {
	in      Input
	program *program
	state   *state
}

// run decides every group from the facts as they were gathered.
func (d *derivation) run() {
	d.program.load(d.state)
	d.program.run(d.state)
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
