package profile

import (
	"slices"
)

// Lacks names the properties that an exit proof must have before it can stand
// for the neutral of a manual gearbox, and does not have; none when it is fit.
// The rules say what follows from a lack. The words, in the order of the list:
//
//   - sees-all: it reads parking brake, foot brake, doors, hood, engine speed and
//     key (which openings of the vehicle the door input covers is the job's)
//   - begins-in-order: it begins with the engine turning, the parking brake set
//     and the hood shut
//   - driver-leaves: no way leads to the vacated state without the key taken out,
//     an opening opened and everything shut again, in this order, with the engine
//     turning, the parking brake set and the foot brake free
//   - leaves-in-time: the leaving is limited to 60 to 120 s
//   - stops-engine: the controller stops the engine when it becomes vacated
//   - cancelled-while-made, cancelled-while-vacated, cancelled-while-running: the
//     events that must cancel it lead to a state in which it is not made; in a
//     remote run each stops the engine as well; the clutch counts where the
//     device sees it
//   - signals-apart: vacated and cancelled are signalled, and differently
//   - not-kept: at power-up it is not made, and it is never restored from memory
//
// Common practice of the trade; no published source has the list.
func (e *ExitProof) Lacks() []string {
	checks := []struct {
		word string
		has  bool
	}{
		{"sees-all", containsAll(e.Inputs, "parking-brake", "brake", "door", "hood", "engine-speed", "key-in")},
		{"begins-in-order", e.beginsInOrder()},
		{"driver-leaves", e.driverLeaves()},
		{"leaves-in-time", e.Within >= 60 && e.Within <= 120},
		{"stops-engine", e.stopsEngine()},
		{"cancelled-while-made", e.cancelledWhileMade()},
		{"cancelled-while-vacated", e.cancels(e.Vacated, false, "opening-open", "hood-open", "brake-pressed", "parking-brake-off", "key-in", "alarm", "supply-lost")},
		{"cancelled-while-running", e.cancelledWhileRunning()},
		{"signals-apart", e.signalsApart()},
		{"not-kept", !e.Stored && e.Start != e.Vacated && !slices.Contains(e.Running, e.Start)},
	}
	var lacks []string
	for _, c := range checks {
		if !c.has {
			lacks = append(lacks, c.word)
		}
	}
	return lacks
}

func containsAll(all []string, wanted ...string) bool {
	for _, w := range wanted {
		if !slices.Contains(all, w) {
			return false
		}
	}
	return true
}

// from are the steps that leave a state, in the order of the file.
func (e *ExitProof) from(state string) []ExitStep {
	var steps []ExitStep
	for _, s := range e.Steps {
		if s.From == state {
			steps = append(steps, s)
		}
	}
	return steps
}

// idle reports whether a state counts as "not made": the one at power-up, and
// every other that the same steps lead out of.
func (e *ExitProof) idle(state string) bool {
	if state == e.Vacated || slices.Contains(e.Running, state) {
		return false
	}
	return state == e.Start || slices.EqualFunc(e.from(state), e.from(e.Start), func(a, b ExitStep) bool {
		return a.On == b.On && a.To == b.To && slices.Equal(a.While, b.While)
	})
}

// making reports whether a state lies on the way from not made to vacated.
func (e *ExitProof) making(state string) bool {
	return state != e.Vacated && !slices.Contains(e.Running, state) && !e.idle(state)
}

// onward are the steps that make the exit proof: out of a state in which it is
// not made or being made, to one that is not idle.
func (e *ExitProof) onward() []ExitStep {
	var steps []ExitStep
	for _, s := range e.Steps {
		if (e.idle(s.From) || e.making(s.From)) && !e.idle(s.To) {
			steps = append(steps, s)
		}
	}
	return steps
}

func (e *ExitProof) beginsInOrder() bool {
	begins := 0
	for _, s := range e.onward() {
		if !e.idle(s.From) {
			continue
		}
		begins++
		if !e.making(s.To) || !containsAll(s.While, "engine-turning", "parking-brake-set", "hood-shut") {
			return false
		}
	}
	return begins > 0
}

