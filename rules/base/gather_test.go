package base

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"asleft/config/job"
	"asleft/config/profile"
)

func demoJobs(t *testing.T) map[string]*job.Job {
	t.Helper()
	names, err := filepath.Glob(filepath.Join("..", "..", "testdata", "jobs", "*.toml"))
	if err != nil || len(names) == 0 {
		t.Fatal("no demo jobs", err)
	}
	jobs := map[string]*job.Job{}
	for _, name := range names {
		if strings.Count(filepath.Base(name), ".") > 1 {
			continue // policies and as-found files
		}
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		j, err := job.Read(filepath.Base(name), data)
		if err != nil {
			t.Fatal(err)
		}
		jobs[filepath.Base(name)] = j
	}
	return jobs
}

// Every fact of the catalogue can be read from every demo job, and those that promise to be known are.
func TestFactsOfDemoJobs(t *testing.T) {
	b := Shipped()
	for name, j := range demoJobs(t) {
		facts, problems := Gather(b, j, profile.Demo().All(), nil, nil)
		if problems != nil {
			t.Fatal(problems)
		}
		for _, fact := range facts.Names() {
			r := facts.Read(fact)
			if r.Type.Always && r.State == NotKnown {
				t.Errorf("%s: %s promises to be known and is not", name, fact)
			}
			if r.State == Known && r.Pos.File == "" {
				t.Errorf("%s: %s = %s has no place", name, fact, r.Value)
			}
		}
	}
}

func TestFactsSayWhereTheyStand(t *testing.T) {
	j := demoJobs(t)["minibus.toml"]
	facts, problems := Gather(Shipped(), j, profile.Demo().All(), nil, nil)
	if problems != nil {
		t.Fatal(problems)
	}
	for _, fact := range []string{"vehicle.gearbox", "vehicle.parked", "signal.brake.source", "wish.unlock.steps", "place.silent"} {
		r := facts.Read(fact)
		if r.State == Known && fact != "place.silent" && r.Pos.Line == 0 {
			t.Errorf("%s = %s has no line", fact, r.Value)
		}
	}
}

// What job and profiles say about each other is checked, with the nearest right name.
func TestJobAndProfilesThatDoNotFit(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "jobs", "minibus.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ from, to, want string }{
		{`profile = "demo-`, `profile = "demmo-`, "no profile"},
		{"[feed.second]", "[feed.secnod]", "second"},
	} {
		text := strings.Replace(string(data), c.from, c.to, 1)
		j, err := job.Read("minibus.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		_, problems := Gather(Shipped(), j, profile.Demo().All(), nil, nil)
		if problems == nil || !strings.Contains(problems.Error(), c.want) || problems[0].Pos.Line == 0 {
			t.Errorf("%s: got %v", c.to, problems)
		}
	}
}

// The voltage of a battery shows a running engine from 0.8 V on (common practice, no source).
func TestVoltageShows(t *testing.T) {
	for _, c := range []struct {
		rest, soon, late float64
		want             string
	}{{12.5, 13.3, 13.4, "yes"}, {12.5, 13.2, 13.9, "no"}, {12.5, 13.9, 12.6, "no"}} {
		got := voltageShows(map[string]float64{"cold-start-rest-volts": c.rest, "cold-start-3s-volts": c.soon, "cold-start-60s-volts": c.late})
		if got != c.want {
			t.Errorf("%v: %s", c, got)
		}
	}
	if voltageShows(map[string]float64{"cold-start-rest-volts": 12.5}) != "" {
		t.Error("a reading is missing, and still it shows")
	}
}

func TestStrongEnough(t *testing.T) {
	for _, c := range []struct {
		feed  float64
		needs []float64
		want  string
	}{{30, []float64{30}, "yes"}, {25, []float64{30}, "no"}, {30, []float64{20, 15}, "no"}, {30, []float64{0}, ""}, {30, nil, "yes"}} {
		if got := strongEnough(c.feed, c.needs); got != c.want {
			t.Errorf("%v: %q", c, got)
		}
	}
}

// What hangs together on a feed or in the starter conductor follows from the joins and the readings (common practice, no
// source): conductors of one role differ in ACC alone; an alarm cuts the starter conductor without cranking by it.
func TestFactsOfJoins(t *testing.T) {
	minibus, err := os.ReadFile(filepath.Join("..", "..", "testdata", "jobs", "minibus.toml"))
	if err != nil {
		t.Fatal(err)
	}
	starter := "[feed.starter]\nconductor = \"c1-06\"\nside = \"starter-side\"\nmethod = \"solder-and-sleeve\"\nfuse-amperes = 30\n"
	further := func(acc, through string) string {
		return "[circuit.c1-08]\nread-with = \"min-max\"\nfuse-amperes = 10\nwith = [\"selector-p\"]\nvolts = { out = 0.0, off = 0.0, acc = " + acc + ", run = 12.2, crank = 9.8 }\n" +
			"battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.4, crank = 10.2 }\n[feed.third]\nfeed = \"second\"\nconductor = \"c1-08\"\n" + through
	}
	for _, c := range []struct{ name, old, new, fact, want string }{
		{"cranks by wire", starter, starter, "starter.cut", "yes"},
		{"an alarm alone", starter, "", "starter.cut", "yes"},
		{"an alarm alone, uncut", "cut = true\n", "", "starter.cut", "no"},
		{"one conductor", starter, starter, "feed.second.alike", "yes"},
		{"both live in ACC", starter, starter + further("12.3", ""), "feed.second.alike", "yes"},
		{"one live in ACC", starter, starter + further("0.0", ""), "feed.second.alike", "no"},
		{"one live in ACC, on a relay", starter, starter + further("0.0", "through = \"relay\"\n"), "feed.second.alike", "yes"},
	} {
		text := strings.Replace(string(minibus), c.old, c.new, 1)
		j, err := job.Read("minibus.toml", []byte(text))
		if err != nil {
			t.Fatal(c.name, err)
		}
		facts, problems := Gather(Shipped(), j, profile.Demo().All(), nil, nil)
		if problems != nil {
			t.Fatal(c.name, problems)
		}
		if got := facts.Read(c.fact).Value; got != c.want {
			t.Errorf("%s: %s is %q, not %q", c.name, c.fact, got, c.want)
		}
	}
}
