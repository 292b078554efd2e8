package derive_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/base"
	"asleft/rules/derive"
)

// Random job files come out as clingo (https://potassco.org, Debian package gringo) derives them, which is given what stands in the
// files: the volts of each conductor, the words and numbers of the job, the profiles and the policy, and the sentences of the rule
// files. What a conductor is, what each fact is, which choices a device has, how the levels are walked, what stays open and what a
// refusal takes away is restated here and in testdata/oracle; only the reader of TOML (and the vocabulary) is shared. Compared are the
// values of all settings, how free they were left and by which level, the position of the option, refusals, contradictions with the
// lines that are blamed, cautions, wishes not met, missing facts with what rests on them, and what all this says about remote start;
// in half of the installs with demands of a button plan, as in pass 2. Not compared are sentences, places in files, reasons, and the
// smallest set of facts to find out.
func TestJobFilesEqualClingo(t *testing.T) {
	if os.Getenv("ASLEFT_REFERENCE") != "all" {
		fmt.Println("derive: the comparison of job files with clingo is left out; ASLEFT_REFERENCE=all go test ./rules/derive runs it, ASLEFT_FULL=1 besides with 10 000 installs")
		return
	}
	if _, err := exec.LookPath("clingo"); err != nil {
		t.Fatal("ASLEFT_REFERENCE=all, and clingo is missing (Debian package gringo)")
	}
	c := &comparison{book: readRulebook(t)}
	calls, each := 2, 50
	if os.Getenv("ASLEFT_FULL") == "1" {
		calls, each = 100, 101
	}
	var adding sync.Mutex
	t.Run("seed", func(t *testing.T) {
		for seed := range calls {
			t.Run(strconv.Itoa(seed), func(t *testing.T) {
				t.Parallel()
				part := &comparison{book: c.book}
				part.call(t, uint64(seed), each)
				adding.Lock()
				defer adding.Unlock()
				c.add(part)
			})
		}
	})
	fmt.Printf("derive: %d random job files equal clingo's from raw volts on, seeds 0 to %d: %s; %d more could not be read, as they should not\n", c.installs, calls-1, c.tally(), c.unread)
}

// comparison counts what was compared.
type comparison struct {
	book                                                       *rulebook
	installs, unread                                           int
	settings, open, refused, contradictions, second, redevised int
}

// add takes in what another part of the comparison counted.
func (c *comparison) add(d *comparison) {
	c.installs, c.unread = c.installs+d.installs, c.unread+d.unread
	c.settings, c.open, c.refused = c.settings+d.settings, c.open+d.open, c.refused+d.refused
	c.contradictions, c.second, c.redevised = c.contradictions+d.contradictions, c.second+d.second, c.redevised+d.redevised
}

func (c *comparison) tally() string {
	return fmt.Sprintf("%d settings, %d of them open, %d refusals, %d contradictions, %d installs with demands, %d with devices of random abilities", c.settings, c.open, c.refused, c.contradictions, c.second, c.redevised)
}

// bench is what the engine reads for a call.
type bench struct {
	world    *world
	profiles []*profile.Profile
	policy   *job.Policy
	texts    []string // of the jobs
	inputs   []derive.Input
}

// call draws a policy, devices and installs from one seed, and compares.
func (c *comparison) call(t *testing.T, seed uint64, installs int) {
	t.Helper()
	r := chance{rand.New(rand.NewPCG(seed, 17))}
	b := &bench{world: &world{book: c.book, profiles: map[string]*tree{}}}
	b.devices(t, r, seed%2 == 1)
	b.world.controller, b.world.module = r.one(b.ofKind("controller")), r.one(append(b.ofKind("module"), ""))
	b.shop(t, r)
	names, err := filepath.Glob("../../testdata/jobs/*.toml")
	if err != nil || len(names) == 0 {
		t.Fatal("no demo jobs", err)
	}
	names = slices.DeleteFunc(names, func(n string) bool { return strings.Contains(n, ".policy.") || strings.Contains(n, ".found.") })
	for len(b.texts) < installs {
		data, err := os.ReadFile(names[r.IntN(len(names))])
		if err != nil {
			t.Fatal(err)
		}
		if !b.install(r, r.job(string(data), b.world)) {
			c.unread++
		}
	}
	w := b.world
	a := w.write(false)
	answers := readAnswers(solve(t, a.String()), installs)
	loose := c.finish(t, a, w, answers)
	for i, in := range w.installs {
		result, err := derive.Derive(b.inputs[i])
		if err != nil {
			t.Fatal(err)
		}
		ours, theirs := said(result, loose[i]), a.report(w, in, answers[i])
		if !slices.Equal(ours, theirs) {
			t.Fatalf("seed %d, job %d: - is the engine, + the oracle\n%s\n%s", seed, i, difference(ours, theirs), b.kept(t, i))
		}
		c.count(in, ours, seed%2 == 1)
	}
}

// finish lets missing facts turn out in all ways, where something rests on them, and settles what all ways agree on. It says of
// which settings that is so, and which stay in an open group.
func (c *comparison) finish(t *testing.T, a *asp, w *world, answers []*answer) []map[string]string {
	t.Helper()
	any := false
	for i, in := range w.installs {
		if a.ways(in, answers[i]) {
			any = true
		} else {
			in.complete = nil
		}
	}
	if any {
		a.settle(solve(t, w.write(true).String(), "--enum-mode=cautious"), answers)
	}
	out := make([]map[string]string, len(answers))
	for i, x := range answers {
		out[i] = map[string]string{}
		for u, d := range x.units {
			for _, s := range a.groups[u.group].settings {
				out[i][u.device+" "+s] = map[bool]string{true: "settled"}[d.settled]
				if d.open && !d.settled {
					out[i][u.device+" "+s] = "open"
				}
			}
		}
	}
	return out
}

