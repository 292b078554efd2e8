package keying

import (
	"errors"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"asleft/config/profile"
	"asleft/config/setting"
)

// landing is one draw: what the device holds, what of it the card knows, and what is required.
type landing struct {
	start, known []int8
	needs        []Need
	c            Circumstances
}

func drawLanding(m *Machine, seed, n int) landing {
	r := rand.New(rand.NewPCG(uint64(seed), uint64(n)))
	l := landing{start: randomValues(m, r), c: fullCircumstances()}
	target := randomValues(m, r)
	l.known, l.c.Order = slices.Clone(l.start), drawnOrder(n)
	for o := range l.known {
		if n%3 == 0 && r.IntN(8) == 0 {
			l.known[o] = -1
		}
		if r.IntN(3) == 0 {
			l.needs = append(l.needs, Need{o, []int{int(target[o])}})
		}
	}
	if n%4 == 0 {
		l.c.Wired = slices.DeleteFunc(l.c.Wired, func(s string) bool {
			return (s == "led" || s == "horn" || s == "siren" || s == "lamps") && r.IntN(2) == 0
		})
	}
	return l
}

// wanted is what a card of this landing must leave in an option, with what it says to remain left alone.
func (l landing) wanted(m *Machine, o int, left map[string]bool) int8 {
	i := slices.IndexFunc(l.needs, func(n Need) bool { return n.Option == o })
	if i < 0 || slices.ContainsFunc(m.Options[o].settings(), func(s string) bool { return left[s] }) {
		return l.start[o]
	}
	return int8(l.needs[i].Accept[0])
}

// TestCardsLandExactly: for every demo device, from random values of which some are not known to the card, to random
// targets, over random wired paths, the printed card lands on exactly the required values whatever the unknown ones
// are, and changes nothing else. What it cannot bring about stands in the card.
func TestCardsLandExactly(t *testing.T) {
	const seed = 3
	runs := counted(150)
	t.Logf("seed %d, %d runs a device", seed, runs)
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		remaining := 0
		for n := range runs {
			l := drawLanding(d.Machine, seed, n)
			card := d.plan(l.known, l.needs, l.c)
			at, err := Execute(d.Machine, l.start, card)
			if err != nil {
				t.Fatalf("%s run %d: %v", id, n, err)
			}
			left := map[string]bool{}
			for _, x := range card.Remaining {
				left[x.Setting] = true
				remaining++
			}
			for o, option := range d.Machine.Options {
				want := l.wanted(d.Machine, o, left)
				if at.Stored[o] != want {
					t.Fatalf("%s run %d: option %s ends as %d, want %d", id, n, option.ID, at.Stored[o], want)
				}
				if held := card.End[o]; held.Value >= 0 && held.Value != int(want) {
					t.Fatalf("%s run %d: the card says that %s ends as %s", id, n, option.ID, held.Name)
				}
			}
		}
		t.Logf("%s: %d settings that could not be keyed in their job", id, remaining)
	}
}

// TestSmallDevicesAll: every start and every target of small devices in every style, against the full space.
func TestSmallDevicesAll(t *testing.T) {
	cases := 0
	for _, way := range []string{"forward", "both", "count", "digits"} {
		for _, bank := range []string{"", "forward", "both", "count"} {
			for _, cursor := range []string{"kept", "reset"} {
				if cursor == "kept" && (way == "count" || way == "digits" || bank == "" || bank == "count") {
					continue // nothing to keep
				}
				for _, value := range []string{"cycle", "count", "each"} {
					if bank != "" && (underRace || value != "cycle") {
						continue // with banks, values that are named are left to the random devices
					}
					d := smallDevice(t, way, bank, cursor, value)
					cases += everyPair(t, d)
				}
			}
		}
	}
	t.Logf("%d cards", cases)
}

