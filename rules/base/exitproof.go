package base

import (
	"slices"

	"asleft/config/profile"
)

// exitProof judges the exit proof that the controller declares, property by property. The state machine is the
// device's own; only what it does is looked at, never what its states are called.
func (g *gatherer) exitProof() {
	p := g.facts.Controller().Profile.Exit
	g.yes("exit.declared", p != nil)
	if p == nil {
		p = &profile.ExitProof{Stored: true}
	}
	m := exitMachine{p}
	unmade, making := m.unmade(), m.making()
	for _, s := range g.facts.Base.Kinds["signal"] {
		g.yes("exit.reads."+s, slices.Contains(p.Inputs, s))
	}
	g.yes("exit.starts-unmade", p.Start != "" && p.Start != p.Vacated)
	g.yes("exit.stored", p.Stored)
	g.yes("exit.in-time", inExitTime(p.Within))
	g.yes("exit.begins-by-key", m.beginsByKey(unmade))
	g.yes("exit.needs-leaving", m.needsLeaving(unmade))
	g.yes("exit.tells-apart", m.tellsApart(unmade))
	lacks := p.Lacks()
	for _, has := range []struct{ fact, word string }{
		{"exit.stops-engine", "stops-engine"}, {"exit.cancels-while-made", "cancelled-while-made"}, {"exit.cancels-in-run", "cancelled-while-running"},
	} {
		g.yes(has.fact, !slices.Contains(lacks, has.word))
	}
	for _, e := range g.facts.Base.Kinds["event"] {
		inMaking := len(making) > 0
		for _, s := range making {
			inMaking = inMaking && m.cancels(s, e, unmade)
		}
		g.yes("exit.making-cancels."+e, inMaking)
		g.yes("exit.vacated-cancels."+e, m.cancels(p.Vacated, e, unmade))
	}
}

type exitMachine struct{ *profile.ExitProof }

// unmade are the states in which nothing has been proven: the one at power-up, and those that can do only what
// it can do (a state "cancelled" that waits for a new beginning).
func (m exitMachine) unmade() []string {
	if m.Start == "" {
		return nil
	}
	out := []string{m.Start}
	for _, s := range m.states() {
		same := s != m.Start && s != m.Vacated
		for _, step := range m.Steps {
			if step.From == s {
				same = same && m.startHas(step)
			}
		}
		if same {
			out = append(out, s)
		}
	}
	return out
}

func (m exitMachine) startHas(step profile.ExitStep) bool {
	return slices.ContainsFunc(m.Steps, func(o profile.ExitStep) bool {
		return o.From == m.Start && o.On == step.On && o.To == step.To && slices.Equal(o.While, step.While)
	})
}

func (m exitMachine) states() []string {
	var out []string
	for _, s := range m.Steps {
		out = append(out, s.From, s.To)
	}
	return unique(out)
}

// making are the states on the way from unmade to vacated.
func (m exitMachine) making() []string {
	unmade := m.unmade()
	from := m.reach(unmade, func(s profile.ExitStep) (string, string) { return s.From, s.To }, []string{m.Vacated})
	back := m.reach([]string{m.Vacated}, func(s profile.ExitStep) (string, string) { return s.To, s.From }, unmade)
	var out []string
	for _, s := range from {
		if slices.Contains(back, s) && s != m.Vacated && !slices.Contains(unmade, s) {
			out = append(out, s)
		}
	}
	return out
}

// reach are the states that can be reached along the steps without passing through one of the walls.
func (m exitMachine) reach(from []string, along func(profile.ExitStep) (string, string), walls []string) []string {
	seen := slices.Clone(from)
	for i := 0; i < len(seen); i++ {
		if slices.Contains(walls, seen[i]) {
			continue
		}
		for _, step := range m.Steps {
			if a, b := along(step); a == seen[i] && !slices.Contains(seen, b) {
				seen = append(seen, b)
			}
		}
	}
	return seen
}

// cancels reports whether the event always leads from the state back to unmade.
func (m exitMachine) cancels(state, event string, unmade []string) bool {
	always := false
	for _, step := range m.Steps {
		if step.From != state || step.On != event {
			continue
		}
		if !slices.Contains(unmade, step.To) {
			return false
		}
		always = always || len(step.While) == 0
	}
	return always
}

// beginsByKey reports whether every step out of unmade demands a turning engine, the parking brake and a shut
// hood.
func (m exitMachine) beginsByKey(unmade []string) bool {
	begins := false
	for _, step := range m.Steps {
		if !slices.Contains(unmade, step.From) || slices.Contains(unmade, step.To) {
			continue
		}
		begins = true
		for _, need := range []string{"engine-turning", "parking-brake-set", "hood-shut"} {
			if !slices.Contains(step.While, need) {
				return false
			}
		}
	}
	return begins
}

// leaving is what must have happened, in this order, before the vehicle counts as vacated.
var leaving = []string{"key-out", "opening-open", "all-shut"}

// needsLeaving walks the machine together with a counter of what has happened.
func (m exitMachine) needsLeaving(unmade []string) bool {
	type at struct {
		state string
		have  int
	}
	var seen []at
	for _, s := range unmade {
		seen = append(seen, at{s, 0})
	}
	arrives := false
	for i := 0; i < len(seen); i++ {
		if seen[i].state == m.Vacated {
			if seen[i].have < len(leaving) {
				return false
			}
			arrives = true
			continue // vacated: from here on it is made
		}
		for _, step := range m.Steps {
			if step.From != seen[i].state {
				continue
			}
			next := at{step.To, seen[i].have}
			if next.have < len(leaving) && step.On == leaving[next.have] {
				next.have++
			}
			if slices.Contains(unmade, step.To) {
				next.have = 0
			}
			if !slices.Contains(seen, next) {
				seen = append(seen, next)
			}
		}
	}
	return arrives
}

// tellsApart reports whether every state that a cancel leads to shows something else than vacated.
func (m exitMachine) tellsApart(unmade []string) bool {
	for _, step := range m.Steps {
		if slices.Contains(unmade, step.To) && !slices.Contains(unmade, step.From) && m.Shows[step.To] == m.Shows[m.Vacated] {
			return false
		}
	}
	return len(unmade) > 0
}
