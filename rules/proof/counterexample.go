package proof

import (
	"slices"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/rules/base"
	"asleft/rules/derive"
	"asleft/rules/internal/search"
)

// write gives each gap a job file that a card is made for, where a job can say one of a real device. The gap stands without one, too:
// a device may be built that has what this one lacks.
func (p *Proof) write(shapes []*shape, remote *profile.Profile) {
	for i := range p.Gaps {
		g := &p.Gaps[i]
		for _, s := range shapes {
			if !s.free && slices.Contains(g.Shapes, s.name) && g.Job == "" {
				g.Job = s.job(g, remote)
			}
		}
	}
}

// rounds bounds how often a job is written anew because its readers read something else in it than was meant.
const rounds = 12

// job looks for an install of a gap that a job file can say, writes it, and derives it; "" where none is found. What the readers make of
// a file is said of the next install: a fact that they work out, such as whether a level fits a terminal, cannot be chosen.
func (s *shape) job(g *Gap, remote *profile.Profile) string {
	w := newWorld(s, cardsOnly)
	assumed := []search.Literal{lit(w.broken(g.Clause, g.Instance), yes)}
	if !w.asTheDevices(remote) {
		return ""
	}
	assumed = w.usual(assumed)
	for range rounds {
		values, end := w.solver.solve(&w.problem, conflicts, assumed...)
		if end != search.Found {
			return ""
		}
		meant := w.install(w.plainer(values, assumed...))
		text := jobFile(s.controller, s.module, remote, meant)
		r, err := s.derive(text, remote)
		if err != nil {
			return ""
		}
		scope := derive.Scope{What: g.Clause.Scope}
		if scope.What == "function" {
			scope.Name = g.Instance
		}
		if carded(r) && !r.Refused(scope) {
			return text
		}
		if !w.asRead(text, meant, remote) {
			return ""
		}
	}
	return ""
}

// usualFacts keep what has no part in a gap out of its job file.
var usualFacts = [][2]string{
	{"vehicle.gearbox", "automatic"}, {"vehicle.parking-lock", "mechanical"}, {"vehicle.left-out-of-park", "no"}, {"vehicle.fuel", "petrol"},
	{"vehicle.start-control", "blade-key"}, {"crank.by", "controller"}, {"factory-alarm.fitted", "no"}, {"vehicle.immobiliser", "none"},
	{"signal.boot.source", "none"}, {"lock.circuit", "negative-pulse"}, {"lamps.drive", "positive"}, {"signal.engine-speed.kind", "tach-line"},
}

// usual adds the usual facts to what is assumed, as far as they go together with it.
func (w *world) usual(assumed []search.Literal) []search.Literal {
	for _, u := range usualFacts {
		f, asked := w.facts[u[0]]
		if !asked {
			continue
		}
		wish := lit(f.at[said], 1<<slices.Index(f.kind.Domain, u[1]))
		if _, end := w.solver.solve(&w.problem, conflicts, append(assumed, wish)...); end == search.Found {
			assumed = append(assumed, wish)
		}
	}
	return assumed
}

// asRead says of facts what the readers make of a job that was meant otherwise; false when they read all as it was meant.
func (w *world) asRead(text string, meant map[string]string, remote *profile.Profile) bool {
	j, err := job.Read("counterexample.toml", []byte(text))
	if err != nil {
		return false
	}
	facts, problems := base.Gather(w.base, j, w.profiles(remote), nil, nil)
	if problems != nil {
		return false
	}
	otherwise := false
	for _, name := range sorted(meant) {
		f := w.facts[name]
		if r := facts.Read(name); r.State == base.Known && r.Value != meant[name] {
			w.clause(lit(f.at[said], w.problem.Domains[f.at[said]]&noMeaning|1<<slices.Index(f.kind.Domain, r.Value)))
			otherwise = true
		}
	}
	return otherwise
}

// asTheDevices says that facts that follow from the devices alone are as the devices have them.
func (w *world) asTheDevices(remote *profile.Profile) bool {
	j, err := job.Read("empty.toml", []byte(jobFile(w.controller, w.module, remote, nil)))
	if err != nil {
		return false
	}
	facts, problems := base.Gather(w.base, j, w.profiles(remote), nil, nil)
	if problems != nil {
		return false
	}
	for _, name := range sorted(w.facts) {
		f := w.facts[name]
		if r := facts.Read(name); ownFacts(name) && r.State == base.Known {
			w.clause(lit(f.at[said], 1<<slices.Index(f.kind.Domain, r.Value)))
		}
	}
	return true
}

// derive reads a job of the shape and derives it.
func (s *shape) derive(text string, remote *profile.Profile) (*derive.Result, error) {
	j, err := job.Read("counterexample.toml", []byte(text))
	if err != nil {
		return nil, err
	}
	return derive.Derive(derive.Input{Base: s.base, Job: j, Profiles: s.profiles(remote)})
}

func (s *shape) profiles(remote *profile.Profile) []*profile.Profile {
	if s.module == nil {
		return []*profile.Profile{s.controller, remote}
	}
	return []*profile.Profile{s.controller, s.module, remote}
}

// carded is the condition of a keying card, as package rules has it.
func carded(r *derive.Result) bool {
	for _, f := range r.Refusals {
		if shuts(f.Scope.What) {
			return false
		}
	}
	return len(r.Contradictions) == 0 && r.Start != derive.Refused && r.Start != derive.OutOpen && !r.JobRefused
}
