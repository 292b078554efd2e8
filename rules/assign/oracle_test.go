package assign

import (
	"math/rand/v2"
	"testing"
)

// oracle finds the best cost by trying every owner of every output and every gesture or none for
// every wish. It shares with the solver what one output takes for one function (setupFor and
// hardware, which have tests of their own) and nothing of the search.
type oracle struct {
	p     *Problem
	funcs []int // functions that are not refused
	owner []int // of each output: index into funcs, -1 nobody
	best  *Cost
}

func (o *oracle) solve() Cost {
	refused := map[string]bool{}
	for _, r := range o.p.Refused {
		refused[r.Function] = true
	}
	for i := range o.p.Functions {
		f := &o.p.Functions[i]
		if _, bad := f.refusal(); !bad && !refused[f.Name] {
			o.funcs = append(o.funcs, i)
		}
	}
	o.owner = make([]int, len(o.p.Outputs))
	o.hand(0)
	return *o.best
}

func (o *oracle) hand(k int) {
	if k < len(o.owner) {
		for o.owner[k] = -1; o.owner[k] < len(o.funcs); o.owner[k]++ {
			if o.owner[k] < 0 || o.suits(o.owner[k], k) {
				o.hand(k + 1)
			}
		}
		return
	}
	cost, ok := o.hardwareCost()
	if !ok {
		return
	}
	for _, i := range o.funcs {
		if f := &o.p.Functions[i]; f.AtStart && !o.hosted(i) {
			cost.NotReached++
		}
	}
	o.remotes(0, cost, map[string][]string{})
}

func (o *oracle) hosted(function int) bool {
	for _, f := range o.owner {
		if f >= 0 && o.funcs[f] == function {
			return true
		}
	}
	return false
}

func (o *oracle) suits(f, k int) bool {
	s := setupFor(&o.p.Functions[o.funcs[f]], &o.p.Outputs[k])
	return s.reason == "" && len(o.p.Functions[o.funcs[f]].Lines) > 0
}

// hardwareCost adds up parts, options and things lacking. A contact in series that every suited
// output of a function needs stands on the line, once.
func (o *oracle) hardwareCost() (c Cost, ok bool) {
	for f, i := range o.funcs {
		function := &o.p.Functions[i]
		var outputs []int
		for k, owner := range o.owner {
			if owner == f {
				outputs = append(outputs, k)
			}
		}
		shared := len(outputs) > 1 || o.p.sharesLine(function, o.funcs)
		common := -1
		for k := range o.p.Outputs {
			if s := setupFor(function, &o.p.Outputs[k]); s.reason == "" && o.p.hardware(function, &o.p.Outputs[k], &s, o.p.sharesLine(function, o.funcs)).reason == "" {
				if common < 0 {
					common = seriesMask(s.series)
				}
				common &= seriesMask(s.series)
			}
		}
		for n, k := range outputs {
			s := setupFor(function, &o.p.Outputs[k])
			h := o.p.hardware(function, &o.p.Outputs[k], &s, shared)
			if h.reason != "" {
				return c, false
			}
			c.Relays += h.relays
			if n > 0 {
				c.Relays -= bitCount(common) * len(function.Lines)
			}
			c.Diodes += h.diodes
			c.Options += len(s.changed)
			c.Lacking += len(s.lacks)
		}
	}
	return c, true
}

func seriesMask(series []string) int {
	mask := 0
	for _, c := range series {
		for i, known := range []string{"park", "parking-brake", "engine-off", "running", "door-open", "doors-closed"} {
			if c == known {
				mask |= 1 << i
			}
		}
	}
	return mask
}

func bitCount(n int) int {
	c := 0
	for ; n > 0; n &= n - 1 {
		c++
	}
	return c
}

