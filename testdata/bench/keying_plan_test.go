package bench

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/keying"
)

// The device: 5 banks of 24 options, a tap steps to the next option, a hold to the next bank at the same item, the
// brake takes the next of three values. Everything starts at the first value.
const (
	banks = 5
	items = 24
)

func bigDevice(tb testing.TB, cursor string) *keying.Device {
	p := &profile.Profile{ID: "big", Kind: profile.Controller}
	k := &profile.Keying{Levels: "side-by-side", Store: "press", Cursor: cursor}
	k.Enter.Steps, k.Leave.Steps = []string{"key-run", "tap", "tap", "key-off", "key-run"}, []string{"key-off"}
	k.Bank = profile.Level{Way: "forward", Input: "hold-2", Shows: []string{"led number", "lamps value"}}
	k.Option = profile.Level{Way: "forward", Input: "tap", Shows: []string{"led number", "lamps value"}}
	k.Value = profile.Level{Way: "cycle", Input: "brake", Shows: []string{"horn value"}}
	for n := range banks * items {
		o := profile.Option{ID: fmt.Sprintf("o%d", n), How: "keyed", Bank: n/items + 1, Item: n%items + 1, Factory: "a"}
		for _, v := range []string{"a", "b", "c"} {
			o.Values = append(o.Values, profile.OptionValue{Name: v, Is: map[string]string{"bench." + o.ID: v}})
		}
		p.Options = append(p.Options, o)
	}
	p.Keying = k
	d, err := keying.Compile("controller", p)
	if err != nil {
		tb.Fatal(err)
	}
	return d
}

// changes draws n options with one or two steps each, the same for every contender.
func changes(n int) (cells []int, steps []int) {
	r := rand.New(rand.NewPCG(7, uint64(n)))
	for _, o := range r.Perm(banks * items)[:n] {
		cells, steps = append(cells, o), append(steps, 1+r.IntN(2))
	}
	return cells, steps
}

func snapshots(tb testing.TB, d *keying.Device, n int) (start, target setting.Snapshot) {
	values := d.Machine.Factory()
	start, err := d.Snapshot(values, setting.OriginFactory)
	if err != nil {
		tb.Fatal(err)
	}
	cells, steps := changes(n)
	for i, c := range cells {
		values[c] = int8(steps[i])
	}
	target, err = d.Snapshot(values, setting.OriginKeyed)
	if err != nil {
		tb.Fatal(err)
	}
	return start, target
}

func circumstances() keying.Circumstances {
	return keying.Circumstances{Wired: []string{"led", "horn", "lamps", "button", "brake", "ignition", "supply"}}
}

// BenchmarkKeyingPlan times the whole card: optimum with proof, words, expected answers, closing check.
func BenchmarkKeyingPlan(b *testing.B) {
	for _, cursor := range []string{"kept", "reset"} {
		for _, n := range []int{20, 40} {
			b.Run(fmt.Sprintf("%s-%d-changes", cursor, n), func(b *testing.B) {
				d := bigDevice(b, cursor)
				start, target := snapshots(b, d, n)
				var card keying.Card
				for b.Loop() {
					var err error
					if card, err = keying.Plan(d, start, target, circumstances()); err != nil {
						b.Fatal(err)
					}
				}
				if !card.Proved {
					b.Fatal("not proved")
				}
				b.ReportMetric(float64(card.Presses), "presses")
				b.ReportMetric(float64(card.Presses)/float64(card.InOrder), "of-menu-order")
			})
		}
	}
}

// BenchmarkKeyingFullSpace is the reference: Dijkstra's search with a queue of buckets over the full space of
// cursor and changes made, 120 cells times a million sets, for the same 20 changes with a kept cursor.
func BenchmarkKeyingFullSpace(b *testing.B) {
	d := bigDevice(b, "kept")
	start, target := snapshots(b, d, 20)
	card, err := keying.Plan(d, start, target, circumstances())
	if err != nil {
		b.Fatal(err)
	}
	const session = 6 // presses of entry and exit
	for b.Loop() {
		if got := fullSpace(20) + session; got != card.Presses {
			b.Fatalf("full space %d presses, card %d", got, card.Presses)
		}
	}
	b.ReportMetric(float64(card.Presses), "presses")
}

func fullSpace(n int) int {
	cells, steps := changes(n)
	at := make([]int8, banks*items)
	for i := range at {
		at[i] = -1
	}
	for i, c := range cells {
		at[c] = int8(i)
	}
	const unseen = 255
	dist := make([]uint8, banks*items<<n)
	for i := range dist {
		dist[i] = unseen
	}
	var buckets [4][]uint32
	dist[0] = 0
	buckets[0] = append(buckets[0], 0)
	for cost := 0; ; cost++ {
		now := buckets[cost%4]
		buckets[cost%4] = nil
		for len(now) > 0 {
			s := now[len(now)-1]
			now = now[:len(now)-1]
			if int(dist[s]) != cost {
				continue
			}
			c, done := int(s>>n), s&(1<<n-1)
			if done == 1<<n-1 {
				return cost
			}
			reach := func(to uint32, w int) {
				if int(dist[to]) > cost+w {
					dist[to] = uint8(cost + w)
					buckets[(cost+w)%4] = append(buckets[(cost+w)%4], to)
				}
			}
			row, col := c/items, c%items
			reach(uint32(row*items+(col+1)%items)<<n|done, 1)
			reach(uint32((row+1)%banks*items+col)<<n|done, 1)
			if i := at[c]; i >= 0 && done>>i&1 == 0 {
				reach(s|1<<i, steps[i])
			}
		}
	}
}

// BenchmarkKeyingRecovery times the advice after a wrong count in the middle of the 40 changes, from the
// observation to the press that settles it or the card made anew.
func BenchmarkKeyingRecovery(b *testing.B) {
	d := bigDevice(b, "kept")
	start, target := snapshots(b, d, 40)
	values, err := d.Values(start)
	if err != nil {
		b.Fatal(err)
	}
	needs, _ := d.Needs(target)
	wrong := keying.Observation{{By: "led", Count: 23}}
	for _, name := range []string{"wrong-count", "lost"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				b.StopTimer()
				f := keying.NewFollow(d, values, needs, circumstances())
				for range 12 {
					f.Done()
				}
				b.StartTimer()
				if name == "lost" {
					f.Lost()
				} else {
					f.Saw(wrong)
				}
			}
		})
	}
}
