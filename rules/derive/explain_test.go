package derive

import (
	"slices"
	"strings"
	"testing"

	"asleft/config/setting"
)

// The chain of a setting ends at what was measured, asked or wished.
func TestExplainFollowsTheChain(t *testing.T) {
	e, err := Explain(readJob(t, "hatchback"), setting.Key{Setting: "engine-speed.learn"})
	if err != nil {
		t.Fatal(err)
	}
	if len(e.Steps) == 0 || len(e.Through) == 0 || e.Through[0].Setting.Key.Setting != "engine-speed.source" {
		t.Fatalf("learning follows from the source of engine speed: %+v", e)
	}
	reads := slices.ContainsFunc(e.Through[0].Steps, func(s Step) bool {
		return slices.ContainsFunc(s.Facts, func(f FactRef) bool { return strings.HasPrefix(f.Name, "signal.engine-speed.") && f.Pos.Line > 0 })
	})
	if !reads {
		t.Errorf("the source of engine speed rests on the signal and its line: %+v", e.Through[0].Steps)
	}
}

func TestExplainNamesTheNearestSetting(t *testing.T) {
	_, err := Explain(readJob(t, "minibus"), setting.Key{Setting: "unlock.step"})
	if err == nil || !strings.Contains(err.Error(), "unlock.steps") {
		t.Errorf("got %v", err)
	}
}

func TestWhyNot(t *testing.T) {
	for _, c := range []struct {
		job, setting, value string
		blames              string // a rule, "wish", or a word of the device's limit
		fact                string
		hard                bool
	}{
		{"minibus", "engine-speed.source", "voltage", "voltage-must-be-measured", "engine.voltage-shows", true},
		{"minibus", "unlock.steps", "all", "wish", "", false},
		{"hatchback", "gearbox.guard", "park", "", "vehicle.gearbox", true},
		{"hatchback", "run.minutes", "20", "wish", "", false},
		{"pickup", "preheat.source", "none", "", "vehicle.fuel", true},
	} {
		n, err := WhyNot(readJob(t, c.job), setting.Key{Device: "controller", Setting: c.setting}, setting.Value(c.value), true)
		if err != nil {
			t.Fatal(err)
		}
		if n.Is || len(n.Conflicts) == 0 || !n.Whole {
			t.Fatalf("%s: %s is not %s, conflicts %v", c.job, c.setting, c.value, n.Conflicts)
		}
		named := slices.ContainsFunc(n.Conflicts, func(x Conflict) bool {
			blamed := c.blames == "" || slices.ContainsFunc(x.Rules, func(r RuleRef) bool { return r.Rule == c.blames })
			read := c.fact == "" || slices.ContainsFunc(x.Facts, func(f FactRef) bool { return f.Name == c.fact })
			return blamed && read && x.Hard == c.hard
		})
		if !named {
			t.Errorf("%s: why is %s not %s: no conflict names %s and %s: %+v", c.job, c.setting, c.value, c.blames, c.fact, n.Conflicts)
		}
	}
}

// For every setting and every value that it does not have, the conflicts forbid the value and are minimal: the device's
// choices under all of a conflict leave no way to the value, under all but one of its constraints they do.
func TestWhyNotIsMinimal(t *testing.T) {
	for _, name := range goodJobs {
		d, r, err := derived(readJob(t, name))
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range d.program.groups {
			for at, s := range g.settings {
				if d.in.skips(s) {
					continue
				}
				row, ok := r.Get(setting.Key{Device: g.device.Name, Setting: s})
				if !ok {
					continue
				}
				for _, c := range g.choices {
					v := c.values[at]
					if v == row.Value || v == "" {
						continue
					}
					n := NotThis{Setting: row, Value: v, Whole: true}
					d.whyNot(&n, g, at, true)
					checkMinimal(t, d, g, at, n)
				}
			}
		}
	}
}

func checkMinimal(t *testing.T, d *derivation, g *group, at int, n NotThis) {
	t.Helper()
	if len(n.Conflicts) == 0 {
		t.Errorf("%s: nothing says why it is not %s", g.settings[at], n.Value)
	}
	wanted := g.mask(at, func(v setting.Value) bool { return v == n.Value })
	masks := map[RuleRef]uint64{}
	for _, c := range d.counting(g, &d.state.groups[g.index], 8) {
		masks[d.program.ref(&c)] = c.mask
	}
	for _, c := range n.Conflicts {
		if wanted == 0 || len(c.Rules) == 0 || n.Setting.Kind == NotApplicable {
			continue
		}
		for skip := -1; skip < len(c.Rules); skip++ {
			left := wanted
			for i, ref := range c.Rules {
				if i != skip {
					left &= masks[ref]
				}
			}
			if (left == 0) != (skip < 0) {
				t.Errorf("%s is not %s: without rule %d of %v the choices left are %b", g.settings[at], n.Value, skip, c.Rules, left)
			}
		}
	}
}