// works tells whether a channel works function f and nothing else.
func (o *oracle) works(c *Channel, f int) bool {
	if c.Does != "" {
		return c.Does == o.p.Functions[o.funcs[f]].Does
	}
	any := false
	for _, name := range c.Fires {
		k := o.p.output(name)
		if k < 0 || o.p.Outputs[k].Busy != "" || o.owner[k] >= 0 && o.owner[k] != f {
			return false
		}
		any = any || o.owner[k] == f
	}
	return any
}

func (o *oracle) sends(g *Gesture, f int) bool {
	for i := range o.p.Channels {
		c := &o.p.Channels[i]
		can := g.Channel == c.Number
		for _, n := range g.Teachable {
			can = can || g.Channel == 0 && n == c.Number
		}
		if can && o.works(c, f) {
			return true
		}
	}
	return false
}

func (o *oracle) remotes(r int, cost Cost, signs map[string][]string) {
	if o.best != nil && cost.NotReached > o.best.NotReached {
		return
	}
	if r == len(o.p.Remotes) {
		for _, list := range signs {
			cost.Unlike += unlike(list)
		}
		if o.best == nil || cost.Compare(*o.best) < 0 {
			o.best = &cost
		}
		return
	}
	o.places(r, 0, cost, signs, map[int]bool{})
}

func unlike(signs []string) int {
	count, most := map[string]int{}, 0
	for _, s := range signs {
		count[s]++
		most = max(most, count[s])
	}
	return len(signs) - most
}

func (o *oracle) places(r, f int, cost Cost, signs map[string][]string, used map[int]bool) {
	if f == len(o.funcs) {
		o.remotes(r+1, cost, signs)
		return
	}
	remote, function := &o.p.Remotes[r], &o.p.Functions[o.funcs[f]]
	w := function.wanted(remote.Name)
	if w == nil {
		o.places(r, f+1, cost, signs, used)
		return
	}
	without := cost
	without.NotReached++
	o.places(r, f+1, without, signs, used)
	for i := range remote.Gestures {
		g := &remote.Gestures[i]
		if used[i] || g.forbidden(remote, function, w) != "" || !o.sends(g, f) {
			continue
		}
		with := cost
		with.Effort += g.Ease * presses[w.Use]
		if g.Channel == 0 {
			with.Options++
		}
		if function.nuisance() && g.tap() && w.Signed == "" {
			with.ToSign++
		}
		used[i] = true
		had := signs[function.Name]
		signs[function.Name] = append(had[:len(had):len(had)], g.signature())
		o.places(r, f+1, with, signs, used)
		signs[function.Name] = had
		delete(used, i)
	}
}

// oracleRuns is how many random installs are checked against exhaustive search.
const oracleRuns = 2400

func TestOptimumEqualsExhaustiveSearch(t *testing.T) {
	reached, parts := 0, 0
	for seed := range uint64(oracleRuns) {
		r := rand.New(rand.NewPCG(seed, 2026))
		s := size{remotes: 1 + r.IntN(2), models: 2, gestures: 2 + r.IntN(3), outputs: 1 + r.IntN(3), functions: 1 + r.IntN(3)}
		if seed%8 == 0 {
			s = size{remotes: 3, models: 2, gestures: 4, outputs: 3, functions: 3}
		}
		s.channels = s.outputs + 1 + r.IntN(3)
		p := randomProblem(r, s)
		p.Patience = -1
		plan, err := Optimum(p)
		if err != nil {
			t.Fatal(err)
		}
		if want := (&oracle{p: &p}).solve(); plan.Cost != want {
			t.Fatalf("seed %d: plan costs %v, exhaustive search finds %v", seed, plan.Cost, want)
		}
		if plan.Proven != len(aimNames) {
			t.Fatalf("seed %d: only %d aims proven", seed, plan.Proven)
		}
		reached += len(plan.Rows)
		parts += len(plan.Parts)
	}
	t.Logf("%d installs (seeds 0 to %d of PCG stream 2026): every optimum equal; %d rows, %d parts", oracleRuns, oracleRuns-1, reached, parts)
}
