package keying

import "slices"

// missing finds where and how the tasks can be done. It returns the options for which there is no
// place in this job, with the reason.
func (w *work) missing() map[int]string {
	missing := map[int]string{}
	for i := range w.tasks {
		t := &w.tasks[i]
		var why string
		t.places, why = w.changePlaces(t)
		if len(t.places) == 0 {
			missing[t.option] = why
		}
	}
	return missing
}

func (w *work) changePlaces(t *task) ([]place, string) {
	m := w.d.Machine
	var out []place
	why := "no input changes it"
	for s := range m.States {
		state := &m.States[s]
		if !state.Inside {
			continue
		}
		for _, move := range state.Moves {
			if move.Option != t.option || !(move.Does == Next || move.Does == Set && move.Value == t.to) {
				continue
			}
			if ok, lacks := w.h.able(move.On); !ok {
				why = lacks
				continue
			}
			p, lacks := w.change(t, s, move)
			if lacks != "" {
				why = lacks
				continue
			}
			out = append(out, p)
		}
	}
	return out, why
}

func (w *work) change(t *task, s int, move Move) (place, string) {
	m := w.d.Machine
	step := w.h.weigh(&m.States[s], move.On)
	n := len(m.Options[t.option].Values)
	p := place{at: s, end: move.To, row: []string{move.On}, cost: step}
	switch {
	case move.Does == Set:
	case move.To != s && w.d.Machine.grid != nil:
		return p, "each press leads away from the option"
	case t.from >= 0:
		times := (t.to - t.from + n) % n
		p.row, p.cost = slices.Repeat(p.row, times), step*times
	case !w.sees(move.Shows):
		return p, "its present value is not known, and the device shows none that can be seen in this job"
	case w.silencedBefore(t, move.Shows):
		return p, "its present value is not known, and what the device shows of it is switched off by a guard that comes first"
	default:
		p.most, p.cost = n, step*n
	}
	return p, ""
}

// silencedBefore tells whether every path that shows a value is switched off by a task that may come first.
func (w *work) silencedBefore(t *task, shows []Signal) bool {
	for _, s := range shows {
		if s.Of != "value" || !slices.Contains(w.h.c.Wired, s.By) {
			continue
		}
		off := slices.ContainsFunc(w.tasks, func(other task) bool {
			return other.option != t.option && other.rank <= t.rank && slices.Contains(w.silences(&other), s.By)
		})
		if !off {
			return false
		}
	}
	return true
}

// sees tells whether a value can be read from the answer in this job.
func (w *work) sees(shows []Signal) bool {
	now := Configuration{Stored: w.start}
	return slices.ContainsFunc(shows, func(s Signal) bool {
		return s.Of == "value" && slices.Contains(w.h.c.Wired, s.By) && !w.d.Machine.silenced(now, s.By) && (w.asking || !w.d.Machine.mayBeSilenced(now, s.By))
	})
}

// readPlaces finds the transitions that show the value of an option and change nothing.
func (w *work) readPlaces(option int) []place {
	m := w.d.Machine
	var out []place
	for s := range m.States {
		state := &m.States[s]
		for _, move := range state.Moves {
			if !state.Inside || move.Does != None || move.Option != option || !m.States[move.To].Inside || !w.sees(move.Shows) {
				continue
			}
			if ok, _ := w.h.able(move.On); ok {
				out = append(out, place{at: s, row: []string{move.On}, cost: w.h.weigh(state, move.On), end: move.To})
			}
		}
	}
	return w.arrived(out)
}

// arrived makes one place of many: where every way into a state shows the value, it is enough to come there.
// The state where a session begins is no such place, since nothing has shown its value yet.
func (w *work) arrived(places []place) []place {
	if len(places) == 0 || places[0].end == w.d.Machine.First || w.d.Machine.grid == nil {
		return places
	}
	end, ways := places[0].end, 0
	for _, p := range places {
		if p.end != end {
			return places
		}
	}
	for s := range w.d.Machine.States {
		for _, move := range w.d.Machine.States[s].Moves {
			able, _ := w.h.able(move.On)
			if able && move.To == end && s != end && move.Does == None && w.d.Machine.States[s].Inside {
				ways++
			}
		}
	}
	if ways != len(places) {
		return places
	}
	return []place{{at: end, end: end}}
}
