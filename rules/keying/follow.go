package keying

import (
	"cmp"
	"fmt"
	"slices"
)

// Follow keeps account of where a device is while hands follow a card. It takes observations, never
// guesses them, and has no default for one. It is pure: the same calls lead to the same state.
type Follow struct {
	d     *Device
	h     hands
	wired []string
	needs []Need // the required values, and of every other known option the value it was found with
	steps []Guided
	at    int
	base  Configuration // where the device is known to be
	made  []done        // steps made since, without an answer that was seen
	doubt []Guess       // where it may be, when that is not known
	probe string        // the input that was asked for to settle the doubt
	keyed []int         // options changed so far
}

// Guided is a step of the card with the heading it belongs to.
type Guided struct {
	Title string // "entry", "unlock-steps: 1 to 2", "exit", "check"
	Step
	option int
}

// Advice is what follows from an observation.
type Advice struct {
	As       Verdict
	Guesses  []Guess // where the device may be, when it was not as expected
	Input    string  // Settle: the input to give next
	Left     []string
	HandsOff float64 // seconds to do nothing first, so that no count is half made; 0 none
}

// Verdict is the kind of an advice.
type Verdict string

// The verdicts.
const (
	AsExpected Verdict = "as-expected" // go on
	Known      Verdict = "known"       // not as expected, but it is known where the device is: the card was made anew from there
	Settle     Verdict = "settle"      // give Input and say what is answered
	Reenter    Verdict = "re-enter"    // cannot be told apart: Left says how to leave; the card was made anew from outside
)

// NewFollow begins to follow a card made from values and needs.
func NewFollow(d *Device, values []int8, needs []Need, c Circumstances) *Follow {
	f := &Follow{d: d, h: hands{c}, base: d.Machine.At(values), needs: slices.Clone(needs)}
	for _, by := range []string{"led", "horn", "siren", "lamps"} {
		if slices.Contains(c.Wired, by) {
			f.wired = append(f.wired, by)
		}
	}
	w := newWork(d, f.h, values, needs)
	moved := make([]bool, len(values))
	for _, t := range w.tasks {
		for o := range values {
			moved[o] = moved[o] || d.Machine.touches(t.option, o)
		}
	}
	for o, v := range values {
		asked := slices.ContainsFunc(needs, func(n Need) bool { return n.Option == o })
		if !asked && v >= 0 && !moved[o] {
			f.needs = append(f.needs, Need{Option: o, Accept: []int{int(v)}})
		}
	}
	slices.SortFunc(f.needs, func(a, b Need) int { return cmp.Compare(a.Option, b.Option) })
	f.again()
	return f
}

// again makes the rest of the card anew from where the device is known to be.
func (f *Follow) again() {
	card := Card{Wired: f.wired}
	values := f.base.Stored
	if f.d.Machine.States[f.base.State].Inside {
		values = f.base.Working
	}
	begin := f.base.Clone()
	f.steps, f.at, f.made, f.doubt, f.probe = nil, 0, nil, nil, ""
	if s := f.d.Machine.States[begin.State]; !s.Inside && begin.State != f.d.Machine.Start {
		f.backOut(&begin)
	}
	w := newWork(f.d, f.h, slices.Clone(values), f.needs)
	w.begin.State = begin.State
	if f.d.Machine.States[begin.State].Inside {
		w.begin.Stored = slices.Clone(begin.Stored)
	}
	w.reread = f.keyed
	w.draw(&card, w.script(&card))
	add := func(title string, steps []Step, option int) {
		for _, s := range steps {
			f.steps = append(f.steps, Guided{Title: title, Step: s, option: option})
		}
	}
	add("entry", card.Entry, -1)
	for _, g := range card.Groups {
		o := slices.IndexFunc(f.d.Machine.Options, func(o Option) bool { return o.ID == g.Option })
		add(fmt.Sprintf("%s to %s", g.Option, g.To), g.Steps, o)
		if !slices.Contains(f.keyed, o) {
			f.keyed = append(f.keyed, o)
		}
	}
	add("exit", card.Exit, -1)
	add("check", card.Check, -1)
}

// Step is the step to make now; ok is false when the card is done. While a doubt is being settled
// there is no step, see Probe.
func (f *Follow) Step() (g Guided, left int, ok bool) {
	if f.at >= len(f.steps) || f.probe != "" {
		return Guided{}, 0, false
	}
	return f.steps[f.at], len(f.steps) - f.at, true
}

// Probe is the input asked for to settle a doubt, "" when there is none.
func (f *Follow) Probe() string { return f.probe }

// Finished tells that the card is done.
func (f *Follow) Finished() bool { return f.probe == "" && f.at >= len(f.steps) }

// At is where the device is known to be, as far as the answers tell.
func (f *Follow) At() Configuration {
	c, _, _ := f.d.Machine.playAll(f.base, f.made)
	return c
}

// Where says in words where a configuration stands.
func (f *Follow) Where(c Configuration) string { return f.d.Machine.States[c.State].Words }

func rowOf(s Step) []string {
	inputs, _ := ParseInputs("card", s.Inputs)
	row := make([]string, len(inputs))
	for i, in := range inputs {
		row[i] = in.Word
	}
	return row
}

// Done says that the step was made and that nothing of its answer was seen or could be.
func (f *Follow) Done() {
	if f.at >= len(f.steps) || f.probe != "" {
		return
	}
	f.made = append(f.made, done{row: rowOf(f.steps[f.at].Step)})
	f.at++
}

