package proof

import (
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/base"
	"asleft/rules/derive"
	"asleft/rules/internal/search"
)

// The world of the proof is compared with the engine itself on random job files, with words changed and forgotten and facts tried:
//
//   - what the engine makes a card for is in the world, with the settings that it derived: the proof overlooks no such install;
//   - what a rule refuses by facts alone is not in it: the proof is not of something else;
//   - no install that gets a card breaks a clause, by the plain meaning of its lines.
func TestWorldHoldsWhatTheEngineGivesACard(t *testing.T) {
	const seed = 20261125
	each := 40
	if os.Getenv("ASLEFT_FULL") == "1" {
		each = 420
	} else {
		fmt.Println("proof: 200 random installs are compared with the engine; ASLEFT_FULL=1 go test ./rules/proof compares 2100")
	}
	b, err := withSafety(base.ShippedFiles())
	if err != nil {
		t.Fatal(err)
	}
	jobs := []string{"minibus", "pickup", "hatchback", "estate", "refused-closed-space"}
	counts := make([]tally, len(jobs))
	t.Run("jobs", func(t *testing.T) {
		for i, name := range jobs {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				x := newComparison(t, b, name)
				r := rand.New(rand.NewPCG(seed, uint64(i)))
				for counts[i].installs < each {
					x.install(t, r, &counts[i])
				}
			})
		}
	})
	var n tally
	for _, c := range counts {
		n = tally{n.installs + c.installs, n.carded + c.carded, n.settings + c.settings, n.refused + c.refused}
	}
	t.Logf("seed %d: %d installs, %d with a card (%d settings compared), %d refused by facts alone", seed, n.installs, n.carded, n.settings, n.refused)
	if n.installs < 5*each || n.carded < each/2 || n.refused < each/2 {
		t.Error("too few installs of a kind to say anything")
	}
}

type tally struct{ installs, carded, settings, refused int }

// comparison is a demo job with the world of its devices.
type comparison struct {
	b        *base.Base
	text     string
	profiles []*profile.Profile
	w        *world
	there    []search.Literal
	held     map[string]search.Literal // assumption that a group holds one of the choices
}

