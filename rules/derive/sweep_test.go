package derive

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// randomVectors are installs of a shape with random facts, some of them not known.
func randomVectors(s *Sweep, n int, seed uint64) []Vector {
	r := rand.New(rand.NewPCG(seed, 5))
	out := make([]Vector, n)
	for i := range out {
		unknown := []float64{0, 0.05, 0.3}[i%3]
		out[i] = make(Vector, s.planes.words)
		for _, v := range s.planes.facts {
			n := len(s.program.vars[v].fact.Domain)
			word := uint64(1) << r.IntN(n)
			if r.Float64() < unknown {
				word = bitsBelow(n)
			}
			out[i].put(int(s.planes.at[v]), n, word)
		}
	}
	return out
}

// Sixty-four installs at once come out as each of them alone.
func TestSweepEqualsOneByOne(t *testing.T) {
	const installs = 640
	for seed, name := range goodJobs {
		in := readJob(t, name)
		s, err := NewSweep(in)
		if err != nil {
			t.Fatal(err)
		}
		vectors := randomVectors(s, installs, uint64(seed))
		real, err := s.Vector(in)
		if err != nil {
			t.Fatal(err)
		}
		vectors = append(vectors, real)
		all, single := s.Verdicts(vectors), s.Single()
		for i, v := range vectors {
			one := single.Derive(v)
			if d := differs(s, one, all[i]); d != "" || one.Refused != all[i].Refused || one.Open != all[i].Open {
				t.Fatalf("%s, install %d: alone %v %v, among others %v %v; %s", name, i, one.Refused, one.Open, all[i].Refused, all[i].Open, d)
			}
		}
		r := mustDerive(t, in)
		last := all[len(all)-1]
		for _, row := range r.Settings {
			if got := s.Value(last, row.Key); row.Value != "" && got != row.Value {
				t.Errorf("%s: %s is %s in the sweep and %s derived", name, row.Key, got, row.Value)
			}
		}
	}
}

// Deriving one install, with the list of reasons, allocates nothing.
func TestSingleAllocatesNothing(t *testing.T) {
	in := readJob(t, "minibus")
	s, err := NewSweep(in)
	if err != nil {
		t.Fatal(err)
	}
	v, err := s.Vector(in)
	if err != nil {
		t.Fatal(err)
	}
	single, reasons := s.Single(), make([]Reason, 0, 1024)
	if n := testing.AllocsPerRun(100, func() {
		single.Derive(v)
		reasons = single.Reasons(reasons[:0])
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
	if len(reasons) < 50 || s.Text(reasons[0]) == "" {
		t.Errorf("%d reasons", len(reasons))
	}
}

// differs names a group that two verdicts choose differently in.
func differs(s *Sweep, a, b Verdict) string {
	for _, g := range s.program.groups {
		if s.choice(a, g) != s.choice(b, g) {
			return g.name()
		}
	}
	return ""
}

func BenchmarkSweep(b *testing.B) {
	s, err := NewSweep(readJob(b, "minibus"))
	if err != nil {
		b.Fatal(err)
	}
	vectors := randomVectors(s, 6400, 1)
	real, err := s.Vector(readJob(b, "minibus"))
	if err != nil {
		b.Fatal(err)
	}
	usual := make([]Vector, 6400) // a fleet: like the job, a few facts otherwise
	r := rand.New(rand.NewPCG(9, 9))
	for i := range usual {
		usual[i] = slices.Clone(real)
		for range 6 {
			v := s.planes.facts[r.IntN(len(s.planes.facts))]
			at, n := int(s.planes.at[v]), len(s.program.vars[v].fact.Domain)
			usual[i].put(at, n, vectors[i].get(at, n))
		}
	}
	b.Run("one by one", func(b *testing.B) {
		b.ReportAllocs()
		single := s.Single()
		for i := 0; b.Loop(); i++ {
			single.Derive(usual[i%len(usual)])
		}
	})
	b.Run("one by one with reasons", func(b *testing.B) {
		b.ReportAllocs()
		single, reasons := s.Single(), make([]Reason, 0, 1024)
		for i := 0; b.Loop(); i++ {
			single.Derive(usual[i%len(usual)])
			reasons = single.Reasons(reasons[:0])
		}
		b.ReportMetric(float64(len(reasons)), "reasons")
	})
	b.Run("at once", func(b *testing.B) {
		for b.Loop() {
			s.Verdicts(usual)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/6400, "ns/install")
	})
}