// Saw says that the step was made, or the probe given, and what was answered.
func (f *Follow) Saw(o Observation) Advice {
	if f.probe != "" {
		return f.sawProbe(o)
	}
	if f.at >= len(f.steps) {
		return Advice{As: AsExpected}
	}
	step := f.steps[f.at]
	f.made = append(f.made, done{row: rowOf(step.Step)})
	f.at++
	m := f.d.Machine
	c, answer, option := m.playAll(f.base, f.made)
	if open, ok := o.fits(answer.Seen(f.wired)); ok {
		if c, ok = m.settle(c, option, open); ok {
			f.base, f.made = c, nil
			if open > 0 || step.Until {
				f.again()
			}
			return Advice{As: AsExpected}
		}
	}
	f.doubt = m.guesses(f.h, f.wired, f.base, f.made, o, m.timing.Acknowledge)
	if len(f.doubt) == 0 {
		return f.Lost()
	}
	return f.settle()
}

// anywhere is every place where the device can be at rest, after the hands were off for a moment: nothing
// explains what was seen. What the option at hand holds is not known any more.
func (f *Follow) anywhere() []Guess {
	m := f.d.Machine
	c, _, _ := m.playAll(f.base, f.made)
	if f.at > 0 && f.at <= len(f.steps) {
		if o := f.steps[f.at-1].option; o >= 0 {
			c.Working[o] = -1
			if m.direct {
				c.Stored[o] = -1
			}
		}
	}
	var out []Guess
	for s, state := range m.States {
		if state.Inside && (state.Option >= 0 || m.grid == nil) || s == m.Start {
			at := c.Clone()
			at.State = s
			if s == m.Start && !m.direct {
				copy(at.Working, at.Stored)
			}
			out = append(out, Guess{At: at, Why: "nothing explains what was seen"})
		}
	}
	return out
}

// Lost says that the technician does not know where the device is.
func (f *Follow) Lost() Advice {
	f.doubt = f.anywhere()
	f.made, f.probe = nil, ""
	a := f.settle()
	a.HandsOff = f.handsOff()
	return a
}

// handsOff is how long it takes until no count is half made; less than any time-out.
func (f *Follow) handsOff() float64 {
	k := f.d.Profile.Keying
	gap := 0.0
	for _, l := range []float64{k.Bank.Gap, k.Option.Gap, k.Value.Gap} {
		gap = max(gap, l)
	}
	if gap == 0 {
		return 0
	}
	return gap + 1
}

// Out says that the device has left programming.
func (f *Follow) Out() Advice {
	m := f.d.Machine
	c, _, _ := m.playAll(f.base, f.made)
	c.State = m.Start
	if !m.direct {
		copy(c.Working, c.Stored)
		if f.d.Profile.Keying.TimeOut.Pending == "keeps" {
			for o := range c.Stored {
				if c.Working[o] != f.base.Working[o] {
					c.Stored[o], c.Working[o] = -1, -1
				}
			}
		}
	}
	f.doubt = []Guess{{At: c, Why: "it has left programming"}}
	return f.settle()
}

// Interrupted says that time went by without anybody pressing: the device may have timed out.
func (f *Follow) Interrupted() Advice {
	m := f.d.Machine
	c, _, _ := m.playAll(f.base, f.made)
	f.doubt = []Guess{{At: c, Why: "nothing has changed since"}}
	for range 3 {
		if _, ok := m.States[c.State].find("silence"); !ok || m.States[c.State].Limit == 0 {
			break
		}
		c, _ = m.Step(c, "silence")
		f.doubt = append(f.doubt, Guess{At: c, Why: "the time limit has run out since"})
	}
	f.doubt = distinct(f.doubt)
	return f.settle()
}

func distinct(in []Guess) []Guess {
	var out []Guess
	for _, g := range in {
		if !slices.ContainsFunc(out, func(h Guess) bool { return h.At.same(g.At) }) {
			out = append(out, g)
		}
	}
	return out
}

// settle goes on when one place is left, else asks for the press that tells the places apart.
func (f *Follow) settle() Advice {
	guesses := slices.Clone(f.doubt)
	if len(f.doubt) == 1 {
		f.base = f.doubt[0].At
		f.again()
		return Advice{As: Known, Guesses: guesses}
	}
	var set []Configuration
	for _, g := range f.doubt {
		set = addConfiguration(set, g.At)
	}
	if in, _, ok := f.d.Machine.next(f.h, f.wired, set, deepest); ok {
		f.probe = in
		return Advice{As: Settle, Guesses: guesses, Input: in}
	}
	left := f.leave(set)
	f.again()
	return Advice{As: Reenter, Guesses: guesses, Left: left}
}

// sawProbe keeps the places whose answer to the probe fits.
func (f *Follow) sawProbe(o Observation) Advice {
	m := f.d.Machine
	var left []Guess
	for _, g := range f.doubt {
		option := -1
		if move, ok := m.States[g.At.State].find(f.probe); ok {
			option = move.Option
		}
		next, answer := m.Step(g.At, f.probe)
		open, ok := o.fits(answer.Seen(f.wired))
		if !ok {
			continue
		}
		if next, ok = m.settle(next, option, open); ok {
			left = append(left, Guess{At: next, Why: g.Why})
		}
	}
	f.probe = ""
	if len(left) == 0 {
		return f.Lost()
	}
	f.doubt = distinct(left)
	return f.settle()
}
