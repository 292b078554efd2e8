package proof

import (
	"math/rand/v2"
	"testing"

	"asleft/rules/internal/search"
)

// Random problems over domains, compared with the search of another house room that tries values instead of learning.
func TestSolverAgreesWithPlainSearch(t *testing.T) {
	const seed = 7
	r := rand.New(rand.NewPCG(seed, 0))
	found := 0
	for n := range 3000 {
		p := randomProblem(r)
		values, end := newSession().solve(&p, 1<<30)
		_, want := search.Solve(p, 0)
		if end != want {
			t.Fatalf("seed %d, problem %d: %v, the plain search says %v", seed, n, end, want)
		}
		if end != search.Found {
			continue
		}
		found++
		if at := failing(p, values); at >= 0 {
			t.Fatalf("seed %d, problem %d: clause %d does not hold", seed, n, at)
		}
	}
	t.Logf("3000 problems, %d with an answer, seed %d", found, seed)
}

// A problem that grows, with assumptions that come and go, has the answers that it would have from the start.
func TestSolverGrows(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 0))
	for n := range 500 {
		p := randomProblem(r)
		part := search.Problem{Domains: p.Domains}
		x := newSession()
		for i := 0; i <= len(p.Clauses); i += 1 + len(p.Clauses)/4 {
			part.Clauses = p.Clauses[:i]
			v := r.IntN(len(p.Domains))
			assumed := search.Literal{Var: v, Mask: p.Domains[v] & -p.Domains[v]}
			_, end := x.solve(&part, 1<<30, assumed)
			whole := search.Problem{Domains: p.Domains, Clauses: append(append([]search.Clause(nil), part.Clauses...), search.Clause{assumed})}
			if _, want := search.Solve(whole, 0); end != want {
				t.Fatalf("problem %d with %d clauses: %v, want %v", n, i, end, want)
			}
		}
	}
}

func randomProblem(r *rand.Rand) search.Problem {
	var p search.Problem
	for range 4 + r.IntN(12) {
		p.Domains = append(p.Domains, 1+uint64(r.IntN(63)))
	}
	for range r.IntN(5 * len(p.Domains)) {
		var c search.Clause
		for range 1 + r.IntN(4) {
			v := r.IntN(len(p.Domains))
			c = append(c, search.Literal{Var: v, Mask: p.Domains[v] & r.Uint64()})
		}
		p.Clauses = append(p.Clauses, c)
	}
	return p
}

func failing(p search.Problem, values []uint64) int {
	for i, c := range p.Clauses {
		holds := false
		for _, l := range c {
			holds = holds || values[l.Var]&l.Mask != 0
		}
		if !holds {
			return i
		}
	}
	return -1
}
