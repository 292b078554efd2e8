package profile

import (
	"fmt"
	"maps"
	"slices"

	"asleft/config/source"
)

// checkExit: the exit proof must be a machine that says one thing in each case
// and whose states can be reached. Whether it is good enough for a manual gearbox
// is asked of Lacks, and what follows is for the rules.
func (p *Profile) checkExit() {
	e := p.Exit
	for i, s := range e.Inputs {
		if !p.Reads(s) && !p.Hears(s) {
			p.fault(source.Problem{Message: fmt.Sprintf("the device has neither an input nor a link for %s", s),
				Expected: "a signal that it sees"}, "exit-proof", "inputs", fmt.Sprint(i))
		}
	}
	states := e.states()
	for _, s := range []struct{ key, state string }{{"power-up", e.Start}, {"vacated", e.Vacated}} {
		if !slices.Contains(states, s.state) {
			p.fault(noPart("state of the exit proof called", s.state, states), "exit-proof", s.key)
		}
	}
	for i, s := range e.Running {
		if !slices.Contains(states, s) {
			p.fault(noPart("state of the exit proof called", s, states), "exit-proof", "running", fmt.Sprint(i))
		}
	}
	for _, s := range slices.Sorted(maps.Keys(e.Shows)) {
		if !slices.Contains(states, s) {
			p.fault(noPart("state of the exit proof called", s, states), "exit-proof", "shows", s)
		}
	}
	p.checkExitSteps(states)
}

func (p *Profile) checkExitSteps(states []string) {
	e := p.Exit
	first := map[[2]string]string{}
	for _, s := range e.Steps {
		key := [2]string{s.From, s.On}
		if other, ok := first[key]; ok {
			p.fault(source.Problem{Message: fmt.Sprintf("in state %s the event %s leads two ways", s.From, s.On),
				Expected: "one step for each state and event", Also: []source.Pos{p.Doc.Where("exit-proof", "step", other)}}, "exit-proof", "step", s.Name)
			continue
		}
		first[key] = s.Name
	}
	reached := e.reachable(e.Start)
	for _, s := range states {
		if !reached[s] {
			p.fault(source.Problem{Message: fmt.Sprintf("state %s of the exit proof cannot be reached from %s", s, e.Start),
				Expected: "a row of steps that leads there"}, "exit-proof", "step")
		}
	}
}

// states are the states that the steps speak of, in the order of the file.
func (e *ExitProof) states() []string {
	var states []string
	for _, s := range e.Steps {
		for _, name := range []string{s.From, s.To} {
			if !slices.Contains(states, name) {
				states = append(states, name)
			}
		}
	}
	return states
}

// reachable are the states that some row of events leads to.
func (e *ExitProof) reachable(from string) map[string]bool {
	reached := map[string]bool{from: true}
	for grown := true; grown; {
		grown = false
		for _, s := range e.Steps {
			if reached[s.From] && !reached[s.To] {
				reached[s.To], grown = true, true
			}
		}
	}
	return reached
}
