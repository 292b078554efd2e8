package derive

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/base"
)

// readJob reads a demo job with the workshop's policy and the demo devices.
func readJob(tb testing.TB, name string) Input {
	tb.Helper()
	j, err := job.Read(name+".toml", []byte(readFile(tb, name)))
	if err != nil {
		tb.Fatal(err)
	}
	in := Input{Job: j, Profiles: profile.Demo().All()}
	if j.Policy != "" {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "jobs", j.Policy))
		if err != nil {
			tb.Fatal(err)
		}
		if in.Policy, err = job.ReadPolicy(j.Policy, data); err != nil {
			tb.Fatal(err)
		}
	}
	return in
}

func readFile(tb testing.TB, name string) string {
	tb.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "jobs", name+".toml"))
	if err != nil {
		tb.Fatal(err)
	}
	return string(data)
}

func mustDerive(tb testing.TB, in Input) *Result {
	tb.Helper()
	r, err := Derive(in)
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

var goodJobs = []string{"minibus", "pickup", "hatchback", "estate"}

// What the demo jobs must come to, worked out by hand from the jobs and the trade's tables, not from the rules.
func TestDemoJobs(t *testing.T) {
	for _, c := range []struct {
		job   string
		start Outcome
		want  map[string]string // setting -> "value kind"
	}{
		{"minibus", ToBeProven, map[string]string{
			"engine-speed.source": "link-speed forced",   // the alternator is controlled, no speed line is joined, the link carries speed
			"feed.second.role":    "held forced",         // measured on in RUN and CRANK
			"unlock.steps":        "driver-first chosen", // wished for
			"gearbox.guard":       "park chosen",
			"immobiliser.release": "link-keys forced",
		}},
		{"pickup", ToBeProven, map[string]string{
			"engine-speed.source": "wire forced", // a diesel: never by voltage
			"preheat.source":      "wait-lamp forced",
			"feed.second.role":    "held forced",
		}},
		{"hatchback", ToBeProven, map[string]string{
			"gearbox.guard":       "exit-proof forced", // a manual gearbox has no other guard
			"takeover.order":      "none forced",
			"stop.on-door":        "on forced",
			"engine-speed.source": "wire forced",
		}},
		{"estate", ToBeProven, map[string]string{
			"run.proof":      "ready forced", // a hybrid may stand READY with its engine at rest
			"start.path":     "link forced",
			"takeover.order": "authenticated-then-brake chosen",
		}},
	} {
		r := mustDerive(t, readJob(t, c.job))
		if r.Start != c.start {
			t.Errorf("%s: start is %s, want %s", c.job, r.Start, c.start)
		}
		for _, name := range sortedNames(c.want) {
			i := slices.IndexFunc(r.Settings, func(s Setting) bool { return s.Key.Setting == name })
			if i < 0 {
				t.Errorf("%s: no row for %s", c.job, name)
			} else if got := string(r.Settings[i].Value) + " " + string(r.Settings[i].Kind); got != c.want[name] {
				t.Errorf("%s: %s is %s, want %s", c.job, name, got, c.want[name])
			}
		}
		for i := 1; i < len(r.Settings); i++ {
			if setting.Less(r.Settings[i].Key.Setting, r.Settings[i-1].Key.Setting) {
				t.Errorf("%s: %s stands after %s", c.job, r.Settings[i].Key, r.Settings[i-1].Key)
			}
		}
	}
}

// Each refused demo job is refused for the reason that stands at its head.
func TestRefusedJobs(t *testing.T) {
	for _, c := range []struct {
		job, scope, fact string
	}{
		{"refused-closed-space", "remote-start", "vehicle.parked"},
		{"refused-no-brake", "remote-start", "signal.brake.source"},
		{"refused-open-top", "remote-start", "vehicle.open-top"},
		{"refused-park-or-neutral", "remote-start", "signal.park.covers"},
		{"refused-functions", "function lift", "function.lift.does"},
		{"refused-functions", "function ramp", "function.ramp.keeps"},
		{"refused-functions", "function roof-vent", "function.roof-vent.self-reverses"},
	} {
		r := mustDerive(t, readJob(t, c.job))
		found := false
		for _, f := range r.Refusals {
			reads := slices.ContainsFunc(f.Facts, func(x FactRef) bool { return x.Name == c.fact && x.Pos.File != "" })
			found = found || (f.Scope.String() == c.scope && reads && !f.Open && f.Why != "" && f.Cure != "")
		}
		if !found {
			t.Errorf("%s: no refusal of %s that rests on %s, with a cure", c.job, c.scope, c.fact)
		}
		if wantStart := c.scope == "remote-start"; (r.Start == Refused) != wantStart {
			t.Errorf("%s: start is %s", c.job, r.Start)
		}
	}
	r := mustDerive(t, readJob(t, "refused-two-wishes"))
	if len(r.Contradictions) == 0 || !r.JobRefused || r.Start != Refused {
		t.Fatalf("two wishes that exclude each other: %d contradictions, start %s", len(r.Contradictions), r.Start)
	}
	var lines []int
	for _, ref := range r.Contradictions[0].Rules {
		lines = append(lines, ref.Pos.Line)
	}
	if len(lines) != 2 || lines[0] == lines[1] || slices.Contains(lines, 0) {
		t.Errorf("a contradiction shows both lines, got %v", lines)
	}
}

// Every decided setting says why, and every fact that somebody wrote down has its line.
func TestReasonsAndPlaces(t *testing.T) {
	for _, name := range goodJobs {
		r := mustDerive(t, readJob(t, name))
		for _, s := range r.Settings {
			if s.Level != base.Factory && s.Level != base.DeviceLimit && len(s.Rules) == 0 {
				t.Errorf("%s: %s is %s by %s, and no rule says so", name, s.Key, s.Value, s.Level)
			}
			if s.Kind != NotApplicable && s.Otherwise == "" {
				t.Errorf("%s: %s does not say what would have to change", name, s.Key)
			}
			for _, f := range s.Facts {
				if strings.HasPrefix(f.Name, "vehicle.") && f.Value != "no" && !f.Assumed && f.Pos.Line == 0 {
					t.Errorf("%s: %s rests on %s without a line", name, s.Key, f.Name)
				}
			}
		}
		for _, n := range r.NotMet {
			if n.Because == "" || n.Pos.Line == 0 {
				t.Errorf("%s: not met without reason or line: %+v", name, n)
			}
		}
	}
}

// Pass 2 may not change what pass 1 decided.
func TestPassTwoChangesNothing(t *testing.T) {
	for _, name := range goodJobs {
		in := readJob(t, name)
		first := mustDerive(t, in)
		in.Demands = []Demand{{Key: setting.Key{Device: "controller", Setting: "aux.1.count"}, Value: "1", Level: base.Wish, Why: "asked by the plan"}}
		second := mustDerive(t, in)
		for _, s := range first.Settings {
			got, ok := second.Get(s.Key)
			if !ok || got.Value != s.Value || got.Kind != s.Kind || got.Level != s.Level {
				t.Errorf("%s: %s was %s (%s), in pass 2 it is %s (%s)", name, s.Key, s.Value, s.Kind, got.Value, got.Kind)
			}
		}
		if len(second.Settings) <= len(first.Settings) {
			t.Errorf("%s: pass 2 adds no setting", name)
		}
	}
}

// Without remote start the rest is derived, and nothing is refused that is about starting.
func TestWithoutStart(t *testing.T) {
	for _, name := range []string{"refused-closed-space", "refused-no-brake", "refused-open-top", "refused-park-or-neutral"} {
		in := readJob(t, name)
		in.Without = true
		r := mustDerive(t, in)
		if r.Start != NotWanted || fails(r, Scope{What: "remote-start"}) {
			t.Errorf("%s without start: %s, %d refusals, %d contradictions", name, r.Start, len(r.Refusals), len(r.Contradictions))
		}
	}
}
