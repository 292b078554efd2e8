package assign

import (
	"strings"
	"testing"
)

// An output of fixed use that no relay at hand can be driven by is told, and nothing is built on it.
// The loads are those of recipe relays: 15 V / (0.69 R) below -20 C.
func TestTieThatNothingCanWork(t *testing.T) {
	tie := Tie{Output: "horn", Use: "horn", Lines: []string{"c20-05"}, Level: "ground", Active: "ground", Amps: 4, Milliamps: 150}
	plan, err := Solve(Problem{Cold: true, Ties: []Tie{tie}})
	if err != nil {
		t.Fatal(err)
	}
	if len(plan.Parts) != 0 {
		t.Errorf("parts %v, expected none: the output cannot drive the coil", plan.Parts)
	}
	if len(plan.Notes) != 1 || !strings.Contains(plan.Notes[0], "output horn needs a relay that it cannot drive or that is not at hand (the lightest coil draws 242 mA and it may carry 150 mA)") {
		t.Errorf("notes %q, expected one about the horn", plan.Notes)
	}
	tie.Milliamps = 500
	if plan, err = Solve(Problem{Cold: true, Ties: []Tie{tie}}); err != nil || len(plan.Parts) != 1 || len(plan.Notes) != 0 {
		t.Errorf("with 500 mA: parts %v, notes %q, %v: expected one relay", plan.Parts, plan.Notes, err)
	}
}