// The repairs of the refused demo jobs: the cheapest first, and each really helps.
func TestRepairs(t *testing.T) {
	start := Scope{What: "remote-start"}
	for _, c := range []struct {
		job  string
		says []string // words of some repair, in order of cost
	}{
		{"refused-no-brake", []string{"Leave remote start out", "brake"}},
		{"refused-two-wishes", []string{"Wish unlock.steps = ", "Leave out the wish unlock.steps"}},
		{"refused-closed-space", []string{"Leave remote start out"}}, // where it is parked is no repair
		{"refused-open-top", []string{"Leave remote start out"}},     // what the vehicle is, is none either
		{"refused-park-or-neutral", []string{"Leave remote start out", "active in P alone"}},
	} {
		list, whole, err := Repairs(readJob(t, c.job), start, 0)
		if err != nil || !whole {
			t.Fatalf("%s: whole %v, %v", c.job, whole, err)
		}
		at := 0
		for _, want := range c.says {
			for at < len(list) && !strings.Contains(list[at].Changes[0].Says, want) {
				at++
			}
			if at == len(list) {
				t.Errorf("%s: no repair says %q in its place: %+v", c.job, want, list)
			}
		}
		for _, r := range list {
			if r.Start == Refused || len(r.Changes) == 0 || len(r.Changes) > maxChanges {
				t.Errorf("%s: %+v is no repair", c.job, r)
			}
		}
	}
	if list, whole, _ := Repairs(readJob(t, "minibus"), start, 0); list != nil || !whole {
		t.Errorf("what is not refused needs no repair: %v", list)
	}
}

// What is missing is named with how to find it out; the fewest measurements settle everything open.
func TestMissingFacts(t *testing.T) {
	in := readJob(t, "minibus")
	v := in.Job.Vehicle
	v.Parked = ""
	in.Job.Vehicle = v
	r := mustDerive(t, in)
	i := slices.IndexFunc(r.Missing, func(m Missing) bool { return m.Fact == "vehicle.parked" })
	if i < 0 || r.Missing[i].Measure == "" || !r.Missing[i].Safety || r.Missing[i].Assumed != "closed-space" {
		t.Fatalf("missing: %+v", r.Missing)
	}
	if r.Start != OutOpen || !slices.Equal(r.Measure, []string{"vehicle.parked"}) {
		t.Errorf("start %s, to measure %v", r.Start, r.Measure)
	}
	in.With = map[string]string{"vehicle.parked": "open-air"}
	if r = mustDerive(t, in); r.Start != ToBeProven {
		t.Errorf("parked in the open air: %s", r.Start)
	}
	// Without a foot brake no place helps: refused, whatever the missing fact turns out to be.
	in = readJob(t, "refused-no-brake")
	v = in.Job.Vehicle
	v.Parked = ""
	in.Job.Vehicle = v
	if r = mustDerive(t, in); r.Start != Refused {
		t.Errorf("no brake, parking unknown: %s", r.Start)
	}
}

// A what-if shows what would change, and leaves the job alone.
func TestWhatIf(t *testing.T) {
	in := readJob(t, "minibus")
	before := mustDerive(t, in)
	in.With = map[string]string{"wish.unlock.steps": "all", "place.idle-minutes": "5"}
	shifts := Shifts(before, mustDerive(t, in))
	var names []string
	for _, s := range shifts {
		names = append(names, s.name())
	}
	if !slices.Contains(names, "unlock.steps") || !slices.Contains(names, "run.minutes") {
		t.Errorf("changed: %v", names)
	}
	in.With = nil
	if again := Shifts(before, mustDerive(t, in)); again != nil {
		t.Errorf("the job itself changed: %v", again)
	}
}

// A what-if that is no fact, or no word of it, is named with the nearest.
func TestWithIsChecked(t *testing.T) {
	for with, want := range map[[2]string]string{
		{"vehicle.parkd", "open-air"}:     "vehicle.parked",
		{"vehicle.parked", "open-aire"}:   "open-air",
		{"place.idle-minutes", "a while"}: "number",
		{"wish.unlock.step", "all"}:       "unlock.steps",
		{"wish.unlock.steps", "some"}:     "driver-first",
	} {
		in := readJob(t, "minibus")
		in.With = map[string]string{with[0]: with[1]}
		if _, err := Derive(in); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: %v", with, err)
		}
	}
}