func (c *comparison) count(in *install, lines []string, devised bool) {
	c.installs++
	for _, l := range lines {
		switch {
		case strings.HasPrefix(l, "setting "):
			c.settings++
			if strings.HasSuffix(l, ": open") {
				c.open++
			}
		case strings.HasPrefix(l, "refusal "):
			c.refused++
		case strings.HasPrefix(l, "contradiction"):
			c.contradictions++
		}
	}
	if in.demands != nil {
		c.second++
	}
	if devised {
		c.redevised++
	}
}

// devices reads the demo devices; redraw gives controllers and modules other abilities, as far as a profile may have them.
func (b *bench) devices(t *testing.T, r chance, redraw bool) {
	t.Helper()
	names, err := filepath.Glob("../../config/profile/devices/*.toml")
	if err != nil || len(names) == 0 {
		t.Fatal("no demo devices", err)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		text := string(data)
		if redraw {
			for range 20 {
				if drawn := r.profile(text); readable(drawn) {
					text = drawn
					break
				}
			}
		}
		p, err := profile.Read(filepath.Base(name), []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		b.profiles = append(b.profiles, p)
		if b.world.profiles[p.ID], err = parseTree(name, []byte(text)); err != nil {
			t.Fatal(err)
		}
	}
}

func (b *bench) ofKind(kind profile.Kind) []string {
	var out []string
	for _, p := range b.profiles {
		if p.Kind == kind {
			out = append(out, p.ID)
		}
	}
	return out
}

func readable(profileText string) bool {
	_, err := profile.Read("drawn.toml", []byte(profileText))
	return err == nil
}

// shop draws some lines of the demo policy.
func (b *bench) shop(t *testing.T, r chance) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/jobs/ostlin.policy.toml")
	if err != nil {
		t.Fatal(err)
	}
	list := sections(string(data))
	list = slices.DeleteFunc(list, func(s section) bool { return s.name != "" && r.of(0.3) })
	text := []byte(joined(list))
	if b.policy, err = job.ReadPolicy("drawn.policy.toml", text); err != nil {
		t.Fatal(err)
	}
	if b.world.policy, err = parseTree("drawn.policy.toml", text); err != nil {
		t.Fatal(err)
	}
}

// install takes a drawn job if it can be read and its devices fit together.
func (b *bench) install(r chance, text string) bool {
	j, err := job.Read("drawn.toml", []byte(text))
	if err != nil {
		return false
	}
	root, err := parseTree("drawn.toml", []byte(text))
	if err != nil {
		return false
	}
	in := &install{job: root, policied: r.of(0.6)}
	input := derive.Input{Job: j, Profiles: b.profiles}
	if in.policied {
		input.Policy = b.policy
	}
	if r.of(0.5) {
		in.demands = r.demands(root, b.world)
		input.Demands = []derive.Demand{}
		for _, d := range in.demands {
			input.Demands = append(input.Demands, derive.Demand{Key: setting.Key{Device: d.device, Setting: d.setting}, Value: setting.Value(d.value), Level: base.Wiring})
		}
	}
	if _, err := derive.Derive(input); err != nil {
		return false
	}
	b.world.installs, b.texts, b.inputs = append(b.world.installs, in), append(b.texts, text), append(b.inputs, input)
	return true
}

// kept writes a job file on which engine and oracle differ, to be run again, and says where.
func (b *bench) kept(t *testing.T, i int) string {
	dir, err := os.MkdirTemp("", "asleft-oracle-")
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "job.toml")
	if err := os.WriteFile(name, []byte(b.texts[i]), 0o644); err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("the job is in %s; policy %v, demands %v", name, b.world.installs[i].policied, b.world.installs[i].demands)
}

// solve runs the solver and gives the last answer that it printed.
func solve(t *testing.T, program string, more ...string) []atom {
	t.Helper()
	cmd := exec.Command("clingo", append([]string{"--warn=none", "0"}, more...)...)
	cmd.Stdin = strings.NewReader(program)
	var out, wrong bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &wrong
	err := cmd.Run()
	if code := cmd.ProcessState.ExitCode(); code != 10 && code != 30 {
		t.Fatalf("clingo ends with %d (%v): %s", code, err, wrong.String())
	}
	last := ""
	lines := strings.Split(out.String(), "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, "Answer:") && i+1 < len(lines) {
			last = lines[i+1]
		}
	}
	var atoms []atom
	for _, text := range strings.Fields(last) {
		atoms = append(atoms, parseAtom(text))
	}
	return atoms
}

// difference is what only one of two sorted lists has.
func difference(ours, theirs []string) string {
	var b strings.Builder
	for _, l := range ours {
		if !slices.Contains(theirs, l) {
			b.WriteString("- " + l + "\n")
		}
	}
	for _, l := range theirs {
		if !slices.Contains(ours, l) {
			b.WriteString("+ " + l + "\n")
		}
	}
	return b.String()
}
