package keying

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"slices"
	"testing"

	"asleft/config/profile"
	"asleft/config/setting"
)

// randomProfile invents a small device in one of the styles, sometimes with side effects.
func randomProfile(r *rand.Rand) *profile.Profile {
	banks, items := 1+r.IntN(3), 1+r.IntN(5)
	p := &profile.Profile{ID: "random", Kind: profile.Controller, Keying: randomStyle(r, banks)}
	for b := 1; b <= banks; b++ {
		p.Keying.Sizes = append(p.Keying.Sizes, items)
		for i := 1; i <= items; i++ {
			if r.IntN(5) > 0 || b*i == 1 {
				p.Options = append(p.Options, randomOption(r, b, i))
			}
		}
	}
	if r.IntN(3) == 0 {
		for range 1 + r.IntN(2) {
			randomEffect(r, p.Options)
		}
	}
	return p
}

func randomStyle(r *rand.Rand, banks int) *profile.Keying {
	k := &profile.Keying{Levels: "side-by-side", Store: []string{"press", "exit", "power-off"}[r.IntN(3)], Cursor: []string{"kept", "reset"}[r.IntN(2)]}
	k.Enter.Steps, k.Leave.Steps = []string{"key-run", "hold-5"}, []string{"key-off"}
	k.TimeOut = profile.TimeOut{Seconds: 30, Pending: "keeps"}
	k.Option = []profile.Level{
		{Way: "forward", Input: "tap", Shows: []string{"led number", "lamps value"}},
		{Way: "both", Input: "remote-1", Back: "remote-2", Shows: []string{"led number"}},
		{Way: "count", Input: "tap", Gap: 2, Shows: []string{"led number"}},
		{Way: "digits", Input: "tap", Back: "hold-1", Gap: 2, Shows: []string{"led number"}},
	}[r.IntN(4)]
	k.Value = profile.Level{Way: []string{"cycle", "count", "each"}[r.IntN(3)], Input: "brake", Inputs: []string{"remote-3", "remote-4", "remote-5"}, Gap: 2, Shows: []string{"lamps value"}}
	if r.IntN(5) == 0 {
		k.Levels, k.Up = "stacked", "hold-1"
		k.Option = profile.Level{Way: "count", Input: "tap", Gap: 2, Shows: []string{"led number"}}
		k.Value = profile.Level{Way: []string{"count", "cycle"}[r.IntN(2)], Input: "tap", Gap: 2, Shows: []string{"lamps value"}}
	}
	switch {
	case banks == 1:
	case k.Levels == "stacked":
		k.Bank = profile.Level{Way: "count", Input: "tap", Gap: 3}
	case r.IntN(2) == 0:
		k.Bank = profile.Level{Way: "count", Input: "hold-3", Gap: 3}
	default:
		k.Bank = profile.Level{Way: []string{"forward", "both"}[r.IntN(2)], Input: "hold-2", Back: "hold-4"}
	}
	return k
}

func randomOption(r *rand.Rand, bank, item int) profile.Option {
	o := profile.Option{ID: fmt.Sprintf("o%d-%d", bank, item), How: "keyed", Bank: bank, Item: item, Factory: "v1"}
	for v := 1; v <= 2+r.IntN(2); v++ {
		name := fmt.Sprintf("v%d", v)
		o.Values = append(o.Values, profile.OptionValue{Name: name, Is: map[string]string{"setting." + o.ID: name}})
	}
	if r.IntN(8) == 0 {
		o.Values[r.IntN(len(o.Values))].Silences = []string{"lamps"}
	}
	return o
}

// randomEffect lets a value of one option move another.
func randomEffect(r *rand.Rand, options []profile.Option) {
	a, b := &options[r.IntN(len(options))], &options[r.IntN(len(options))]
	if a.ID == b.ID {
		return
	}
	v := &a.Values[r.IntN(len(a.Values))]
	if v.Moves == nil {
		v.Moves = map[string]string{}
	}
	v.Moves[b.ID] = b.Values[r.IntN(len(b.Values))].Name
}

// drawnOrder is a made-up order of safety: of each setting the safer values stand higher, or it is neutral.
type drawnOrder int

func (d drawnOrder) Bearing(name string, from, to setting.Value) Bearing {
	switch h := fnv32(name) + uint32(d); {
	case h%3 == 0, from == to:
		return Neutral
	case (h%3 == 1) == (to > from):
		return Tightens
	}
	return Loosens
}

func fnv32(s string) uint32 {
	h := fnv.New32a()
	h.Write([]byte(s))
	return h.Sum32()
}

// TestOptimumOfRandomDevices: presses and time of the card equal those of Dijkstra's search over the full
// space; the printed card lands on the required values, touches nothing else, and is safe at every prefix.
func TestOptimumOfRandomDevices(t *testing.T) {
	const seed = 20261125
	devices := counted(2400)
	r := rand.New(rand.NewPCG(seed, 1))
	t.Logf("seed %d, %d devices", seed, devices)
	effects, cyclic := 0, 0
	for n := range devices {
		d, err := Compile("controller", randomProfile(r))
		if err != nil {
			t.Fatalf("device %d: %v", n, err)
		}
		start, to := randomValues(d.Machine, r), randomValues(d.Machine, r)
		var needs []Need
		for i := range to {
			if len(needs) < 7 && r.IntN(3) > 0 {
				needs = append(needs, Need{i, []int{int(to[i])}})
			}
		}
		w, err := compareWithFullSpace(d, start, needs, drawnOrder(r.IntN(1<<30)))
		if err != nil {
			t.Fatalf("device %d: %v", n, err)
		}
		if w.cyclic {
			cyclic++
		}
		for o := range d.Machine.Options {
			if len(w.tasks) > 0 && d.Machine.touchesAny(o) {
				effects++
				break
			}
		}
	}
	t.Logf("%d with side effects, %d of them in a circle", effects, cyclic)
}

