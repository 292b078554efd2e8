package assign

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// clingoOptimum solves the problem with clingo (Debian package gringo) and reads the optimum.
func clingoOptimum(program string, seconds int) (best [8]int, proven bool, err error) {
	cmd := exec.Command("clingo", "--quiet=2,1", "--warn=none", fmt.Sprint("--time-limit=", seconds), "-")
	cmd.Stdin = strings.NewReader(program)
	out, err := cmd.Output()
	var exit *exec.ExitError
	if err != nil && !asExit(err, &exit) {
		return best, false, err
	}
	for line := range strings.Lines(string(out)) {
		if rest, ok := strings.CutPrefix(strings.TrimSpace(line), "Optimization:"); ok {
			for i, field := range strings.Fields(rest) {
				if best[i], err = strconv.Atoi(field); err != nil {
					return best, false, err
				}
			}
		}
	}
	return best, strings.Contains(string(out), "OPTIMUM FOUND"), nil
}

func asExit(err error, to **exec.ExitError) bool {
	e, ok := err.(*exec.ExitError)
	*to = e
	return ok
}

// Middling installs have the same optimum by clingo, an answer set solver that shares nothing with
// our search: its program states the problem by rules.
func TestOptimumEqualsClingo(t *testing.T) {
	if os.Getenv("ASLEFT_REFERENCE") != "all" {
		fmt.Println("assign: the comparison with clingo is left out; ASLEFT_REFERENCE=all runs it")
		return
	}
	if _, err := exec.LookPath("clingo"); err != nil {
		t.Fatal("ASLEFT_REFERENCE=all, and clingo is missing (Debian package gringo)")
	}
	proven := 0
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 5))
		p := randomProblem(r, size{remotes: 2 + r.IntN(2), models: 2, gestures: 7 + r.IntN(3), outputs: 4 + r.IntN(2), channels: 8, functions: 4 + r.IntN(2)})
		p.Patience = -1
		plan, err := Optimum(p)
		if err != nil {
			t.Fatal(err)
		}
		program, err := Program(p)
		if err != nil {
			t.Fatal(err)
		}
		best, ok, err := clingoOptimum(program, 10)
		if err != nil {
			t.Fatal(err)
		}
		if got := plan.Cost.Vector(); ok && best != got {
			t.Errorf("seed %d: plan costs %v, clingo finds %v", seed, got, best)
		} else if !ok && plan.Cost.Compare(costOf(best)) > 0 {
			t.Errorf("seed %d: plan costs %v, clingo has %v without proof", seed, got, best)
		}
		if ok {
			proven++
		}
	}
	t.Logf("%d of 40 installs proven by clingo within 10 s each, all equal", proven)
	if proven < 20 {
		t.Errorf("clingo proved %d of 40 only: too few to be a check", proven)
	}
}

func costOf(v [8]int) Cost { return Cost{v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7]} }
