package keying

import (
	"cmp"
	"slices"
)

// backOut puts before everything else the steps that lead from a half-made entry or exit to the outside.
func (f *Follow) backOut(begin *Configuration) {
	m := f.d.Machine
	dist, row := map[int]weight{begin.State: 0}, map[int][]string{begin.State: nil}
	open := nearest{{begin.State, 0}}
	for len(open) > 0 {
		slices.SortStableFunc(open, func(a, b reachable) int { return cmp.Compare(a.dist, b.dist) })
		at := open[0]
		open = open[1:]
		if at.state == m.Start || m.States[at.state].Inside {
			d := drawing{w: &work{d: f.d, h: f.h}, m: m, at: begin.Clone(), card: &Card{Wired: f.wired}}
			var acts []act
			for _, in := range row[at.state] {
				acts = append(acts, act{input: in, option: -1})
			}
			for _, s := range d.steps(acts) {
				f.steps = append(f.steps, Guided{Title: "back out", Step: s, option: -1})
			}
			*begin = d.at
			return
		}
		s := &m.States[at.state]
		for _, move := range s.Moves {
			if ok, _ := f.h.able(move.On); !ok || move.Does == Next || move.Does == Set || move.Does == Reset {
				continue
			}
			d := at.dist + f.h.weigh(s, move.On)
			if old, seen := dist[move.To]; !seen || d < old {
				dist[move.To] = d
				row[move.To] = append(slices.Clone(row[at.state]), move.On)
				open = append(open, reachable{move.To, d})
			}
		}
	}
	begin.State = m.Start
}

// leave finds a way out that serves wherever the device is, without storing where it can be helped, and makes
// base what is known afterwards.
func (f *Follow) leave(set []Configuration) []string {
	m := f.d.Machine
	rows := [][]string{{"silence"}, {"silence", "silence"}, {"silence", "silence", "silence"}, {"power-off", "power-on"}}
	if m.grid != nil {
		rows = append(rows, f.d.Profile.Keying.Leave.Steps)
	}
	var best []string
	for _, row := range rows {
		if slices.ContainsFunc(row, func(in string) bool { ok, _ := f.h.able(in); return !ok }) {
			continue
		}
		out, clean := true, true
		for _, c := range set {
			end, _, _ := m.play(c, row)
			out = out && end.State == m.Start
			clean = clean && slices.Equal(end.Stored, c.Stored)
		}
		if out && (clean || best == nil) {
			best = row
			if clean {
				break
			}
		}
	}
	merged := m.At(set[0].Stored)
	for i, c := range set {
		end, _, _ := m.play(c, best)
		if i == 0 {
			merged = m.At(end.Stored)
		}
		for o := range merged.Stored {
			if merged.Stored[o] != end.Stored[o] {
				merged.Stored[o], merged.Working[o] = -1, -1
			}
		}
	}
	f.base = merged
	return best
}
