package keying

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"asleft/config/profile"
)

// bigProfile is a device of 5 banks with 24 options each, stepped forward; presses of the brake take the
// next of three values.
func bigProfile(cursor string) *profile.Profile {
	p := &profile.Profile{ID: "big", Kind: profile.Controller}
	k := &profile.Keying{Levels: "side-by-side", Store: "press", Cursor: cursor}
	k.Enter.Steps, k.Leave.Steps = []string{"key-run", "tap", "tap", "key-off", "key-run"}, []string{"key-off"}
	k.Bank = profile.Level{Way: "forward", Input: "hold-2", Shows: []string{"led number", "lamps value"}}
	k.Option = profile.Level{Way: "forward", Input: "tap", Shows: []string{"led number", "lamps value"}}
	k.Value = profile.Level{Way: "cycle", Input: "brake", Shows: []string{"lamps value"}}
	for b := 1; b <= 5; b++ {
		for i := 1; i <= 24; i++ {
			o := profile.Option{ID: fmt.Sprintf("o%d-%d", b, i), How: "keyed", Bank: b, Item: i, Factory: "a"}
			for _, v := range []string{"a", "b", "c"} {
				o.Values = append(o.Values, profile.OptionValue{Name: v, Is: map[string]string{"s." + o.ID: v}})
			}
			p.Options = append(p.Options, o)
		}
	}
	p.Keying = k
	return p
}

func drawNeeds(m *Machine, r *rand.Rand, n int) []Need {
	var needs []Need
	for _, o := range r.Perm(len(m.Options))[:n] {
		needs = append(needs, Need{o, []int{1 + r.IntN(2)}})
	}
	return needs
}

func TestBigDevices(t *testing.T) {
	for _, cursor := range []string{"reset", "kept"} {
		d, err := Compile("controller", bigProfile(cursor))
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range []int{10, 20, 40} {
			r := rand.New(rand.NewPCG(7, uint64(n)))
			begin := time.Now()
			card := d.plan(d.Machine.Factory(), drawNeeds(d.Machine, r, n), fullCircumstances())
			t.Logf("%s %d: %v, %d presses, in order %d, proved %v", cursor, n, time.Since(begin), card.Presses, card.InOrder, card.Proved)
		}
	}
}

// TestCrowdedMenus: where a rank has many tasks the laps decide; the cards equal Dijkstra's search over the full space.
func TestCrowdedMenus(t *testing.T) {
	const seed = 31
	menus := counted(40)
	t.Logf("seed %d, %d menus", seed, menus)
	r := rand.New(rand.NewPCG(seed, 5))
	for n := range menus {
		p := bigProfile("kept")
		rows, cols := 2+r.IntN(2), 3+r.IntN(3)
		p.Options = slices.DeleteFunc(p.Options, func(o profile.Option) bool { return o.Bank > rows || o.Item > cols })
		for i := range p.Options {
			p.Options[i].Values = p.Options[i].Values[:2]
		}
		d, err := Compile("controller", p)
		if err != nil {
			t.Fatal(err)
		}
		start := d.Machine.Factory()
		var needs []Need
		for _, o := range r.Perm(len(start))[:min(len(start), 11)] {
			needs = append(needs, Need{o, []int{1}})
		}
		c := fullCircumstances()
		if n%2 == 1 {
			c.Order = drawnOrder(n)
		}
		card := d.plan(start, needs, c)
		want, _ := oracle(d.Machine, newWork(d, hands{c}, start, needs))
		if card.Presses != presses(want) || card.HandSeconds != seconds(want) || !card.Proved {
			t.Fatalf("menu %d: %d presses, shortest %d", n, card.Presses, presses(want))
		}
		if _, err := Execute(d.Machine, start, card); err != nil {
			t.Fatal(err)
		}
	}
}
