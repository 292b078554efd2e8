package keying

import (
	"fmt"
	"math/rand/v2"
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
