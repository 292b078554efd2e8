package derive

import (
	"bytes"
	"fmt"
	"math/bits"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"

	"asleft/rules/base"
)

// Installs with random facts, a part of them unknown, come out as clingo derives them: an answer set solver (Debian package
// gringo) that is given the rules as sentences and levels and shares nothing with our engine but the reading of files.
func TestDerivationEqualsClingo(t *testing.T) {
	if os.Getenv("ASLEFT_REFERENCE") != "all" {
		fmt.Println("derive: the comparison with clingo is left out; ASLEFT_REFERENCE=all runs it")
		return
	}
	if _, err := exec.LookPath("clingo"); err != nil {
		t.Fatal("ASLEFT_REFERENCE=all, and clingo is missing (Debian package gringo)")
	}
	calls, each := 1, 80 // ASLEFT_FULL=1: 13 000 installs, some twenty minutes
	if os.Getenv("ASLEFT_FULL") == "1" {
		calls, each = 26, 100
	}
	installs, open, refused := 0, 0, 0
	for _, name := range append([]string{"refused-two-wishes"}, goodJobs...) {
		in := readJob(t, name)
		d, err := prepare(in)
		if err != nil {
			t.Fatal(err)
		}
		a := writeProgram(d.program, d.in)
		for call := range calls {
			seed := uint64(call)
			vectors := randomInstalls(d, each, seed)
			answer := clingo(t, a, d, vectors, nil)
			for i, raw := range vectors {
				copy(d.state.raw, raw)
				d.program.run(d.state)
				if diff := compare(d, answer, i); diff != "" {
					t.Fatalf("%s, seed %d, install %d: %s", name, seed, i, diff)
				}
				installs++
				for g := range d.state.groups {
					open += len(d.program.groups[g].settings) * truth2int(d.state.groups[g].open)
				}
				refused += truth2int(refusedHere(d))
			}
		}
	}
	fmt.Printf("derive: %d installs equal clingo's, %d of them refused, %d settings open\n", installs, refused, open)
}

func truth2int(b bool) int {
	if b {
		return 1
	}
	return 0
}

func refusedHere(d *derivation) bool {
	refused, _ := d.refusedStart(d.state)
	return refused != 0
}

// randomInstalls start from the job and say something else about a few, many or all facts.
func randomInstalls(d *derivation, n int, seed uint64) [][]uint64 {
	r := rand.New(rand.NewPCG(seed, 11))
	d.program.load(d.state)
	var out [][]uint64
	for i := range n {
		raw := append([]uint64(nil), d.state.raw...)
		change := []float64{0.02, 0.1, 0.5, 1}[i%4]
		for v := range d.program.vars {
			x := &d.program.vars[v]
			if x.fact == nil || r.Float64() >= change {
				continue
			}
			if raw[v] = 1 << r.IntN(len(x.fact.Domain)); x.fact.Worst != "" && r.IntN(6) == 0 {
				raw[v] = x.full &^ noMeaning
			}
		}
		out = append(out, raw)
	}
	return out
}

// restated is what the oracle works out by itself about an install: the facts that it is not told, and sentences instead.
type restated struct {
	facts map[string]bool
	lines string
}

// clingo solves the program for some installs and gives the atoms of the answer. The facts restated are not told.
func clingo(t *testing.T, a *asp, d *derivation, vectors [][]uint64, own []restated) map[string]bool {
	t.Helper()
	var program bytes.Buffer
	program.WriteString(a.String())
	for i, raw := range vectors {
		fmt.Fprintf(&program, "i(%d).\n", i)
		if own != nil {
			program.WriteString(own[i].lines)
		}
		for f, name := range a.order {
			if own != nil && own[i].facts[name] {
				continue
			}
			v, known := d.program.byName[name]
			if !known {
				t.Fatalf("the engine has no fact %s", name)
			}
			if bits.OnesCount64(raw[v]) == 1 {
				fmt.Fprintf(&program, "said(%d,%d,%d).\n", i, f, bits.TrailingZeros64(raw[v]))
			} else {
				fmt.Fprintf(&program, "unk(%d,%d).\n", i, f)
			}
		}
	}
	cmd := exec.Command("clingo", "--verbose=0", "--warn=none", "2", "-")
	cmd.Stdin = &program
	out, err := cmd.CombinedOutput()
	// clingo ends with 30 when it has found everything: here the one answer.
	if exit, ok := err.(*exec.ExitError); err != nil && (!ok || exit.ExitCode() != 30) {
		t.Fatalf("clingo: %v\n%.2000s", err, out)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != 2 || lines[1] != "SATISFIABLE" {
		t.Fatalf("clingo gives %d lines: a stratified program has one answer", len(lines))
	}
	atoms := map[string]bool{}
	for _, atom := range strings.Fields(lines[0]) {
		atoms[atom] = true
	}
	return atoms
}

// compare names the first difference between the run and the answer.
func compare(d *derivation, answer map[string]bool, install int) string {
	for g := range d.state.groups {
		got := &d.state.groups[g]
		for what, mine := range map[string]bool{
			fmt.Sprintf("pick(%d,%d,%d)", g, install, bits.TrailingZeros64(got.pick)): true,
			fmt.Sprintf("open(%d,%d)", g, install):                                    got.open,
			fmt.Sprintf("dead(%d,%d)", g, install):                                    got.emptied,
			fmt.Sprintf("clash(%d,%d)", g, install):                                   got.clash,
		} {
			if answer[what] != mine {
				return fmt.Sprintf("%s: %s is %v for us and %v for clingo", d.program.groups[g].name(), what, mine, answer[what])
			}
		}
	}
	n := 0
	truths := map[string]base.Truth{}
	for i := range d.program.rules {
		truths[d.program.rules[i].rule.ID+" "+d.program.rules[i].instance] = d.state.truth[i]
	}
	for _, r := range d.program.facts.Base.Rules {
		for _, instance := range d.program.instances(r.Each) {
			if mine := truths[r.ID+" "+instance]; r.Refuse != "" {
				fires, perhaps := answer[fmt.Sprintf("fires(%d,%d)", n, install)], answer[fmt.Sprintf("perhaps(%d,%d)", n, install)]
				if fires != (mine == base.True) || perhaps != (mine != base.False) {
					return fmt.Sprintf("rule %s %s is %d for us; for clingo it fires %v, perhaps %v", r.ID, instance, mine, fires, perhaps)
				}
			}
			n++
		}
	}
	return ""
}
