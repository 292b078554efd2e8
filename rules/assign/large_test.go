package assign

import (
	"math/rand/v2"
	"testing"
)

// Fleets of 6 remotes x 16 gestures x 20 channels x 16 functions are proven best in every aim. A search
// that lets several outputs of a function cost less than those that serve its places, that forgets
// from one stage to the next what is ruled out, or that cannot split a place into like and unlike the main
// gesture takes many times the nodes on these (seeds of PCG stream 7).
func TestLargeFleetsAreProven(t *testing.T) {
	was := [2]int{dense, odd}
	defer func() { dense, odd = was[0], was[1] }()
	for _, c := range []struct {
		wanted, models int
		seed           uint64
	}{{5, 2, 4}, {5, 2, 9}, {5, 2, 11}, {5, 2, 13}, {3, 3, 14}} {
		dense, odd = c.wanted, 1000
		p := randomProblem(rand.New(rand.NewPCG(c.seed, 7)), size{6, c.models, 16, 20, 18, 16, true})
		plan, err := Optimum(p)
		if err != nil {
			t.Fatal(err)
		}
		if plan.Proven != len(aimNames) || plan.Nodes > 1500 || len(plan.Notes) > 0 {
			t.Errorf("%d models, seed %d: %d aims proven after %d nodes, notes %q", c.models, c.seed, plan.Proven, plan.Nodes, plan.Notes)
		}
		t.Logf("%d models, seed %d: %d nodes, cost %v", c.models, c.seed, plan.Nodes, plan.Cost.Vector())
	}
}

// A plan whose patience ran out says so, and up to which aim it is proven.
func TestPlanSaysWhatIsNotProven(t *testing.T) {
	was := [2]int{dense, odd}
	defer func() { dense, odd = was[0], was[1] }()
	dense, odd = 3, 1000
	p := randomProblem(rand.New(rand.NewPCG(10, 7)), size{6, 3, 16, 20, 18, 16, false})
	p.Patience = 10
	plan, err := Optimum(p)
	if err != nil {
		t.Fatal(err)
	}
	if plan.Proven == len(aimNames) || len(plan.Notes) != 1 {
		t.Fatalf("%d aims proven with a patience of 10 nodes, notes %q", plan.Proven, plan.Notes)
	}
	if want := "the search was broken off: proven best up to, and not in, " + aimNames[plan.Proven][1]; plan.Notes[0] != want {
		t.Errorf("note %q, want %q", plan.Notes[0], want)
	}
	e, err := Why(plan, plan.Rows[0].Function)
	if err != nil || e.Next.Doubt == "" {
		t.Errorf("the next best plan, with the same patience, says nothing of it: %v %+v", err, e.Next)
	}
}
