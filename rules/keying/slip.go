package keying

import (
	"fmt"
	"slices"
	"strings"
)

// Guess is one place where a device may be, and what must have gone wrong for it.
type Guess struct {
	At  Configuration
	Why string // "one press too many"; "" when all went as the card says
}

// slip is one way in which hands do something else than a step says.
type slip struct {
	row []string
	why string
}

// slips lists what hands may have done instead of a row of inputs: itself first.
func (m *Machine) slips(from Configuration, row []string) []slip {
	out := []slip{{row, ""}}
	if len(row) == 0 {
		return out
	}
	word, n := row[0], len(row)
	tail := []string{}
	if n > 1 && row[n-1] == "silence" {
		n, tail = n-1, []string{"silence"}
	}
	times := func(k int) []string { return append(slices.Repeat([]string{word}, k), tail...) }
	if word != "silence" && !strings.HasPrefix(word, "key-") && !strings.HasPrefix(word, "power-") {
		if n > 1 {
			out = append(out, slip{times(n - 1), "one press too few, or one that was not taken"})
		}
		out = append(out, slip{times(n + 1), "one press too many, or the button bounced"})
		if n > 2 {
			out = append(out, slip{times(n - 2), "two presses too few"})
		}
		out = append(out, slip{times(n + 2), "two presses too many"})
	}
	if held, ok := holdSeconds(word); ok {
		out = append(out, slip{append(slices.Repeat([]string{"tap"}, n), tail...), "the hold was let go too soon"})
		out = append(out, slip{append([]string{fmt.Sprintf("hold-%v", held*3)}, tail...), "the hold was too long"})
	}
	if word == "tap" {
		out = append(out, slip{append([]string{"hold-2"}, times(n-1)...), "one tap was held too long"})
	}
	if strings.HasPrefix(word, "key-") {
		back := map[string]string{"key-run": "key-off", "key-off": "key-run", "key-acc": "key-off", "key-out": "key-off"}[word]
		out = append(out, slip{[]string{word, back, word}, "the ignition bounced"})
	}
	if len(tail) > 0 {
		for k := 1; k < n; k++ {
			out = append(out, slip{append(append(slices.Repeat([]string{word}, k), "silence"), times(n-k)...), fmt.Sprintf("a pause after %s", timesWords(k))})
		}
		out = append(out, slip{times(n)[:n], "the device is still waiting"})
	}
	out = append(out, slip{nil, "nothing was taken"})
	if m.States[from.State].Limit > 0 {
		out = append(out, slip{append([]string{"silence"}, row...), "the time limit had run out before"})
	}
	return out
}

func timesWords(k int) string {
	if k == 1 {
		return "the first press"
	}
	return fmt.Sprintf("press %d", k)
}

// done is a step that was made and not confirmed by an answer.
type done struct {
	row []string
}

// guesses finds where a device may be: from a known configuration some steps were made, and after the last of them
// something was observed. First one slip is allowed, and only when that explains nothing, two.
func (m *Machine) guesses(h hands, wired []string, base Configuration, steps []done, saw Observation, acknowledges bool) []Guess {
	for slips := 1; slips <= 2; slips++ {
		g := guessing{m: m, wired: wired, steps: steps, saw: saw, acknowledges: acknowledges}
		g.from(base, 0, slips, "")
		g.otherValues(base, slips)
		if len(g.out) > 0 {
			return g.out
		}
	}
	return nil
}

type guessing struct {
	m            *Machine
	wired        []string
	steps        []done
	saw          Observation
	acknowledges bool
	out          []Guess
}

func (g *guessing) from(c Configuration, at, left int, why string) {
	if at == len(g.steps) {
		return
	}
	for i, s := range g.m.slips(c, g.steps[at].row) {
		if i > 0 && left == 0 {
			return
		}
		next, answer, option := g.m.play(c, s.row)
		said, rest := why, left
		if i > 0 {
			rest--
			if said = s.why; why != "" {
				said = why + ", and " + s.why
			}
		}
		if at < len(g.steps)-1 {
			g.from(next, at+1, rest, said)
			continue
		}
		g.judge(next, answer, option, said, i == 0 && left > 0)
	}
}

// judge keeps a configuration whose answer fits what was seen.
func (g *guessing) judge(c Configuration, answer Answer, option int, why string, may bool) {
	seen := answer.Seen(g.wired)
	if open, ok := g.saw.fits(seen); ok {
		if c, ok = g.m.settle(c, option, open); ok {
			g.keep(c, why)
		}
		return
	}
	if !g.acknowledges || !may || len(seen) == 0 || seen[0].By != "led" || len(g.saw) == 0 || g.saw[0].Steady {
		return
	}
	one := slices.Clone(g.saw)
	one[0].Count--
	if _, ok := one.fits(seen); ok && one[0].Count > 0 {
		g.keep(c, strings.TrimPrefix(why+", and the flash that only acknowledges was counted", ", and "))
	}
}

func (g *guessing) keep(c Configuration, why string) {
	for i, have := range g.out {
		if have.At.same(c) {
			if !strings.Contains(have.Why, why) && why != "" && have.Why != "" {
				g.out[i].Why += ", or " + why
			}
			return
		}
	}
	g.out = append(g.out, Guess{At: c, Why: why})
}

// otherValues allows that an option did not hold what the card assumes.
func (g *guessing) otherValues(base Configuration, left int) {
	_, _, option := g.m.playAll(base, g.steps)
	if option < 0 {
		return
	}
	for v := range g.m.Options[option].Values {
		if int(base.Working[option]) == v {
			continue
		}
		c := base.Clone()
		c.Working[option] = int8(v)
		if g.m.direct || slices.Equal(base.Stored, base.Working) {
			c.Stored[option] = int8(v)
		}
		g.from(c, 0, left-1, "option "+g.m.Options[option].ID+" did not hold what the card assumes")
	}
}

// play gives a row of inputs and returns the last answer with the option it may speak of.
func (m *Machine) play(c Configuration, row []string) (Configuration, Answer, int) {
	var last Answer
	option := -1
	for _, in := range row {
		option = -1
		if move, ok := m.States[c.State].find(in); ok {
			option = move.Option
		}
		c, last = m.Step(c, in)
	}
	return c, last, option
}

func (m *Machine) playAll(c Configuration, steps []done) (Configuration, Answer, int) {
	var a Answer
	option := -1
	for _, s := range steps {
		c, a, option = m.play(c, s.row)
	}
	return c, a, option
}
