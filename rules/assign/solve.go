package assign

import (
	"fmt"
	"math/bits"
	"slices"
	"strconv"

	"asleft/rules/internal/search"
)

// Solve makes the plan. The only error is ErrTooLarge; what cannot be had is part of the plan.
func Solve(p Problem) (Plan, error) {
	plan, err := solve(&p, nil)
	if err != nil {
		return plan, err
	}
	err = plan.explainMisses()
	return plan, err
}

// choice is an answer of the search together with its problem.
type choice struct {
	m       *model
	placing search.Placing
	all     uint64 // outputs that are given away
}

func solve(p *Problem, bans map[place]bool) (Plan, error) {
	plan := Plan{problem: p, Notes: slices.Clone(p.Notes)}
	m, refused, err := modelOf(p, bans)
	plan.Refused = refused
	if err != nil {
		return plan, err
	}
	c := choice{m: m}
	if c.placing, err = m.joint.Best(); err != nil {
		return plan, ErrTooLarge
	}
	for _, set := range c.placing.Tools {
		c.all |= set
	}
	plan.choice = c
	plan.Cost = m.aims.cost(c.placing.Cost)
	plan.Cost.Relays += m.ties.relays
	plan.Cost.Diodes += m.ties.diodes
	plan.Nodes, plan.Proven = c.placing.Nodes, stageAims[c.placing.Proven]
	if doubt := doubtful(plan.Proven); doubt != "" {
		plan.Notes = append(plan.Notes, doubt)
	}
	plan.rows()
	plan.parts()
	plan.demands()
	return plan, nil
}

// doubtful says up to which aim a plan is proven best; nothing when it is in all of them.
func doubtful(proven int) string {
	if proven == len(aimNames) {
		return ""
	}
	return "the search was broken off: proven best up to, and not in, " + aimNames[proven][1]
}

// modelOf looks at the guards first: what is refused takes no part.
func modelOf(p *Problem, bans map[place]bool) (*model, []Refusal, error) {
	out := map[string]bool{}
	var refused []Refusal
	for _, r := range p.Refused {
		out[r.Function] = true
		refused = append(refused, r)
	}
	for i := range p.Functions {
		if r, bad := p.Functions[i].refusal(); bad && !out[r.Function] {
			out[r.Function] = true
			refused = append(refused, r)
		}
	}
	m, err := newModel(p, out, bans)
	return m, refused, err
}

// rows turns the answer into rows and misses.
func (plan *Plan) rows() {
	m := plan.choice.m
	for i, fi := range m.items {
		f := &m.p.Functions[fi]
		for b, r := range m.board {
			if r < 0 && m.joint.Boards[b].Cost[i] != nil && plan.choice.placing.Slot[b][i] < 0 {
				plan.NotReached = append(plan.NotReached, Miss{Function: f.Name, Words: f.Words, Remote: AtStart})
			}
			if r < 0 {
				continue
			}
			w := f.wanted(m.p.Remotes[r].Name)
			switch {
			case w == nil:
			case plan.choice.placing.Slot[b][i] < 0:
				plan.NotReached = append(plan.NotReached, Miss{Function: f.Name, Words: f.Words, Remote: w.Remote})
			default:
				plan.Rows = append(plan.Rows, plan.row(b, i, w))
			}
		}
	}
	for _, fi := range m.items {
		f := &m.p.Functions[fi]
		for _, w := range f.On {
			if m.p.remote(w.Remote) < 0 {
				plan.NotReached = append(plan.NotReached, Miss{Function: f.Name, Words: f.Words, Remote: w.Remote,
					Reason: "the job has no remote of that name"})
			}
		}
	}
}

// channel picks the lowest channel of the problem's order that serves item i on a slot.
func (c *choice) channel(b, i int) int {
	served := c.served(i) & c.m.joint.Boards[b].Slots[c.placing.Slot[b][i]].Ways
	return bits.TrailingZeros64(served)
}

// served gives the channels that work item i with the outputs given to it.
func (c *choice) served(i int) uint64 {
	set := c.m.joint.Items[i].Free
	mine := c.placing.Tools[i]
	for w, tools := range c.m.joint.Ways {
		if tools&mine != 0 && tools&c.all&^mine == 0 {
			set |= 1 << w
		}
	}
	return set
}

func (plan *Plan) row(b, i int, w *Wanted) Row {
	c := &plan.choice
	m := c.m
	f := &m.p.Functions[m.items[i]]
	remote := &m.p.Remotes[m.board[b]]
	g := &remote.Gestures[c.placing.Slot[b][i]]
	channel := &m.p.Channels[c.channel(b, i)]
	row := Row{
		Function: f.Name, Words: f.Words, Remote: remote.Name, For: remote.For, Gesture: g.ID, Buttons: g.Buttons,
		Press: g.press(f.heldBy()), Hold: f.heldBy(), Channel: channel.Number, Teach: g.Channel == 0,
		Lines: f.Lines, Signed: w.Signed, Use: w.Use, Because: c.because(b, i, g),
	}
	for _, name := range channel.Fires {
		if k := m.p.output(name); c.placing.Tools[i]>>k&1 == 1 {
			row.Outputs = append(row.Outputs, name)
			for _, l := range m.setup[i][k].lacks {
				row.Conditions = appendOnce(row.Conditions, l)
			}
		}
	}
	row.Conditions = append(plainAll(f.When), row.Conditions...)
	switch {
	case f.safety():
		row.Guard = "safety"
	case f.nuisance():
		row.Guard = "nuisance"
		row.ToSign = g.tap() && w.Signed == ""
	}
	return row
}

func appendOnce(words []string, w string) []string {
	for _, x := range words {
		if x == w {
			return words
		}
	}
	return append(words, w)
}

// because says in one sentence why item i sits on gesture g of board b.
func (c *choice) because(b, i int, g *Gesture) string {
	m := c.m
	f := &m.p.Functions[m.items[i]]
	open, freer := 0, 0
	for s, slot := range m.joint.Boards[b].Slots {
		if m.why[b][i][s] != "" || slot.Ways&c.served(i) == 0 {
			continue
		}
		open++
		if m.joint.Boards[b].Cost[i][s] < m.joint.Boards[b].Cost[i][c.placing.Slot[b][i]] {
			freer++
		}
	}
	guard := ""
	if f.safety() {
		guard = ", under the safety guard"
	}
	by := "channel " + strconv.Itoa(m.p.Channels[c.channel(b, i)].Number)
	switch w := f.wanted(m.p.Remotes[m.board[b]].Name); {
	case w.Gesture != "":
		return "the wish names this gesture; it sends " + by
	case open == 1:
		return fmt.Sprintf("the only gesture of this remote that may work it%s and can send %s", guard, by)
	case freer == 0:
		if f.nuisance() && w.Signed == "" {
			guard += " without a signature"
		}
		return fmt.Sprintf("the easiest gesture of this remote that may work it%s; it sends %s", guard, by)
	}
	return fmt.Sprintf("easier gestures went to what is used more, or would have made the remotes unlike; it sends %s", by)
}

// Optimum makes the plan without looking for changes that would help what is not reached.
func Optimum(p Problem) (Plan, error) { return solve(&p, nil) }
