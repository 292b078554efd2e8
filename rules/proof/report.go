package proof

import (
	"slices"
	"strings"

	"asleft/config/profile"
	"asleft/rules/base"
	"asleft/rules/derive"
)

// Report is what a rule base comes to when it is looked at as a whole.
type Report struct {
	Rules, Facts int
	Flaws        []derive.Flaw // to be mended; the witness holds the facts that the rules concerned read
	Notes        []derive.Flaw // values of devices that nothing reaches: to be known, no fault of the rules
	Proof        *Proof
}

// Good reports whether nothing has to be mended: no flaw, no gap, and nothing left undecided by the search.
func (r *Report) Good() bool {
	return len(r.Flaws) == 0 && len(r.Proof.Gaps) == 0 && len(r.Proof.GaveUp) == 0
}

// samples is how many random installs of each device are tried for settings that are left undecided.
const samples = 2000

// Check looks at the rules of some files as a whole, over the devices of a catalogue. The error is source.Problems: a file that does not
// load, or a device whose options cannot be compiled.
func Check(files []base.File, devices *profile.Catalogue) (*Report, error) {
	b, err := withSafety(files)
	if err != nil {
		return nil, err
	}
	controllers, modules := fitted(devices)
	flaws, err := derive.Inspect(b, controllers, samples)
	if err != nil {
		return nil, err
	}
	r := &Report{Rules: len(b.Rules), Facts: len(b.Facts), Proof: Prove(b, controllers, modules)}
	for _, f := range flaws {
		if f.Witness = telling(b, &f); f.Kind == derive.Unreachable {
			r.Notes = append(r.Notes, f)
		} else {
			r.Flaws = append(r.Flaws, f)
		}
	}
	return r, r.Proof.write(b, controllers, modules)
}

// telling are the lines of a witness about facts that the rules concerned read.
func telling(b *base.Base, f *derive.Flaw) []string {
	read := map[string]bool{}
	for _, id := range f.Rules {
		r, ok := b.Rule(id)
		if !ok {
			continue
		}
		for _, l := range r.When.Lines() {
			l.Leaves(func(leaf *base.Line, _ string) {
				if t, _, ok := b.Fact(leaf.Name); ok && leaf.Subject == base.OfFact {
					read[t.Pattern] = true
				}
			})
		}
	}
	return slices.DeleteFunc(slices.Clone(f.Witness), func(line string) bool {
		name, _, _ := strings.Cut(line, " = ")
		t, _, ok := b.Fact(name)
		return !ok || !read[t.Pattern]
	})
}

// write gives each gap a job file that a card is made for, where the engine's own search over its compiled rules finds one.
func (p *Proof) write(b *base.Base, controllers, modules []*profile.Profile) error {
	if len(p.Gaps) == 0 {
		return nil
	}
	only := *b
	only.Unsafe = nil
	for _, g := range p.Gaps {
		only.Unsafe = append(only.Unsafe, g.Clause)
	}
	found, err := derive.Prove(&only, controllers, modules)
	if err != nil {
		return err
	}
	for i := range p.Gaps {
		for _, g := range found.Gaps {
			if g.Unsafe == p.Gaps[i].Clause && g.Ran && p.Gaps[i].Job == "" {
				p.Gaps[i].Job = g.Job
			}
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