// leaving is what the driver does, in order, before the vehicle is vacated.
var leaving = []string{"key-out", "opening-open", "all-shut"}

// driverLeaves walks all rows of events with a count of how much of the leaving
// was seen; vacated must not be entered with less than all of it.
func (e *ExitProof) driverLeaves() bool {
	for _, s := range e.onward() {
		if slices.Contains(leaving, s.On) && !containsAll(s.While, "engine-turning", "parking-brake-set", "brake-free") {
			return false
		}
	}
	type place struct {
		state string
		seen  int
	}
	reached := map[place]bool{{e.Start, 0}: true}
	open := []place{{e.Start, 0}}
	for len(open) > 0 {
		at := open[0]
		open = open[1:]
		for _, s := range e.from(at.state) {
			next := place{s.To, at.seen}
			switch {
			case e.idle(s.To):
				next.seen = 0
			case at.seen < len(leaving) && s.On == leaving[at.seen]:
				next.seen++
			}
			if next.seen < len(leaving) && (s.To == e.Vacated || slices.Contains(e.Running, s.To)) {
				return false
			}
			if !reached[next] {
				reached[next] = true
				open = append(open, next)
			}
		}
	}
	return e.reachable(e.Start)[e.Vacated]
}

func (e *ExitProof) stopsEngine() bool {
	for _, s := range e.Steps {
		if s.To == e.Vacated && s.From != e.Vacated && !s.Stops {
			return false
		}
	}
	return true
}

// cancels reports whether each event leads from the state to an idle one, with
// the engine stopped where that is asked for, and without a condition.
func (e *ExitProof) cancels(state string, stopping bool, events ...string) bool {
	if slices.Contains(e.Inputs, "clutch") {
		events = append(slices.Clone(events), "clutch-pressed")
	}
	for _, event := range events {
		i := slices.IndexFunc(e.Steps, func(s ExitStep) bool { return s.From == state && s.On == event })
		if i < 0 || !e.idle(e.Steps[i].To) || len(e.Steps[i].While) > 0 || (stopping && !e.Steps[i].Stops) {
			return false
		}
	}
	return true
}

// cancelledWhileMade: the exit itself does not cancel, but once all is shut any
// opening does; the key cancels by coming back, so only once it is out.
func (e *ExitProof) cancelledWhileMade() bool {
	for _, state := range e.states() {
		if !e.making(state) {
			continue
		}
		events := []string{"hood-open", "brake-pressed", "parking-brake-off", "stall", "alarm", "supply-lost", "limit"}
		if e.after(state, "key-out") {
			events = append(events, "key-in")
		}
		if e.after(state, "all-shut") {
			events = append(events, "opening-open")
		}
		if !e.cancels(state, false, events...) {
			return false
		}
	}
	return true
}

// after reports whether every way from power-up to the state passes the event:
// without the onward steps of that event the state cannot be reached.
func (e *ExitProof) after(state, event string) bool {
	without := &ExitProof{Start: e.Start}
	for _, s := range e.Steps {
		if s.On != event {
			without.Steps = append(without.Steps, s)
		}
	}
	return !without.reachable(e.Start)[state]
}

func (e *ExitProof) cancelledWhileRunning() bool {
	for _, state := range e.Running {
		if !e.cancels(state, true, "opening-open", "hood-open", "brake-pressed", "parking-brake-off", "key-in", "alarm", "supply-lost") {
			return false
		}
	}
	return len(e.Running) > 0
}

// signalsApart: whoever stands beside the vehicle must see whether it is vacated
// or was cancelled.
func (e *ExitProof) signalsApart() bool {
	vacated := e.Shows[e.Vacated]
	if vacated == "" || vacated == "nothing" {
		return false
	}
	for _, s := range e.Steps {
		if e.idle(s.To) && !e.idle(s.From) {
			if shown := e.Shows[s.To]; shown == "" || shown == "nothing" || shown == vacated {
				return false
			}
		}
	}
	return true
}
