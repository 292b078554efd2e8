package derive

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	"asleft/config/job"
)

// Random job files, read by our reader, come out as clingo derives them, which is given the raw volts of each conductor and
// works out by itself what role it has, what each feed is joined to, and whether the engine is fed and cranked by wire.
func TestJobFilesEqualClingo(t *testing.T) {
	if os.Getenv("ASLEFT_REFERENCE") != "all" {
		fmt.Println("derive: the comparison of job files with clingo is left out; ASLEFT_REFERENCE=all runs it")
		return
	}
	if _, err := exec.LookPath("clingo"); err != nil {
		t.Fatal("ASLEFT_REFERENCE=all, and clingo is missing (Debian package gringo)")
	}
	calls, each := 1, 40
	if os.Getenv("ASLEFT_FULL") == "1" {
		calls, each = 10, 100
	}
	installs, unread := 0, 0
	for _, name := range []string{"minibus", "pickup", "hatchback"} {
		d, err := prepare(readJob(t, name))
		if err != nil {
			t.Fatal(err)
		}
		a := writeProgram(d.program, d.in)
		a.WriteString(rolesByVolts)
		for call := range calls {
			r := rand.New(rand.NewPCG(uint64(call), 13))
			var vectors [][]uint64
			var own []restated
			for len(vectors) < each {
				raw, said, ok := randomJob(t, d, a, name, len(vectors), r)
				if !ok {
					unread++
					continue
				}
				vectors, own = append(vectors, raw), append(own, said)
			}
			answer := clingo(t, a, d, vectors, own)
			for i, raw := range vectors {
				copy(d.state.raw, raw)
				d.program.run(d.state)
				if diff := compare(d, answer, i); diff != "" {
					t.Fatalf("%s, seed %d, job %d: %s", name, call, i, diff)
				}
				installs++
			}
		}
	}
	fmt.Printf("derive: %d random job files equal clingo's from raw volts on (%d more could not be read, as they should not)\n", installs, unread)
}

// rolesByVolts restates the table of conductor roles, in millivolts: on is at least 0.8 of the battery and within 1.5 V of
// it, off at most 0.5 V under a lamp and 1.0 V without (common practice, no source).
const rolesByVolts = `
on(I,C,P) :- volt(I,C,P,U,B,_), 10*U >= 8*B, B-U <= 1500.
off(I,C,P) :- volt(I,C,P,U,_,1), U <= 500.
off(I,C,P) :- volt(I,C,P,U,_,0), U <= 1000.
not_on(I,C) :- volt(I,C,P,_,_,_), not on(I,C,P).
not_off(I,C) :- volt(I,C,P,_,_,_), not off(I,C,P).
conductor(I,C) :- volt(I,C,_,_,_,_).
role(I,C,battery) :- conductor(I,C), not not_on(I,C).
role(I,C,dead) :- conductor(I,C), not not_off(I,C).
role(I,C,keyin) :- off(I,C,out), on(I,C,off), on(I,C,acc), on(I,C,run), on(I,C,crank).
role(I,C,held) :- off(I,C,out), off(I,C,off), on(I,C,run), on(I,C,crank).
role(I,C,dropped) :- off(I,C,out), off(I,C,off), on(I,C,run), off(I,C,crank).
role(I,C,starter) :- off(I,C,out), off(I,C,off), off(I,C,acc), off(I,C,run), on(I,C,crank).
said(I,F,V) :- rolefact(C,F), role(I,C,R), word(R,V).
said(I,F,V) :- feedfact(N,F), joined(I,N,C), role(I,C,R), word(R,V).
fed(I) :- joined(I,_,C), role(I,C,held).
wired(I) :- joined(I,_,C), role(I,C,starter).
wired(I) :- joined(I,N,_), fixedstarter(N).
said(I,F,0) :- fedfact(F), fed(I).
said(I,F,1) :- fedfact(F), i(I), not fed(I), restates(I).
said(I,F,0) :- wiredfact(F), wired(I).
said(I,F,1) :- wiredfact(F), i(I), not wired(I), restates(I).
#defined joined/3. #defined rolefact/2. #defined feedfact/2. #defined fixedstarter/1. #defined fedfact/1. #defined wiredfact/1. #defined restates/1. #defined volt/6. #defined word/2.
`

var (
	wordLine  = regexp.MustCompile(`^([a-z-]+) = "([a-z0-9-]+)"(.*)$`)
	voltsLine = regexp.MustCompile(`^volts = \{(.*)\}`)
)

// otherWords are what a random job says under some keys; "unknown" is one of them where a job may say so.
var otherWords = map[string][]string{
	"gearbox":                 {"automatic", "automated-manual", "direct", "unknown"},
	"fuel":                    {"petrol", "diesel", "gas-lpg", "hybrid-petrol", "unknown"},
	"immobiliser":             {"none", "resistor-key", "transponder", "proximity", "code", "unknown"},
	"alternator":              {"plain", "controlled", "unknown"},
	"idle-stop":               {"yes", "no", "unknown"},
	"open-top":                {"yes", "no", "unknown"},
	"work-equipment":          {"none", "hydraulic", "unknown"},
	"parked":                  {"open-air", "closed-space", "street", "unknown"},
	"can-be-left-out-of-park": {"yes", "no", "unknown"},
	"unlock-steps":            {"yes", "no", "owner-set", "unknown"},
	"crank-by":                {"controller", "vehicle", "unknown"},
	"second-pulse-deadlocks":  {"yes", "no", "unknown"},
	"fails-safe":              {"yes", "no", "unknown"},
	"sleeps":                  {"yes", "no", "unknown"},
	"covers":                  {"p-only", "p-and-n", "unknown"},
	"active":                  {"ground", "battery"},
	"moves":                   {"yes", "no", "unknown"},
	"self-reverses":           {"yes", "no", "unknown"},
	"to-cabin":                {"yes", "no", "unknown"},
	"start-path":              {"feeds", "link", "none"},
}

