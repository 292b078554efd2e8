package keying

import (
	"container/heap"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"testing"

	"asleft/config/profile"
	"asleft/config/setting"
)

// The oracle knows nothing of tasks, places, routes or bounds: it walks the full space of control
// state and all values with Dijkstra's search, press by press, and applies the rules of a card: one
// session, only options that need a change, one option at a time, ranks in order.

type full struct {
	state  int
	open   int
	values string
}

type fullItem struct {
	at   full
	cost int
}
type fullHeap []fullItem

func (h fullHeap) Len() int           { return len(h) }
func (h fullHeap) Less(i, j int) bool { return h[i].cost < h[j].cost }
func (h fullHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *fullHeap) Push(x any)        { *h = append(*h, x.(fullItem)) }
func (h *fullHeap) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}

func oracle(m *Machine, w *work) (int, bool) {
	ranks := map[int]int{}
	after := map[int][]int{}
	for o := range m.Options {
		ranks[o] = rankMoved
	}
	for _, t := range w.tasks {
		ranks[t.option] = t.rank
		for _, b := range t.after {
			after[t.option] = append(after[t.option], w.tasks[b].option)
		}
	}
	wants := func(v string, o int) bool { return w.target[o] >= 0 && int8(v[o]) != w.target[o] }
	dist := map[full]int{}
	start := full{m.Start, -1, string(bytesOf(w.start))}
	dist[start] = 0
	open := fullHeap{{start, 0}}
	for len(open) > 0 {
		top := heap.Pop(&open).(fullItem)
		if top.cost > dist[top.at] {
			continue
		}
		if top.at.state == m.Start {
			done := true
			for o := range w.target {
				done = done && !wants(top.at.values, o)
			}
			if done {
				return top.cost, true
			}
		}
		from := &m.States[top.at.state]
		for _, move := range from.Moves {
			if ok, _ := w.h.able(move.On); !ok || move.Does == Drop || move.Does == Reset {
				continue
			}
			values := make([]int8, len(top.at.values))
			for i := range values {
				values[i] = int8(top.at.values[i])
			}
			to := full{move.To, top.at.open, top.at.values}
			if move.Does == Next || move.Does == Set {
				o := move.Option
				if move.Does == Set && move.Value != int(w.target[o]) {
					continue
				}
				if !wants(top.at.values, o) || top.at.open >= 0 && top.at.open != o {
					continue
				}
				early := false
				for x := range m.Options {
					early = early || x != o && ranks[x] < ranks[o] && wants(top.at.values, x)
				}
				for _, b := range after[o] {
					early = early || wants(top.at.values, b)
				}
				if early {
					continue
				}
				c := Configuration{Stored: values, Working: values}
				m.apply(&c, move)
				to.values = string(bytesOf(values))
				to.open = -1
				if wants(to.values, o) {
					to.open = o
				}
			} else if from.Inside && !m.States[move.To].Inside && (!move.Leaves || top.at.open >= 0) {
				continue
			}
			cost := top.cost + w.h.weigh(from, move.On)
			if old, seen := dist[to]; !seen || cost < old {
				dist[to] = cost
				heap.Push(&open, fullItem{to, cost})
			}
		}
	}
	return 0, false
}

