package derive

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"asleft/config/job"
	"asleft/rules/base"
)

// blocks takes a TOML file of ours apart: what stands before the first table, and each table with its lines.
func blocks(data string) (head string, tables []string) {
	lines := strings.SplitAfter(data, "\n")
	for _, line := range lines {
		switch {
		case strings.HasPrefix(line, "["):
			tables = append(tables, line)
		case len(tables) == 0:
			head += line
		default:
			tables[len(tables)-1] += line
		}
	}
	return head, tables
}

// shuffled is the same file with its tables in another order.
func shuffled(data string, r *rand.Rand) string {
	head, tables := blocks(data)
	r.Shuffle(len(tables), func(i, j int) { tables[i], tables[j] = tables[j], tables[i] })
	return head + strings.Join(tables, "")
}

// summary is a result without the places in files.
func summary(r *Result) string {
	var b strings.Builder
	fmt.Fprintln(&b, r.Start, r.JobRefused, r.Measure)
	for _, s := range r.Settings {
		fmt.Fprintln(&b, s.Key, s.Value, s.Kind, s.Action, s.Level, s.Position, s.Otherwise)
		for _, x := range s.Rules {
			fmt.Fprintln(&b, "  ", x.Rule, x.Says)
		}
		for _, f := range s.Facts {
			fmt.Fprintln(&b, "  ", f.Name, f.Value, f.Assumed)
		}
		for _, n := range s.NotMet {
			fmt.Fprintln(&b, "  ", n.Rule, n.Says, n.Because)
		}
	}
	for _, list := range [][]Finding{r.Refusals, r.Cautions, r.Contradictions} {
		for _, f := range list {
			fmt.Fprintln(&b, f.Rule, f.Scope, f.Where, f.Why, f.Open)
		}
	}
	for _, m := range r.Missing {
		fmt.Fprintln(&b, m.Fact, m.Settles, m.Safety)
	}
	for _, t := range r.Tests {
		fmt.Fprintln(&b, t.ID(), t.Required, t.Because)
	}
	return b.String()
}

// The order of rule files, of the tables inside them and of the tables of a job means nothing.
func TestOrderMeansNothing(t *testing.T) {
	for seed := range uint64(3) {
		r := rand.New(rand.NewPCG(seed, 1))
		files := base.ShippedFiles()
		r.Shuffle(len(files), func(i, j int) { files[i], files[j] = files[j], files[i] })
		for i := range files {
			if !strings.HasPrefix(files[i].Name, "order") { // the order of keying is the one order that counts
				files[i].Data = []byte(shuffled(string(files[i].Data), r))
			}
		}
		b, problems := base.Load(files)
		if problems != nil {
			t.Fatalf("seed %d: %v", seed, problems)
		}
		for _, name := range []string{"minibus", "hatchback", "refused-functions", "refused-two-wishes"} {
			want := summary(mustDerive(t, readJob(t, name)))
			other := readJob(t, name)
			other.Base = b
			other.Job = shuffledJob(t, name, r)
			if got := summary(mustDerive(t, other)); got != want {
				t.Fatalf("%s, seed %d: another order, another result:\n%s", name, seed, firstDifference(want, got))
			}
		}
	}
}

func shuffledJob(t *testing.T, name string, r *rand.Rand) *job.Job {
	t.Helper()
	j, err := job.Read(name+".toml", []byte(shuffled(readFile(t, name), r)))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return "- " + x[i] + "\n+ " + y[i]
		}
	}
	return "one is longer"
}

// The same input gives the same result each time.
func TestSameInputSameResult(t *testing.T) {
	for _, name := range goodJobs {
		first := summary(mustDerive(t, readJob(t, name)))
		for range 5 {
			if summary(mustDerive(t, readJob(t, name))) != first {
				t.Fatalf("%s: two runs, two results", name)
			}
		}
	}
}

