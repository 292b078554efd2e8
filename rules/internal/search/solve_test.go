package search

import (
	"math/bits"
	"testing"

	"pgregory.net/rapid"
)

const (
	no  = uint64(1)
	yes = uint64(2)
)

// Source: the T-shirt of Hadzic and others (2004) and Andersen: colour black, white, red, blue; size small, medium, large;
// print MIB or STW; MIB needs black, small bars STW. Of 24 combinations 11 are valid (remembered, and computed again);
// after one choice 1, 2, 3 or 5 are left.
func TestTShirt(t *testing.T) {
	const colour, size, print = 0, 1, 2
	shirt := Problem{
		Domains: []uint64{0b1111, 0b111, 0b11},
		Clauses: []Clause{{{print, 0b10}, {colour, 0b0001}}, {{size, 0b110}, {print, 0b01}}},
	}
	for _, c := range []struct {
		name string
		v    int
		mask uint64
		want int
	}{{"all", colour, 0b1111, 11}, {"small", size, 0b001, 1}, {"white", colour, 0b0010, 2}, {"MIB", print, 0b01, 3}, {"large", size, 0b100, 5}} {
		p := Problem{Domains: append([]uint64(nil), shirt.Domains...), Clauses: shirt.Clauses}
		p.Domains[c.v] &= c.mask
		if got := Count(p); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// Sources: bamboobike_splot.sxfm and smartwatch.sxfm of manleviet/CA-CDR-V2 (models seen, counts computed): 40 and 75
// products; the mobile phone of Benavides, Segura, Ruiz-Cortes, survey of 2010 (remembered, count computed): 14.
func TestFeatureModels(t *testing.T) {
	// Bike: 0 frame of three; 1 front, 2 rear, 3 back-pedal brake; 4 engine; 5 drop handlebar.
	bike := Problem{
		Domains: []uint64{0b111, 3, 3, 3, 3, 3},
		Clauses: []Clause{{{1, yes}, {2, yes}, {3, yes}}, {{5, no}, {0, 0b010}}, {{4, no}, {3, no}}},
	}
	// Watch: 0 GPS, 1 cellular, 2 wifi, 3 bluetooth; 4 screen analog, high-res, e-ink; 5 camera; 6 compass.
	watch := Problem{
		Domains: []uint64{3, 3, 3, 3, 0b111, 3, 3},
		Clauses: []Clause{
			{{0, yes}, {1, yes}, {2, yes}, {3, yes}}, {{5, no}, {4, 0b010}}, {{6, no}, {0, yes}},
			{{4, 0b110}, {1, no}}, {{4, 0b110}, {1, yes}, {2, yes}},
		},
	}
	// Phone: 0 GPS; 1 screen basic, colour, high-res; 2 media; 3 camera; 4 MP3.
	phone := Problem{
		Domains: []uint64{3, 0b111, 3, 3, 3},
		Clauses: []Clause{
			{{2, no}, {3, yes}, {4, yes}}, {{3, no}, {2, yes}}, {{4, no}, {2, yes}},
			{{3, no}, {1, 0b100}}, {{0, no}, {1, 0b110}},
		},
	}
	for _, c := range []struct {
		name string
		p    Problem
		want int
	}{{"bike", bike, 40}, {"watch", watch, 75}, {"phone", phone, 14}} {
		if got := Count(c.p); got != c.want {
			t.Errorf("%s: %d products, want %d", c.name, got, c.want)
		}
	}
}

// For random problems the number of solutions, and whether there is one, equal those of trying everything.
func TestSolveEqualsExhaustion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "variables")
		p := Problem{}
		for range n {
			p.Domains = append(p.Domains, 1<<rapid.IntRange(1, 4).Draw(t, "size")-1)
		}
		for range rapid.IntRange(0, 8).Draw(t, "clauses") {
			var c Clause
			for range rapid.IntRange(1, 3).Draw(t, "literals") {
				c = append(c, Literal{rapid.IntRange(0, n-1).Draw(t, "variable"), rapid.Uint64Range(0, 15).Draw(t, "mask")})
			}
			p.Clauses = append(p.Clauses, c)
		}
		want := 0
		values := make([]uint64, n)
		var try func(v int)
		try = func(v int) {
			if v == n {
				if holds(p, values) {
					want++
				}
				return
			}
			for m := p.Domains[v]; m != 0; m &= m - 1 {
				values[v] = m & -m
				try(v + 1)
			}
		}
		try(0)
		if got := Count(p); got != want {
			t.Fatalf("counted %d, tried %d", got, want)
		}
		found, out := Solve(p, 0)
		if (out == Found) != (want > 0) || (out == Found && !holds(p, found)) {
			t.Fatalf("%v %v, want %d", found, out, want)
		}
		for _, v := range found {
			if bits.OnesCount64(v) != 1 {
				t.Fatal("a variable has not one value")
			}
		}
	})
}

func holds(p Problem, values []uint64) bool {
	for _, c := range p.Clauses {
		some := false
		for _, l := range c {
			some = some || values[l.Var]&l.Mask != 0
		}
		if !some {
			return false
		}
	}
	return true
}
