package derive

import (
	"slices"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// run looks for an install of the gap that a job file can say of the device, writes it, and derives it. The gap stands without
// one, too: a device may be built that has what this one lacks.
func (s *shape) run(g *Gap, w *world, problem search.Problem) {
	if s.controller == nil {
		return
	}
	own, ok := s.facts(w.p)
	if !ok {
		return
	}
	for _, name := range sortedNames(own) {
		value := own[name]
		v := int(w.p.byName[name])
		at := slices.Index(w.p.vars[v].fact.Domain, value)
		problem.Clauses = append(problem.Clauses, search.Clause{lit(v, 1<<at)})
	}
	values, found := s.plainest(g, w, problem)
	if !found {
		return
	}
	g.Facts, g.Settings = w.install(values), w.settings(values)
	g.Job = jobFile(s.controller, s.module, remote, g.Facts)
	r, err := s.derive(g.Job)
	if err != nil {
		g.Job = ""
		return
	}
	scope := Scope{What: g.Unsafe.Scope}
	if scope.What == "function" {
		scope.Name = g.Instance
	}
	g.Ran = !r.Refused(scope) && (scope.What == "function" || r.Start != Refused && r.Start != OutOpen)
}

// plainest looks for an install of the gap in which as much as can be is known and usual: one fact after the other, as far as
// the install stays unsafe.
func (s *shape) plainest(g *Gap, w *world, problem search.Problem) ([]uint64, bool) {
	problem.Clauses = slices.Clone(problem.Clauses)
	values, end := search.Solve(problem, proofDecisions)
	if end != search.Found {
		return nil, false
	}
	try := func(more ...search.Clause) {
		mark := len(problem.Clauses)
		problem.Clauses = append(problem.Clauses, more...)
		if plainer, end := search.Solve(problem, proofDecisions); end == search.Found {
			values = plainer
		} else {
			problem.Clauses = problem.Clauses[:mark]
		}
	}
	read := map[string]bool{}
	for _, l := range g.Unsafe.When.Lines() {
		l.Leaves(func(leaf *base.Line, _ string) { read[base.Fill(leaf.Name, g.Instance)] = true })
	}
	var rest []search.Clause // facts that have no part in the gap are known, all together
	for v := range w.p.vars {
		if x := &w.p.vars[v]; x.worst != 0 && !read[x.name] {
			rest = append(rest, w.known(v)...)
		}
	}
	try(rest...)
	for v := range w.p.vars {
		if x := &w.p.vars[v]; x.worst != 0 && read[x.name] {
			try(w.known(v)...)
		}
	}
	for _, usual := range usualFacts {
		if v, asked := w.p.byName[usual[0]]; asked {
			try(search.Clause{lit(int(v), 1<<slices.Index(w.p.vars[v].fact.Domain, usual[1]))})
		}
	}
	return values, true
}

// usualFacts keep what has no part in a gap out of its job file.
var usualFacts = [][2]string{
	{"factory-alarm.fitted", "no"}, {"vehicle.immobiliser", "none"}, {"signal.boot.source", "none"}, {"lock.circuit", "negative-pulse"},
	{"lamps.drive", "positive"}, {"function.f1.does", "other"},
}

// known says that what safety sees of a fact is the fact.
func (w *world) known(v int) []search.Clause {
	var out []search.Clause
	all := w.problem.Domains[v]
	for m := all; m != 0; m &= m - 1 {
		word := m & -m
		out = append(out, search.Clause{lit(v, all&^word), lit(w.seen[v], word)})
	}
	return out
}

// remote is a remote for counterexamples: a job that wants a function needs one, and the proof asks nothing of it.
var remote = &profile.Profile{ID: "counterexample", Label: "a remote with one button", Kind: profile.Remote, Invented: true, NominalVolts: 12}

// derive reads a job of the shape and derives it.
func (s *shape) derive(text string) (*Result, error) {
	j, err := job.Read("counterexample.toml", []byte(text))
	if err != nil {
		return nil, err
	}
	return Derive(Input{Base: s.base, Job: j, Profiles: s.profiles()})
}

func (s *shape) profiles() []*profile.Profile {
	if s.module == nil {
		return []*profile.Profile{s.controller, remote}
	}
	return []*profile.Profile{s.controller, s.module, remote}
}

// facts are those that follow from the devices alone.
func (s *shape) facts(p *program) (map[string]string, bool) {
	j, err := job.Read("empty.toml", []byte(jobFile(s.controller, s.module, remote, nil)))
	if err != nil {
		return nil, false
	}
	facts, problems := base.Gather(s.base, j, s.profiles(), nil, nil)
	if problems != nil {
		return nil, false
	}
	out := map[string]string{}
	for _, name := range facts.Names() {
		if _, asked := p.byName[name]; asked && ownFacts(name) {
			if r := facts.Read(name); r.State == base.Known {
				out[name] = r.Value
			}
		}
	}
	return out, true
}
