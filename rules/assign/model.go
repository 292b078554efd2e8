package assign

import (
	"errors"
	"math/bits"
	"slices"

	"asleft/rules/internal/search"
)

// ErrTooLarge says that a job has more remotes, gestures, channels or outputs than a plan can hold:
// over 64 of a kind, or so many that the aims of a plan no longer fit one number.
var ErrTooLarge = errors.New("too many remotes, gestures, channels or outputs for one plan")

// model is a problem in the shape that the search takes.
type model struct {
	p     *Problem
	joint search.Joint
	aims  aims
	items []int          // index into p.Functions of each item
	setup [][]setup      // by item and output
	alone [][]hardware   // by item and output, as the line's only output
	more  [][]hardware   // with others on the same line
	why   [][][]string   // by board, item and gesture: why not; "" when it may
	board []int          // index into p.Remotes of each board
	ties  tieParts       // what outputs of fixed use take
	bans  map[place]bool // places that a question rules out
}

// place is one gesture of one remote for one function, by index into the problem.
type place struct{ remote, function, gesture int }

// aims packs the fields of Cost into one number, the first field highest. Every field is wide
// enough for the most that any plan can have, so sums never run over.
type aims struct{ notReached, toSign, lacking, relays, diodes, unlike, effort, options int64 }

// stageAims are how many aims are proven when so many stages of the search are: first what can be had and
// with which parts, then all.
var stageAims = [...]int{0, 5, 8}

// widest is how many bits a packed cost may take.
const widest = 58

func packed(most Cost) (aims, bool) {
	unit, width := [8]int64{}, 0
	fields := most.Vector()
	for i := len(unit) - 1; i >= 0; i-- {
		unit[i] = 1 << min(width, widest)
		width += bits.Len(uint(fields[i]))
	}
	return aims{unit[0], unit[1], unit[2], unit[3], unit[4], unit[5], unit[6], unit[7]}, width <= widest
}

func (a aims) cost(n int64) Cost {
	return Cost{
		NotReached: int(n / a.notReached), ToSign: int(n % a.notReached / a.toSign), Lacking: int(n % a.toSign / a.lacking),
		Relays: int(n % a.lacking / a.relays), Diodes: int(n % a.relays / a.diodes),
		Unlike: int(n % a.diodes / a.unlike), Effort: int(n % a.unlike / a.effort), Options: int(n % a.effort / a.options),
	}
}

// newModel makes the search's problem out of p. Functions that are refused take no part.
func newModel(p *Problem, refused map[string]bool, bans map[place]bool) (*model, error) {
	m := &model{p: p, bans: bans, ties: p.tied()}
	for i := range p.Functions {
		if !refused[p.Functions[i].Name] {
			m.items = append(m.items, i)
		}
	}
	if len(p.Outputs) > 64 || len(p.Channels)+len(p.Outputs) > 64 {
		return nil, ErrTooLarge
	}
	m.fit()
	var ok bool
	if m.aims, ok = packed(m.most()); !ok {
		return nil, ErrTooLarge
	}
	m.joint.Skip, m.joint.Unlike = m.aims.notReached, m.aims.unlike
	for _, last := range []int64{m.aims.diodes, m.aims.options} {
		m.joint.Stages = append(m.joint.Stages, uint(bits.TrailingZeros64(uint64(last))))
	}
	switch {
	case p.Patience == 0:
		m.joint.Patience = DefaultPatience
	case p.Patience > 0:
		m.joint.Patience = p.Patience
	}
	m.ways()
	m.tools()
	m.boards()
	m.atStart()
	return m, nil
}

// fit finds for each item and output how the output is set and what parts it takes.
func (m *model) fit() {
	for _, i := range m.items {
		f := &m.p.Functions[i]
		var set []setup
		var alone, more []hardware
		shared := m.p.sharesLine(f, m.items)
		for k := range m.p.Outputs {
			o := &m.p.Outputs[k]
			s := setupFor(f, o)
			var a, b hardware
			if own := m.owner(k); own >= 0 && own != i {
				s.reason = "it is joined to " + m.p.Functions[own].Words
			}
			if len(f.Lines) == 0 {
				s.reason = "the function has no line"
			}
			if s.reason == "" {
				a, b = m.p.hardware(f, o, &s, shared), m.p.hardware(f, o, &s, true)
				s.reason = a.reason
			}
			set, alone, more = append(set, s), append(alone, a), append(more, b)
		}
		m.hold(f, set)
		m.setup, m.alone, m.more = append(m.setup, set), append(m.alone, alone), append(m.more, more)
	}
}

// hold rules every output out for a function whose line is joined already to one that does not
// suit: the join would work it as well.
func (m *model) hold(f *Function, set []setup) {
	k := m.p.output(f.Output)
	if f.Output == "" || k >= 0 && set[k].reason == "" {
		return
	}
	reason := "its line is joined to output " + f.Output + ", which is not an auxiliary output of the controller"
	if k >= 0 {
		reason = "its line is joined to output " + f.Output + ", and " + set[k].reason
	}
	for i := range set {
		set[i].reason = reason
	}
}

