package proof

import (
	"slices"

	"asleft/config/profile"
	"asleft/rules/base"
	"asleft/rules/derive"
)

// Report is what a rule base comes to when it is looked at as a whole.
type Report struct {
	Rules, Facts, Tests int
	Flaws               []derive.Flaw // to be mended
	Notes               []derive.Flaw // values of devices that nothing reaches: to be known, no fault of the rules
	Proof               derive.Proof
}

// Good reports whether nothing has to be mended: no flaw, no gap, and nothing left undecided by the search.
func (r *Report) Good() bool {
	return len(r.Flaws) == 0 && len(r.Proof.Gaps) == 0 && len(r.Proof.GaveUp) == 0
}

// samples is how many random installs of each device are tried for settings that are left undecided.
const samples = 2000

// Check looks at a rule base as a whole, over the devices of a catalogue. The error is a device whose options cannot be compiled.
func Check(b *base.Base, devices *profile.Catalogue) (*Report, error) {
	controllers, modules := fitted(devices)
	flaws, err := derive.Inspect(b, controllers, samples)
	if err != nil {
		return nil, err
	}
	r := &Report{Rules: len(b.Rules), Facts: len(b.Facts), Tests: len(b.Tests)}
	for _, f := range flaws {
		if f.Kind == derive.Unreachable {
			r.Notes = append(r.Notes, f)
		} else {
			r.Flaws = append(r.Flaws, f)
		}
	}
	r.Proof, err = derive.Prove(b, controllers, modules)
	return r, err
}

// fitted are the controllers and modules of a catalogue, by id.
func fitted(devices *profile.Catalogue) (controllers, modules []*profile.Profile) {
	all := slices.Clone(devices.All())
	for _, p := range all {
		switch p.Kind {
		case profile.Controller:
			controllers = append(controllers, p)
		case profile.Module:
			modules = append(modules, p)
		}
	}
	return controllers, modules
}