// randomFacts makes facts of a compiled install random: some unknown, the rest one word each.
func randomFacts(d *derivation, r *rand.Rand, unknown float64) {
	for v := range d.program.vars {
		x := &d.program.vars[v]
		if x.fact == nil {
			continue
		}
		all := x.full &^ noMeaning
		if d.state.raw[v] = all; r.Float64() >= unknown || x.fact.Always || x.fact.Absent != "" {
			d.state.raw[v] = 1 << r.IntN(len(x.fact.Domain))
		}
	}
}

// The compiled form of every rule and test has the truth of its sentences, read the plain way, for safety rules with the
// worst in place of the unknown.
func TestCompiledRulesMeanWhatTheySay(t *testing.T) {
	for _, name := range goodJobs {
		d, err := prepare(readJob(t, name))
		if err != nil {
			t.Fatal(err)
		}
		for seed := range uint64(300) {
			r := rand.New(rand.NewPCG(seed, 2))
			randomFacts(d, r, []float64{0, 0.1, 0.5}[seed%3])
			d.program.run(d.state)
			for i := range d.program.rules {
				code := &d.program.rules[i]
				v := view{p: d.program, st: d.state, assumed: code.rule.Level == base.Safety}
				// A fact or setting of which some values are left is just "unknown" to the plain way, and can be enough for
				// the compiled one.
				if want := code.rule.When.Eval(v, code.instance); d.state.truth[i] != want && want != base.Unknown {
					t.Fatalf("%s, seed %d: rule %s %s is %d compiled and %d read", name, seed, code.rule.ID, code.instance, d.state.truth[i], want)
				}
			}
		}
	}
}

// What is not open comes out the same however the missing facts turn out, for rules that do not assume the worst: the
// sieve for open settings lets none through.
func TestWhatIsNotOpenIsSettled(t *testing.T) {
	for _, name := range goodJobs {
		d, err := prepare(readJob(t, name))
		if err != nil {
			t.Fatal(err)
		}
		d.program.load(d.state)
		said := slices.Clone(d.state.raw)
		trial := d.program.newState()
		for seed := range uint64(200) {
			r := rand.New(rand.NewPCG(seed, 3))
			copy(d.state.raw, said)
			var hidden []int
			for v := range d.program.vars {
				x := &d.program.vars[v]
				if x.fact != nil && x.fact.Worst == "" {
					continue // only what may be unknown at all
				}
				if x.fact != nil && r.IntN(12) == 0 {
					d.state.raw[v] = x.full &^ noMeaning
					hidden = append(hidden, v)
				}
			}
			d.program.run(d.state)
			rests := assuming(d)
			for range 8 {
				copy(trial.raw, d.state.raw)
				for _, v := range hidden {
					trial.raw[v] = 1 << r.IntN(len(d.program.vars[v].fact.Domain))
				}
				d.program.run(trial)
				if contradicts(trial) {
					continue // what follows from a contradiction says nothing
				}
				for g := range d.program.groups {
					if !rests[g] && !d.state.groups[g].open && !contradicts(d.state) && d.state.groups[g].pick != trial.groups[g].pick {
						t.Fatalf("%s, seed %d: %s is not open and still changes", name, seed, d.program.groups[g].name())
					}
				}
			}
		}
	}
}

func contradicts(st *state) bool {
	return slices.ContainsFunc(st.groups, func(d decided) bool { return d.emptied || d.clash })
}

// assuming tells which groups rest on an assumed worst, directly or through the settings that their rules read.
func assuming(d *derivation) []bool {
	out := make([]bool, len(d.program.groups))
	for _, g := range d.program.order {
		for i := range d.program.groups[g].constraints {
			c := &d.program.groups[g].constraints[i]
			if c.rule < 0 {
				continue
			}
			code := &d.program.rules[c.rule]
			out[g] = out[g] || code.rule.Level == base.Safety && d.state.truth[c.rule] != d.state.sure[c.rule]
			for _, read := range d.program.reads(code.when) {
				out[g] = out[g] || out[read]
			}
		}
	}
	return out
}