// sharesLine reports whether a line of f is worked for another reason as well: by another function
// that is wanted, or by an output of fixed use.
func (p *Problem) sharesLine(f *Function, items []int) bool {
	for _, line := range f.Lines {
		for _, i := range items {
			if g := &p.Functions[i]; g != f && slices.Contains(g.Lines, line) {
				return true
			}
		}
		for _, t := range p.Ties {
			if slices.Contains(t.Lines, line) {
				return true
			}
		}
	}
	return false
}

// most bounds every field of Cost from above. An output goes to one function at most, so what
// outputs take is bounded by the dearest function of each.
func (m *model) most() Cost {
	var most Cost
	for item, i := range m.items {
		f := &m.p.Functions[i]
		for _, w := range f.On {
			most.NotReached++
			most.Options++
			if f.nuisance() && w.Signed == "" {
				most.ToSign++
			}
			ease := 0
			if r := m.p.remote(w.Remote); r >= 0 {
				for _, g := range m.p.Remotes[r].Gestures {
					ease = max(ease, g.Ease)
				}
			}
			most.Effort += ease * presses[w.Use]
		}
		most.Unlike += len(f.On)
		if f.AtStart {
			most.NotReached++
		}
		most.Relays += len(m.commonSeries(item)) * len(f.Lines)
	}
	for k := range m.p.Outputs {
		var of Cost
		for i := range m.items {
			of.Relays = max(of.Relays, m.more[i][k].relays, m.alone[i][k].relays)
			of.Diodes = max(of.Diodes, m.more[i][k].diodes)
			of.Options = max(of.Options, len(m.setup[i][k].changed))
			of.Lacking = max(of.Lacking, len(m.setup[i][k].lacks))
		}
		most.Relays, most.Diodes = most.Relays+of.Relays, most.Diodes+of.Diodes
		most.Options, most.Lacking = most.Options+of.Options, most.Lacking+of.Lacking
	}
	return most
}

func (p *Problem) remote(name string) int {
	for i := range p.Remotes {
		if p.Remotes[i].Name == name {
			return i
		}
	}
	return -1
}

func (p *Problem) output(name string) int {
	for i := range p.Outputs {
		if p.Outputs[i].Name == name {
			return i
		}
	}
	return -1
}

// ways are the channels in the problem's order, and after them one for each output, over which a
// function that works by itself at remote start needs no channel.
func (m *model) ways() {
	for _, c := range m.p.Channels {
		var mask uint64
		for _, name := range c.Fires {
			k := m.p.output(name)
			if k < 0 || m.p.Outputs[k].Busy != "" || m.owner(k) >= 0 && !slices.Contains(m.items, m.owner(k)) {
				mask = 0 // it would work something else as well
				break
			}
			mask |= 1 << k
		}
		m.joint.Ways = append(m.joint.Ways, mask)
	}
	for k := range m.p.Outputs {
		m.joint.Ways = append(m.joint.Ways, 1<<k)
	}
}

// tools says what each output costs each item.
func (m *model) tools() {
	for i, fi := range m.items {
		f := &m.p.Functions[fi]
		var it search.JointItem
		it.Base = int64(len(m.commonSeries(i))*len(f.Lines)) * m.aims.relays
		for k := range m.p.Outputs {
			alone, shared := search.Never, search.Never
			if s := &m.setup[i][k]; s.reason == "" {
				own := int64(len(s.changed))*m.aims.options + int64(len(s.lacks))*m.aims.lacking
				alone = m.parts(m.alone[i][k]) + own - it.Base
				if m.more[i][k].reason == "" {
					shared = m.parts(m.more[i][k]) + own - it.Base
				}
			}
			it.Alone, it.Shared = append(it.Alone, alone), append(it.Shared, shared)
		}
		if k := m.p.output(f.Output); f.Output != "" && k >= 0 && it.Alone[k] < search.Never {
			it.Has = 1 << k
		}
		for c := range m.p.Channels {
			if does := m.p.Channels[c].Does; does != "" && does == f.Does {
				it.Free |= 1 << c
			}
		}
		m.joint.Items = append(m.joint.Items, it)
	}
}

func (m *model) parts(h hardware) int64 {
	return int64(h.relays)*m.aims.relays + int64(h.diodes)*m.aims.diodes
}

// commonSeries counts the interlocks that stand in series whatever output is taken: one contact on
// the line serves all outputs.
func (m *model) commonSeries(item int) []string {
	var common []string
	first := true
	for k := range m.p.Outputs {
		s := &m.setup[item][k]
		if s.reason != "" {
			continue
		}
		if first {
			common, first = slices.Clone(s.series), false
			continue
		}
		common = slices.DeleteFunc(common, func(c string) bool { return !slices.Contains(s.series, c) })
	}
	return common
}

// owner gives the function to which an output is joined already, -1 when it is free.
func (m *model) owner(output int) int {
	return slices.IndexFunc(m.p.Functions, func(f Function) bool { return f.Output != "" && f.Output == m.p.Outputs[output].Name })
}