func smallDevice(t *testing.T, way, bank, cursor, value string) *Device {
	k := &profile.Keying{Levels: "side-by-side", Store: "press", Cursor: cursor}
	k.Enter.Steps, k.Leave.Steps = []string{"key-run", "hold-5"}, []string{"key-off"}
	k.Option = profile.Level{Way: way, Input: "tap", Back: "hold-1", Gap: 2}
	k.Value = profile.Level{Way: value, Input: "brake", Inputs: []string{"remote-1", "remote-2", "remote-3"}, Gap: 2}
	banks, items := 1, 3
	if bank != "" {
		k.Bank = profile.Level{Way: bank, Input: "hold-2", Back: "hold-3", Gap: 2}
		banks, items = 2, 2
	}
	if bank == "forward" && way == "forward" {
		banks = 3
	}
	p := &profile.Profile{ID: way + "/" + bank + "/" + value, Keying: k}
	for b := 1; b <= banks; b++ {
		for i := 1; i <= items; i++ {
			id := strconv.Itoa(b) + "-" + strconv.Itoa(i)
			o := profile.Option{ID: id, How: "keyed", Bank: b, Item: i, Factory: "a", Values: []profile.OptionValue{{Name: "a"}, {Name: "b"}}}
			if b == 1 && i == 1 && value == "cycle" && banks < 3 {
				o.Values = append(o.Values, profile.OptionValue{Name: "c"})
			}
			p.Options = append(p.Options, o)
		}
	}
	d, err := Compile("controller", p)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func everyPair(t *testing.T, d *Device) int {
	all := [][]int8{nil}
	for _, o := range d.Machine.Options {
		var longer [][]int8
		for _, v := range all {
			for x := range o.Values {
				longer = append(longer, append(slices.Clone(v), int8(x)))
			}
		}
		all = longer
	}
	c, cases := fullCircumstances(), 0
	for _, start := range all {
		for _, to := range all {
			var needs []Need
			for o, v := range to {
				needs = append(needs, Need{o, []int{int(v)}})
			}
			card := d.plan(start, needs, c)
			w := newWork(d, hands{c}, start, needs)
			cases++
			if len(w.tasks) == 0 {
				continue
			}
			want, _ := oracle(d.Machine, w)
			if card.Presses != presses(want) || !card.Proved {
				t.Fatalf("%s cursor %s: %v to %v: %d presses, shortest %d", d.Profile.ID, d.Profile.Keying.Cursor, start, to, card.Presses, presses(want))
			}
			if at, err := Execute(d.Machine, start, card); err != nil || !slices.Equal(at.Stored, to) {
				t.Fatalf("%s: %v to %v: ends as %v, %v", d.Profile.ID, start, to, at.Stored, err)
			}
		}
	}
	return cases
}

// audible draws values at which a device still shows what it is asked: a device found silent shows nothing.
func audible(m *Machine, r *rand.Rand) []int8 {
	values := randomValues(m, r)
	for o, option := range m.Options {
		for len(option.Values[values[o]].Silences) > 0 {
			values[o] = int8(r.IntN(len(option.Values)))
		}
	}
	return values
}

// readAll lets a device answer a read-out: the last count of the answer that is asked for.
func readAll(out ReadOut, s *Simulator) (answers []string) {
	give := func(step Step) (last Answer) {
		inputs, _ := ParseInputs("", step.Inputs)
		for _, in := range inputs {
			for _, a := range s.Do(in).Answers {
				last = a
			}
		}
		return last
	}
	for _, step := range out.Entry {
		give(step)
	}
	for _, ask := range out.Asks {
		said := Unseen
		for i, step := range ask.Steps {
			if a := give(step); i == ask.Shown {
				said = strconv.Itoa(a[len(a)-1].Count)
			}
		}
		answers = append(answers, said)
	}
	for _, step := range out.Exit {
		give(step)
	}
	return answers
}

// TestReadOutReads: the read-out of every demo device tells what a device with random values holds, and leaves it as it was.
func TestReadOutReads(t *testing.T) {
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		out := PlanReadOut(d, fullCircumstances())
		t.Logf("%s: %d presses for %d options, proved %v, hidden %v", id, out.Presses, len(out.Asks), out.Proved, out.Hidden)
		if len(out.Asks) != len(d.Machine.Options) {
			t.Errorf("%s: %d of %d options can be read", id, len(out.Asks), len(d.Machine.Options))
		}
		for n := range 20 {
			values := audible(d.Machine, rand.New(rand.NewPCG(5, uint64(n))))
			s := NewSimulator(d.Machine, values)
			answers := readAll(out, s)
			if !slices.Equal(s.At.Stored, values) || s.At.State != d.Machine.Start {
				t.Fatalf("%s: the read-out changed %v to %v", id, values, s.At.Stored)
			}
			got, err := out.Snapshot(answers)
			if err != nil {
				t.Fatal(err)
			}
			want, _ := d.Snapshot(values, setting.OriginRead)
			if diff := setting.Differences(got, want); len(diff) > 0 {
				t.Fatalf("%s: differences %v", id, diff)
			}
		}
	}
}

// TestReadOutTakesNothingForGranted: an impossible count is refused, and what was not seen stays unknown.
func TestReadOutTakesNothingForGranted(t *testing.T) {
	for _, id := range demoIDs {
		out := PlanReadOut(demoDevice(t, id), fullCircumstances())
		for _, ask := range out.Asks {
			if ask.Counted == "" {
				t.Errorf("%s: %s does not say what to count", id, ask.Option)
			}
		}
		for _, bad := range []string{"99", "0", "", "two"} {
			if _, err := out.Snapshot(slices.Repeat([]string{bad}, len(out.Asks))); err == nil {
				t.Errorf("%s: %q was taken for a value", id, bad)
			}
		}
		if s, err := out.Snapshot(slices.Repeat([]string{Unseen}, len(out.Asks))); err != nil || s.Readings[0].Status != setting.StatusUnknown {
			t.Errorf("%s: unseen gives %v, %v", id, s.Readings[0], err)
		}
	}
}

// TestDeviceCannotHold: an as-found value that no value of the option has is refused by name.
func TestDeviceCannotHold(t *testing.T) {
	d := demoDevice(t, "demo-cedar")
	s, err := setting.NewSnapshot([]setting.Reading{{Key: setting.Key{Device: "controller", Setting: "run.minutes"}, Value: "45", Status: setting.StatusKnown, Origin: setting.OriginRead}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	var cannot *CannotHold
	if _, err := Plan(d, s, s, fullCircumstances()); !errors.As(err, &cannot) || cannot.Key.Setting != "run.minutes" || len(cannot.Can) != 4 {
		t.Errorf("got %v", err)
	}
}