func newComparison(t *testing.T, b *base.Base, name string) *comparison {
	t.Helper()
	text, err := os.ReadFile("../../testdata/jobs/" + name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	x := &comparison{b: b, text: string(text), profiles: profile.Demo().All(), held: map[string]search.Literal{}}
	j, err := job.Read(name, text)
	if err != nil {
		t.Fatal(err)
	}
	facts, problems := base.Gather(b, j, x.profiles, nil, nil)
	if problems != nil {
		t.Fatal(problems)
	}
	var module *profile.Profile
	for _, d := range facts.Devices {
		if d.Profile.Kind == profile.Module {
			module = d.Profile
		}
	}
	s := shapeOf(b, facts.Controller().Profile, module)
	for _, kind := range []string{"opening", "circuit", "function", "remote"} {
		s.instances[kind] = facts.InstancesOf(kind)
	}
	x.w = newWorld(s, cardsOnly)
	for _, name := range sorted(x.w.there) {
		x.there = append(x.there, lit(x.w.there[name], yes))
	}
	return x
}

// plain is an install of which lines can be asked as they stand.
type plain struct {
	*base.Facts
	settings map[string]string
}

func (p plain) Instances(kind string) []string { return p.InstancesOf(kind) }

func (p plain) Setting(name string) []string {
	if v, ok := p.settings[name]; ok {
		return []string{v}
	}
	return nil
}

// install compares one random install.
func (x *comparison) install(t *testing.T, r *rand.Rand, n *tally) {
	text := x.changed(r)
	j, err := job.Read("random.toml", []byte(text))
	if err != nil {
		return
	}
	facts, problems := base.Gather(x.b, j, x.profiles, nil, nil)
	if problems != nil {
		return
	}
	with := x.tried(facts, r)
	if facts, problems = base.Gather(x.b, j, x.profiles, nil, with); problems != nil || x.impossible(facts) {
		return
	}
	result, err := derive.Derive(derive.Input{Base: x.b, Job: j, Profiles: x.profiles, With: with, Demands: []derive.Demand{}})
	if err != nil {
		t.Fatal(err)
	}
	n.installs++
	assumed := x.assumed(facts)
	switch {
	case carded(result):
		n.carded++
		assumed = append(assumed, x.derived(result, n)...)
		if _, end := x.w.solver.solve(&x.w.problem, conflicts, assumed...); end != search.Found {
			t.Errorf("an install with a card is not in the world (with %v):\n%s", with, text)
		}
		x.clauses(t, facts, result, text, with)
	case x.refusedByFacts(result):
		n.refused++
		if _, end := x.w.solver.solve(&x.w.problem, conflicts, assumed...); end != search.Unreachable {
			t.Errorf("a refused install is in the world (with %v):\n%s", with, text)
		}
	}
}

// refusedByFacts reports whether a rule refuses whose condition these eyes see as the engine does.
func (x *comparison) refusedByFacts(r *derive.Result) bool {
	return slices.ContainsFunc(r.Refusals, func(f derive.Finding) bool {
		rule, ok := x.b.Rule(f.Rule)
		return ok && !f.Unmet && shuts(f.Scope.What) && x.w.clear(rule)
	})
}

var wordLine = regexp.MustCompile(`(?m)^([a-z-]+) = "([a-z0-9-]+)"`)

// words are what a random job says under some keys.
var words = map[string][]string{
	"gearbox": {"automatic", "automated-manual", "manual", "direct", "unknown"}, "fuel": {"petrol", "diesel", "gas-lpg", "hybrid-petrol", "electric", "unknown"},
	"parking-lock": {"mechanical", "by-wire", "none", "unknown"}, "alternator": {"plain", "controlled", "unknown"}, "idle-stop": {"yes", "no", "unknown"},
	"open-top": {"yes", "no", "unknown"}, "work-equipment": {"none", "hydraulic", "unknown"}, "parked": {"open-air", "closed-space", "street", "unknown"},
	"can-be-left-out-of-park": {"yes", "no", "unknown"}, "unlock-steps": {"yes", "no", "owner-set", "unknown"}, "crank-by": {"controller", "vehicle", "unknown"},
	"second-pulse-deadlocks": {"yes", "no", "unknown"}, "sleeps": {"yes", "no", "unknown"}, "covers": {"p-only", "p-and-n", "unknown"},
	"self-reverses": {"yes", "no", "unknown"}, "to-cabin": {"yes", "no", "unknown"}, "circuit": {"negative-pulse", "positive-pulse", "reversal", "link", "unknown"},
	"start-path": {"feeds", "link", "none"}, "active": {"ground", "battery"},
}

func (x *comparison) changed(r *rand.Rand) string {
	rate := []float64{0, 0.02, 0.08}[r.IntN(3)]
	text := wordLine.ReplaceAllStringFunc(x.text, func(line string) string {
		m := wordLine.FindStringSubmatch(line)
		if list := words[m[1]]; slices.Contains(list, m[2]) && r.Float64() < rate {
			return fmt.Sprintf("%s = %q", m[1], list[r.IntN(len(list))])
		}
		return line
	})
	if r.IntN(5) == 0 {
		text = strings.Replace(text, "\nstart = true", "\nstart = false", 1)
	}
	return text
}

// tried gives some facts other values.
func (x *comparison) tried(facts *base.Facts, r *rand.Rand) map[string]string {
	out := map[string]string{}
	names := facts.Names()
	for range r.IntN(5) {
		name := names[r.IntN(len(names))]
		t, _, _ := x.b.Fact(name)
		if !strings.HasSuffix(name, ".fixed-role") { // it stands in the profile, and the feed's setting follows from the same line
			out[name] = t.Domain[r.IntN(len(t.Domain))]
		}
	}
	return out
}

// impossible reports whether the tried facts break a constraint: then it is no install.
func (x *comparison) impossible(facts *base.Facts) bool {
	in := plain{facts, nil}
	for _, c := range x.b.Constraints {
		for _, instance := range append([]string{""}, facts.InstancesOf(c.Each)...) {
			if (instance == "") == (c.Each == "") && (base.Condition{All: c.Never}).Eval(in, instance) == base.True {
				return true
			}
		}
	}
	return false
}

// assumed are the facts of an install, as the rules below safety see them. A fact of which it is not known whether it applies is left out.
func (x *comparison) assumed(facts *base.Facts) []search.Literal {
	out := slices.Clone(x.there)
	for _, name := range sorted(x.w.facts) {
		f := x.w.facts[name]
		at, _, _ := x.b.Fact(name)
		v := f.at[said]
		r := facts.Read(name)
		_, instance, _ := x.b.Fact(name)
		applies := (base.Condition{All: at.Applies}).Eval(plain{facts, nil}, instance)
		switch {
		case applies == base.Unknown:
		case r.State == base.NoMeaning:
			out = append(out, lit(v, noMeaning))
		case r.State == base.NotKnown:
			out = append(out, lit(v, notKnown))
		default:
			out = append(out, lit(v, 1<<slices.Index(f.kind.Domain, r.Value)))
		}
	}
	return out
}

// derived are assumptions that devices hold what the engine derived.
func (x *comparison) derived(r *derive.Result, n *tally) []search.Literal {
	var out []search.Literal
	for _, s := range r.Settings {
		if s.Value == "" || s.Kind == derive.NotApplicable || s.Action == derive.Absent || s.Key.Device != "controller" {
			continue
		}
		key := s.Key.String() + " " + string(s.Value)
		y, ok := x.held[key]
		if homes := x.w.home[s.Key.Setting]; !ok && len(homes) > 0 && !x.w.groups[homes[0]].virtual {
			v := x.w.fresh()
			y, ok = lit(v, yes), true
			x.held[key] = y
			x.w.clause(lit(v, no), lit(x.w.pick[homes[0]], x.w.groups[homes[0]].mask(s.Key.Setting, []string{string(s.Value)})))
		}
		if ok {
			n.settings++
			out = append(out, y)
		}
	}
	return out
}

// clauses looks whether an install with a card breaks a clause, by the plain meaning of the clause's lines.
func (x *comparison) clauses(t *testing.T, facts *base.Facts, r *derive.Result, text string, with map[string]string) {
	in := plain{facts, map[string]string{}}
	for _, s := range r.Settings {
		if s.Value != setting.Value("") && s.Action != derive.Absent && s.Kind != derive.NotApplicable {
			in.settings[s.Key.Setting] = string(s.Value)
		}
	}
	for _, u := range x.b.Unsafe {
		if u.Scope != "remote-start" {
			continue
		}
		for _, instance := range x.w.instancesOf(u.Each) {
			if u.When.Eval(in, instance) == base.True {
				t.Errorf("an install with a card breaks %s (with %v):\n%s", u.ID, with, text)
			}
		}
	}
}