// patterns are the readings that a conductor can have, on as 1.
var patterns = []string{"11111", "01111", "00011", "00111", "00110", "00010", "00001", "00000"}

// randomJob is a demo job with some words and volts changed; false when nobody could have written it.
func randomJob(t *testing.T, d *derivation, a *asp, name string, install int, r *rand.Rand) ([]uint64, restated, bool) {
	lines := strings.Split(readFile(t, name), "\n")
	change := []float64{0.03, 0.15, 0.4}[r.IntN(3)]
	for i, line := range lines {
		if m := wordLine.FindStringSubmatch(line); m != nil && r.Float64() < change {
			if words := otherWords[m[1]]; slices.Contains(words, m[2]) {
				lines[i] = fmt.Sprintf("%s = %q%s", m[1], words[r.IntN(len(words))], m[3])
			}
		}
		if m := voltsLine.FindStringSubmatch(line); m != nil && strings.Count(m[1], "=") == 5 && r.Float64() < change {
			lines[i] = randomVolts(r)
		}
	}
	j, err := job.Read("random.toml", []byte(strings.Join(lines, "\n")))
	if err != nil {
		return nil, restated{}, false
	}
	in := d.in
	in.Job = j
	other, err := prepare(in)
	if err != nil {
		return nil, restated{}, false
	}
	raw := make([]uint64, len(d.program.vars))
	for v := range d.program.vars {
		if raw[v] = d.program.vars[v].full; d.program.vars[v].fact != nil {
			raw[v] = other.program.said(&d.program.vars[v])
		}
	}
	return raw, restate(d, a, j, install), true
}

// randomVolts writes readings of one of the patterns, near the limits of on and off as well.
func randomVolts(r *rand.Rand) string {
	p := patterns[r.IntN(len(patterns))]
	battery := []float64{12.6, 12.6, 12.5, 12.4, 10.2}
	var out []string
	for i, pos := range []string{"out", "off", "acc", "run", "crank"} {
		volts := []float64{0, 0.1, 0.3, 0.5}[r.IntN(4)]
		if p[i] == '1' {
			volts = battery[i] - []float64{0, 0.1, 0.4, 1.4}[r.IntN(4)]
		}
		out = append(out, fmt.Sprintf("%s = %.1f", pos, volts))
	}
	return "volts = { " + strings.Join(out, ", ") + " }"
}

// restate tells the raw volts and joins of a job, and which facts follow from them.
func restate(d *derivation, a *asp, j *job.Job, install int) restated {
	out := restated{facts: map[string]bool{}}
	var b strings.Builder
	fact := func(name string) (int, bool) {
		i, ok := a.facts[name]
		if ok {
			out.facts[name] = true
		}
		return i, ok
	}
	fmt.Fprintf(&b, "restates(%d).\n", install)
	plain := map[string]bool{}
	for n, c := range j.Circuits {
		if c.LowSide || c.Retained || c.Asleep.Battery > 0 || len(c.Again) > 0 {
			continue // read in other ways: told as read
		}
		plain[c.Name] = true
		for _, pos := range sortedNames(c.Volts) {
			lamp := truth2int(c.Light)
			fmt.Fprintf(&b, "volt(%d,%d,%s,%d,%d,%d).\n", install, n, pos, int(c.Volts[pos].Volts*1000+0.5), int(c.Volts[pos].Battery*1000+0.5), lamp)
		}
		if f, ok := fact("circuit." + c.Name + ".role"); ok {
			fmt.Fprintf(&b, "rolefact(%d,%d).\n", n, f)
		}
	}
	all := restateFeeds(d, j, install, plain, fact, &b)
	for predicate, name := range map[string]string{"fedfact": "start.fed", "wiredfact": "start.by-wire"} {
		if i, ok := a.facts[name]; ok && all {
			out.facts[name] = true
			fmt.Fprintf(&b, "%s(%d).\n", predicate, i)
		}
	}
	t, _, _ := d.program.facts.Base.Fact("circuit.NAME.role")
	for _, role := range []string{"battery", "dead", "key-in", "held", "dropped", "starter"} {
		fmt.Fprintf(&b, "word(%s,%d).\n", strings.ReplaceAll(role, "-", ""), slices.Index(t.Domain, role))
	}
	out.lines = b.String()
	return out
}

// restateFeeds tells what the feeds are joined to; false when a feed is joined to a conductor that is not restated.
func restateFeeds(d *derivation, j *job.Job, install int, plain map[string]bool, fact func(string) (int, bool), b *strings.Builder) bool {
	all := true
	for _, f := range j.Feeds {
		n := slices.IndexFunc(j.Circuits, func(c job.Circuit) bool { return c.Name == f.Circuit })
		if all = all && plain[f.Circuit]; !plain[f.Circuit] {
			continue
		}
		feed := slices.Index(d.program.facts.Instances["feed"], f.Feed)
		fmt.Fprintf(b, "joined(%d,%d,%d).\n", install, feed, n)
		if i, ok := fact("feed." + f.Feed + ".circuit-role"); ok {
			fmt.Fprintf(b, "feedfact(%d,%d).\n", feed, i)
		}
		for _, x := range d.program.facts.Controller().Profile.Feeds {
			if x.Name == f.Feed && len(x.Roles) == 1 && x.Roles[0] == "starter" {
				fmt.Fprintf(b, "fixedstarter(%d).\n", feed)
			}
		}
	}
	return all
}
