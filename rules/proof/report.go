package proof

import (
	"asleft/config/profile"
	"asleft/rules/base"
)

// Report is what a rule base comes to when it is looked at as a whole.
type Report struct {
	Rules, Facts int
	Flaws        []Flaw // to be mended; the witness holds the facts that the rules concerned read
	Notes        []Flaw // values of devices that nothing reaches: to be known, no fault of the rules
	Proof        *Proof
}

// Good reports whether nothing has to be mended: no flaw, no gap, and nothing left undecided by the search.
func (r *Report) Good() bool {
	return len(r.Flaws) == 0 && len(r.Proof.Gaps) == 0 && len(r.Proof.GaveUp) == 0
}

// Check looks at the rules of some files as a whole, over the devices of a catalogue. The error is source.Problems: a file that does not
// load.
func Check(files []base.File, devices *profile.Catalogue) (*Report, error) {
	b, err := withSafety(files)
	if err != nil {
		return nil, err
	}
	controllers, modules := fitted(devices)
	shapes := shapesOf(b, controllers, modules)
	r := &Report{Rules: len(b.Rules), Facts: len(b.Facts), Proof: prove(shapes)}
	found, gave := flaws(shapes)
	r.Proof.GaveUp = append(r.Proof.GaveUp, gave...)
	for _, f := range found {
		if f.Kind == Unreachable {
			r.Notes = append(r.Notes, f)
		} else {
			r.Flaws = append(r.Flaws, f)
		}
	}
	if remote := aRemote(devices); remote != nil {
		r.Proof.write(shapes, remote)
	}
	return r, nil
}

// aRemote is any remote of the catalogue: a job names one, and safety asks nothing of it.
func aRemote(devices *profile.Catalogue) *profile.Profile {
	for _, p := range devices.All() {
		if p.Kind == profile.Remote {
			return p
		}
	}
	return nil
}

// fitted are the controllers and modules of a catalogue, by id.
func fitted(devices *profile.Catalogue) (controllers, modules []*profile.Profile) {
	for _, p := range devices.All() {
		switch p.Kind {
		case profile.Controller:
			controllers = append(controllers, p)
		case profile.Module:
			modules = append(modules, p)
		}
	}
	return controllers, modules
}
