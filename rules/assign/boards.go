package assign

import (
	"slices"

	"asleft/rules/internal/search"
)

// boards makes one board of each remote that anything is wanted on.
func (m *model) boards() {
	labels := map[string]int{}
	for r := range m.p.Remotes {
		remote := &m.p.Remotes[r]
		var b search.Board
		for g := range remote.Gestures {
			gesture := &remote.Gestures[g]
			sign := gesture.signature()
			if _, seen := labels[sign]; !seen {
				labels[sign] = len(labels)
			}
			b.Slots = append(b.Slots, search.Slot{Label: labels[sign], Ways: m.sends(gesture)})
		}
		why := make([][]string, len(m.items))
		wanted := false
		for i, fi := range m.items {
			var row []int64
			if w := m.p.Functions[fi].wanted(remote.Name); w != nil {
				row, why[i] = m.row(r, fi, w)
				wanted = true
			}
			b.Cost = append(b.Cost, row)
		}
		if wanted {
			m.joint.Boards, m.board, m.why = append(m.joint.Boards, b), append(m.board, r), append(m.why, why)
		}
	}
}

// wanted gives the wish of f for a remote, nil without.
func (f *Function) wanted(remote string) *Wanted {
	for i := range f.On {
		if f.On[i].Remote == remote {
			return &f.On[i]
		}
	}
	return nil
}

// sends gives the channels that a gesture can send, as a set over the problem's channels.
func (m *model) sends(g *Gesture) uint64 {
	var set uint64
	for c := range m.p.Channels {
		n := m.p.Channels[c].Number
		if g.Channel == n || g.Channel == 0 && slices.Contains(g.Teachable, n) {
			set |= 1 << c
		}
	}
	return set
}

// row is what function f costs on each gesture of remote r.
func (m *model) row(r, f int, w *Wanted) (cost []int64, why []string) {
	remote, function := &m.p.Remotes[r], &m.p.Functions[f]
	for g := range remote.Gestures {
		gesture := &remote.Gestures[g]
		reason := gesture.forbidden(remote, function, w)
		if reason == "" && m.bans[place{r, f, g}] {
			reason = "ruled out by the question"
		}
		c := search.Never
		if reason == "" {
			c = int64(gesture.Ease*presses[w.Use]) * m.aims.effort
			if function.nuisance() && gesture.tap() && w.Signed == "" {
				c += m.aims.toSign
			}
			if gesture.Channel == 0 {
				c += m.aims.options
			}
		}
		cost, why = append(cost, c), append(why, reason)
	}
	return cost, why
}

// atStart makes a board with one slot for each function that works by itself at remote start, so
// that it gets an output though no remote may ask for it.
func (m *model) atStart() {
	own := uint64(1)<<len(m.p.Outputs) - 1
	for i, fi := range m.items {
		if !m.p.Functions[fi].AtStart {
			continue
		}
		b := search.Board{Slots: []search.Slot{{Label: search.AnyLabel, Ways: own << len(m.p.Channels)}}, Cost: make([][]int64, len(m.items))}
		b.Cost[i] = []int64{0}
		m.joint.Boards, m.board = append(m.joint.Boards, b), append(m.board, -1)
		m.why = append(m.why, make([][]string, len(m.items)))
	}
}