// randomProfile invents a small device in one of the styles, sometimes with side effects.
func randomProfile(r *rand.Rand) *profile.Profile {
	p := &profile.Profile{ID: "random", Kind: profile.Controller}
	k := &profile.Keying{Levels: "side-by-side", Store: []string{"press", "exit", "power-off"}[r.IntN(3)]}
	p.Keying = k
	banks := 1 + r.IntN(3)
	n := 1 + r.IntN(5)
	k.Enter.Steps = []string{"key-run", "hold-5"}
	k.Leave.Steps = []string{"key-off"}
	k.TimeOut = profile.TimeOut{Seconds: 30, Pending: "keeps"}
	k.Cursor = []string{"kept", "reset"}[r.IntN(2)]
	switch r.IntN(5) {
	case 0:
		k.Option = profile.Level{Way: "forward", Input: "tap", Shows: []string{"led number", "lamps value"}}
	case 1:
		k.Option = profile.Level{Way: "both", Input: "remote-1", Back: "remote-2", Shows: []string{"led number"}}
	case 2:
		k.Option = profile.Level{Way: "count", Input: "tap", Gap: 2, Shows: []string{"led number"}}
	case 3:
		k.Option = profile.Level{Way: "digits", Input: "tap", Back: "hold-1", Gap: 2, Shows: []string{"led number"}}
	case 4:
		k.Levels, k.Up = "stacked", "hold-1"
		k.Option = profile.Level{Way: "count", Input: "tap", Gap: 2, Shows: []string{"led number"}}
	}
	if banks > 1 {
		if k.Levels == "stacked" || r.IntN(2) == 0 {
			k.Bank = profile.Level{Way: "count", Input: "hold-3", Gap: 3}
			if k.Levels == "stacked" {
				k.Bank.Input = "tap"
			}
		} else {
			k.Bank = profile.Level{Way: []string{"forward", "both"}[r.IntN(2)], Input: "hold-2", Back: "hold-4"}
		}
	}
	switch {
	case k.Levels == "stacked":
		k.Value = profile.Level{Way: []string{"count", "cycle"}[r.IntN(2)], Input: "tap", Gap: 2, Shows: []string{"lamps value"}}
	default:
		k.Value = profile.Level{Way: []string{"cycle", "count", "each"}[r.IntN(3)], Input: "brake", Inputs: []string{"remote-3", "remote-4", "remote-5"}, Gap: 2, Shows: []string{"lamps value"}}
	}
	for b := 1; b <= banks; b++ {
		for i := 1; i <= n; i++ {
			if r.IntN(5) == 0 && b*i > 1 {
				continue
			}
			o := profile.Option{ID: fmt.Sprintf("o%d-%d", b, i), How: "keyed", Bank: b, Item: i, Factory: "v1"}
			for v := 1; v <= 2+r.IntN(2); v++ {
				name := fmt.Sprintf("v%d", v)
				o.Values = append(o.Values, profile.OptionValue{Name: name, Is: map[string]string{"setting." + o.ID: name}})
			}
			if r.IntN(8) == 0 {
				o.Values[r.IntN(len(o.Values))].Silences = []string{"lamps"}
			}
			p.Options = append(p.Options, o)
		}
	}
	for len(k.Sizes) < banks {
		k.Sizes = append(k.Sizes, n)
	}
	if r.IntN(3) == 0 && len(p.Options) > 1 {
		for range 1 + r.IntN(2) {
			a, b := r.IntN(len(p.Options)), r.IntN(len(p.Options))
			if a != b {
				v := &p.Options[a].Values[r.IntN(len(p.Options[a].Values))]
				if v.Moves == nil {
					v.Moves = map[string]string{}
				}
				v.Moves[p.Options[b].ID] = p.Options[b].Values[r.IntN(len(p.Options[b].Values))].Name
			}
		}
	}
	return p
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

// TestOptimumOfRandomDevices: the cost of the card equals that of Dijkstra's search over the full
// space, and the printed card lands on the required values.
func TestOptimumOfRandomDevices(t *testing.T) {
	const seed, devices = 20261125, 2400
	r := rand.New(rand.NewPCG(seed, 1))
	t.Logf("seed %d, %d devices", seed, devices)
	effects, cyclic := 0, 0
	for n := range devices {
		p := randomProfile(r)
		d, err := Compile("controller", p)
		if err != nil {
			t.Fatalf("device %d: %v", n, err)
		}
		m := d.Machine
		start, to := randomValues(m, r), randomValues(m, r)
		var needs []Need
		for i := range to {
			if len(needs) < 7 && r.IntN(3) > 0 {
				needs = append(needs, Need{i, []int{int(to[i])}})
			}
		}
		c := fullCircumstances()
		c.Order = drawnOrder(r.IntN(1 << 30))
		w := newWork(d, hands{c}, start, needs)
		card := d.plan(start, needs, c)
		for o := range m.Options {
			if len(w.tasks) > 0 && m.touchesAny(o) {
				effects++
				break
			}
		}
		if w.cyclic {
			cyclic++
		}
		if len(w.tasks) == 0 {
			if card.Presses != 0 || len(card.Groups) != 0 {
				t.Fatalf("device %d: nothing to do, but the card has %d presses", n, card.Presses)
			}
			continue
		}
		want, ok := oracle(m, w)
		if !ok || presses(want) != card.Presses || !card.Proved {
			t.Fatalf("device %d (%s/%s/%s, cursor %s, %d tasks, cyclic %v): card %d presses, proved %v; full space %d, %v; remaining %v", n, p.Keying.Bank.Way, p.Keying.Option.Way, p.Keying.Value.Way, p.Keying.Cursor, len(w.tasks), w.cyclic, card.Presses, card.Proved, presses(want), ok, card.Remaining)
		}
		at, err := Execute(m, start, card)
		if err != nil {
			t.Fatalf("device %d: %v", n, err)
		}
		if err := safeAtEveryPrefix(d, start, card, c.Order); err != nil {
			t.Fatalf("device %d: %v", n, err)
		}
		for o, v := range w.target {
			if v >= 0 && at.Stored[o] != v {
				t.Fatalf("device %d: option %d ends as %d, want %d", n, o, at.Stored[o], v)
			}
			if v < 0 && at.Stored[o] != start[o] {
				t.Fatalf("device %d: option %d was not to be touched", n, o)
			}
		}
	}
	t.Logf("%d with side effects, %d of them in a circle", effects, cyclic)
}

func (m *Machine) touchesAny(o int) bool {
	for x := range m.Options {
		if x != o && m.touches(o, x) {
			return true
		}
	}
	return false
}

// safeAtEveryPrefix plays the card press by press and looks at the stored values between the groups: once a
// setting has been loosened, no setting that the card tightens may still wait. Options with side effects on
// others, and options that others move, are held back by those and left out here.
func safeAtEveryPrefix(d *Device, start []int8, card Card, order Order) error {
	s := NewSimulator(d.Machine, start)
	play := func(steps []Step) error {
		for _, step := range steps {
			if err := s.step(step, card.Wired); err != nil {
				return err
			}
		}
		return nil
	}
	if err := play(card.Entry); err != nil {
		return err
	}
	loosened := ""
	for _, g := range card.Groups {
		before := s.At.Clone()
		if err := play(g.Steps); err != nil {
			return err
		}
		tightens, loosens := false, false
		for o := range d.Machine.Options {
			for _, c := range d.changes(o, int(before.Working[o]), int(s.At.Working[o])) {
				switch order.Bearing(c.Setting, c.From, c.To) {
				case Tightens:
					tightens = true
				case Loosens:
					loosens = true
				}
			}
		}
		if tightens && !loosens && loosened != "" && !entangled(d, g) {
			return fmt.Errorf("%s tightens after %s has loosened", g.Option, loosened)
		}
		if loosens {
			loosened = g.Option
		}
	}
	return nil
}

// entangled tells whether an option moves others or is moved.
func entangled(d *Device, g Group) bool {
	at := map[string]int{}
	for i, o := range d.Machine.Options {
		at[o.ID] = i
	}
	for x := range d.Machine.Options {
		if x != at[g.Option] && (d.Machine.touches(x, at[g.Option]) || d.Machine.touches(at[g.Option], x)) {
			return true
		}
	}
	return false
}
