package keying

import (
	"math/rand/v2"
	"testing"

	"asleft/config/profile"
)

func demoDevice(t testing.TB, id string) *Device {
	t.Helper()
	p, ok := profile.Find(id)
	if !ok {
		t.Fatalf("no demo device %s", id)
	}
	d, err := Compile("controller", p)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

var demoIDs = []string{"demo-alder", "demo-birch", "demo-cedar", "demo-damson", "demo-elder"}

func fullCircumstances() Circumstances {
	senders := map[int]string{}
	for n := 1; n <= 13; n++ {
		senders[n] = "on the test remote"
	}
	return Circumstances{Wired: []string{"led", "horn", "siren", "lamps", "button", "brake", "ignition", "supply"}, Senders: senders, ButtonPresses: 2}
}

func randomValues(m *Machine, r *rand.Rand) []int8 {
	v := make([]int8, len(m.Options))
	for i, o := range m.Options {
		v[i] = int8(r.IntN(len(o.Values)))
	}
	return v
}

func TestDemoCardsPrint(t *testing.T) {
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		r := rand.New(rand.NewPCG(1, 1))
		start := d.Machine.Factory()
		to := randomValues(d.Machine, r)
		var needs []Need
		for i := range to {
			if r.IntN(3) == 0 {
				needs = append(needs, Need{i, []int{int(to[i])}})
			}
		}
		card := d.plan(start, needs, fullCircumstances())
		t.Logf("%s: %d presses (in order %d) %.0f s, proved %v, groups %d, remaining %v, blind %q, check %d", id, card.Presses, card.InOrder, card.Seconds, card.Proved, len(card.Groups), card.Remaining, card.Blind, len(card.Check))
		for _, row := range card.rows() {
			for _, s := range row {
				t.Logf("   %-70s | %-50s | %s", s.Hands, s.Expect.Text, s.Inputs)
			}
		}
		at, err := Execute(d.Machine, start, card)
		if err != nil {
			t.Error(id, err)
		}
		for _, n := range needs {
			if int(at.Stored[n.Option]) != n.Accept[0] {
				t.Errorf("%s: option %d is %d, want %d", id, n.Option, at.Stored[n.Option], n.Accept[0])
			}
		}
	}
}
