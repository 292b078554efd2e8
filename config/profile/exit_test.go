package profile

import (
	"slices"
	"strings"
	"testing"
)

// The two demo exit proofs have different shapes and both are fit. The list of
// properties is common practice, no source.
func TestDemoExitProofsAreFit(t *testing.T) {
	shapes := map[string]int{}
	for _, p := range Demo().All() {
		if p.Exit == nil {
			continue
		}
		if lacks := p.Exit.Lacks(); lacks != nil {
			t.Errorf("%s lacks %v", p.ID, lacks)
		}
		shapes[p.ID] = len(p.Exit.states())
	}
	if len(shapes) != 2 || shapes["demo-cedar"] == shapes["demo-birch"] {
		t.Errorf("want exit proofs of two shapes, found %v", shapes)
	}
}

// Each fault, put into a copy of a fit exit proof, must be named.
func TestLacksFindsEachFault(t *testing.T) {
	for _, tt := range exitFaults {
		e := fitProof(t)
		tt.fault(e)
		if lacks := e.Lacks(); !slices.Contains(lacks, tt.want) {
			t.Errorf("%s: lacks %v, want %s among them", tt.name, lacks, tt.want)
		}
	}
}

// Every single transition that cancels is needed: without it the proof is unfit.
func TestEveryCancelIsNeeded(t *testing.T) {
	for _, id := range []string{"demo-cedar", "demo-birch"} {
		p, _ := Find(id)
		for i, s := range p.Exit.Steps {
			if !strings.HasPrefix(s.Name, "cancelled") && !strings.HasPrefix(s.Name, "spoilt") {
				continue
			}
			// A stall and a time limit in a remote run end it; the proof stands on more.
			if slices.Contains(p.Exit.Running, s.From) && (s.On == "stall" || s.On == "limit") {
				continue
			}
			e := *p.Exit
			e.Steps = slices.Delete(slices.Clone(e.Steps), i, i+1)
			if len(e.Lacks()) == 0 {
				t.Errorf("%s without %s on %s is still called fit", id, s.From, s.On)
			}
		}
	}
}

func without(all []string, word string) []string {
	return slices.DeleteFunc(slices.Clone(all), func(w string) bool { return w == word })
}

// fitProof is a copy of a demo exit proof that a test may spoil.
func fitProof(t *testing.T) *ExitProof {
	t.Helper()
	p, ok := Find("demo-cedar")
	if !ok {
		t.Fatal("demo-cedar is gone")
	}
	e := *p.Exit
	e.Steps = slices.Clone(e.Steps)
	e.Inputs = slices.Clone(e.Inputs)
	shows := map[string]string{}
	for k, v := range e.Shows {
		shows[k] = v
	}
	e.Shows = shows
	return &e
}

// exitFaults spoil the exit proof of demo-cedar, one thing each.
var exitFaults = []struct {
	name  string
	fault func(*ExitProof)
	want  string
}{
	{"no hood input", func(e *ExitProof) { e.Inputs = without(e.Inputs, "hood") }, "sees-all"},
	{"no key input", func(e *ExitProof) { e.Inputs = without(e.Inputs, "key-in") }, "sees-all"},
	{"begins without parking brake", change("not-made", "key-out", func(s *ExitStep) { s.While = []string{"engine-turning", "hood-shut", "brake-free"} }), "begins-in-order"},
	{"leaving needs no turning engine", change("getting-out", "all-shut", loose), "driver-leaves"},
	{"vacated without anyone leaving", change("turning", "opening-open", func(s *ExitStep) { s.On = "lock" }), "driver-leaves"},
	{"a short way to vacated", func(e *ExitProof) {
		e.Steps = append(e.Steps, ExitStep{From: "turning", On: "lock", To: "vacated", Stops: true})
	}, "driver-leaves"},
	{"too long", func(e *ExitProof) { e.Within = 300 }, "leaves-in-time"},
	{"too short", func(e *ExitProof) { e.Within = 30 }, "leaves-in-time"},
	{"engine left running", change("getting-out", "all-shut", quiet), "stops-engine"},
	{"stall while making", drop("turning", "stall"), "cancelled-while-made"},
	{"key back while making", drop("turning", "key-in"), "cancelled-while-made"},
	{"no limit", drop("getting-out", "limit"), "cancelled-while-made"},
	{"door while vacated", drop("vacated", "opening-open"), "cancelled-while-vacated"},
	{"brake while vacated", drop("vacated", "brake-pressed"), "cancelled-while-vacated"},
	{"cancel with a condition", change("vacated", "key-in", func(s *ExitStep) { s.While = []string{"hood-shut"} }), "cancelled-while-vacated"},
	{"door in remote run", drop("remote-run", "opening-open"), "cancelled-while-running"},
	{"hood in remote run does not stop", change("remote-run", "hood-open", quiet), "cancelled-while-running"},
	{"no remote run", func(e *ExitProof) { e.Running = nil }, "cancelled-while-running"},
	{"cancelled looks like vacated", func(e *ExitProof) { e.Shows["cancelled"] = e.Shows["vacated"] }, "signals-apart"},
	{"cancelled is silent", func(e *ExitProof) { delete(e.Shows, "cancelled") }, "signals-apart"},
	{"kept in memory", func(e *ExitProof) { e.Stored = true }, "not-kept"},
	{"vacated at power-up", func(e *ExitProof) { e.Start = "vacated" }, "not-kept"},
}

func drop(from, on string) func(*ExitProof) {
	return func(e *ExitProof) {
		e.Steps = slices.DeleteFunc(e.Steps, func(s ExitStep) bool { return s.From == from && s.On == on })
	}
}

func change(from, on string, f func(*ExitStep)) func(*ExitProof) {
	return func(e *ExitProof) {
		for i, s := range e.Steps {
			if s.From == from && s.On == on {
				f(&e.Steps[i])
			}
		}
	}
}

func quiet(s *ExitStep) { s.Stops = false }

func loose(s *ExitStep) { s.While = nil }