func compareWithFullSpace(d *Device, start []int8, needs []Need, order Order) (*work, error) {
	c := fullCircumstances()
	c.Order = order
	w, card := newWork(d, hands{c}, start, needs), d.plan(start, needs, c)
	if len(w.tasks) == 0 {
		if card.Presses != 0 || len(card.Groups) != 0 {
			return w, fmt.Errorf("nothing to do, but the card has %d presses", card.Presses)
		}
		return w, nil
	}
	want, ok := oracle(d.Machine, w)
	if !ok && w.cyclic && len(card.Groups) == 0 && len(card.Remaining) > 0 {
		return w, nil // two options move each other away: no order reaches both, and the card says so
	}
	if k := d.Profile.Keying; !ok || presses(want) != card.Presses || seconds(want) != card.HandSeconds || !card.Proved {
		return w, fmt.Errorf("%s/%s/%s, cursor %s, %d tasks: card %d presses and %.1f s, proved %v; full space %d and %.1f s, %v; remaining %v",
			k.Bank.Way, k.Option.Way, k.Value.Way, k.Cursor, len(w.tasks), card.Presses, card.HandSeconds, card.Proved, presses(want), seconds(want), ok, card.Remaining)
	}
	at, err := Execute(d.Machine, start, card)
	if err != nil {
		return w, err
	}
	for o, v := range w.target {
		if v >= 0 && at.Stored[o] != v || v < 0 && at.Stored[o] != start[o] {
			return w, fmt.Errorf("option %d ends as %d; found %d, required %d", o, at.Stored[o], start[o], v)
		}
	}
	return w, safeAtEveryPrefix(d, start, card, c.Order)
}

// randomMachine writes a small machine out: states at random with transitions that lead anywhere, one option in most of
// them, and a way out of some.
func randomMachine(r *rand.Rand) *profile.Profile {
	p := &profile.Profile{ID: "written", Kind: profile.Controller, Keying: &profile.Keying{Begin: "s0"}}
	for i := range 2 + r.IntN(2) {
		p.Options = append(p.Options, randomOption(r, 1, i+1))
	}
	n := 3 + r.IntN(4)
	name := func(i int) string { return fmt.Sprintf("s%d", i) }
	for i := range n {
		s := profile.KeyingState{Name: name(i), Words: name(i), Limit: 20}
		if i > 0 && r.IntN(5) > 0 {
			s.Option = p.Options[r.IntN(len(p.Options))].ID
		}
		for _, on := range []string{"tap", "brake", "hold-2", "silence"} {
			if i > 0 && r.IntN(4) == 0 {
				continue
			}
			m := profile.KeyingMove{On: on, To: name(r.IntN(n)), Shows: []string{"led " + fmt.Sprint(1+r.IntN(3))}}
			if s.Option != "" && r.IntN(2) == 0 && on != "silence" {
				m.Does, m.To = []string{"next", "set v1", "set v2"}[r.IntN(3)], name(1+r.IntN(n-1))
			}
			s.Moves = append(s.Moves, m)
		}
		p.Keying.States = append(p.Keying.States, s)
	}
	return p
}

// TestOptimumOfWrittenMachines: the same for machines that are written out, of which many can do only part of
// what is required; the card then says so, exactly when the full space has no way.
func TestOptimumOfWrittenMachines(t *testing.T) {
	const seed = 41
	machines := counted(3000)
	r := rand.New(rand.NewPCG(seed, 1))
	possible, impossible := 0, 0
	for n := range machines {
		d, err := Compile("controller", randomMachine(r))
		if err != nil {
			t.Fatal(err)
		}
		start, to := randomValues(d.Machine, r), randomValues(d.Machine, r)
		var needs []Need
		for i := range to {
			needs = append(needs, Need{i, []int{int(to[i])}})
		}
		c := fullCircumstances()
		c.Order = drawnOrder(r.IntN(1 << 30))
		w := newWork(d, hands{c}, start, needs)
		if len(w.tasks) == 0 {
			continue
		}
		card := d.plan(start, needs, c)
		want, ok := oracle(d.Machine, w)
		switch {
		case !ok && len(card.Remaining) == 0:
			t.Fatalf("machine %d: the full space has no way, the card leaves nothing", n)
		case !ok:
			impossible++
		case presses(want) != card.Presses || seconds(want) != card.HandSeconds:
			t.Fatalf("machine %d: card %d presses and %.1f s, full space %d and %.1f s; remaining %v", n, card.Presses, card.HandSeconds, presses(want), seconds(want), card.Remaining)
		default:
			possible++
			if at, err := Execute(d.Machine, start, card); err != nil || !slices.Equal(at.Stored, to) {
				t.Fatalf("machine %d: ends as %v, want %v, %v", n, at.Stored, to, err)
			}
		}
	}
	t.Logf("seed %d: %d cards, %d machines that cannot", seed, possible, impossible)
}
