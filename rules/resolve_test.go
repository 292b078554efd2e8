package rules

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/assign"
	"asleft/rules/base"
	"asleft/rules/derive"
	"asleft/rules/keying"
)

const jobs = "../testdata/jobs/"

func resolve(t testing.TB, name string, o Options) *Outcome {
	t.Helper()
	return resolveText(t, name, o, func(text string) string { return text })
}

// resolveText resolves a job with its text changed.
func resolveText(t testing.TB, name string, o Options, change func(string) string) *Outcome {
	t.Helper()
	text, err := os.ReadFile(jobs + name)
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Read(name, []byte(change(string(text))))
	if err != nil {
		t.Fatal(err)
	}
	var policy *job.Policy
	if j.Policy != "" {
		text, err := os.ReadFile(jobs + j.Policy)
		if err != nil {
			t.Fatal(err)
		}
		if policy, err = job.ReadPolicy(j.Policy, text); err != nil {
			t.Fatal(err)
		}
	}
	b, problems := base.Load(base.ShippedFiles())
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	out, err := Resolve(b, j, profile.Demo(), policy, o)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func found(t testing.TB, name string) *job.Found {
	t.Helper()
	text, err := os.ReadFile(jobs + name)
	if err != nil {
		t.Fatal(err)
	}
	f, err := job.ReadFound(name, text)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

var goodJobs = []string{"minibus", "pickup", "hatchback", "estate"}

// TestCardsLandOnExactlyWhatIsRequired lets the simulator of each device execute the printed cards,
// one after the other, from the printed start, and compares every option's settings with what was
// derived, from the factory settings and from every as-found file.
func TestCardsLandOnExactlyWhatIsRequired(t *testing.T) {
	type run struct{ job, found string }
	var runs []run
	for _, name := range goodJobs {
		runs = append(runs, run{name, ""})
		if _, err := os.Stat(jobs + name + ".found.toml"); err == nil {
			runs = append(runs, run{name, name + ".found.toml"})
		} else if !errors.Is(err, os.ErrNotExist) {
			t.Fatal(err)
		}
	}
	if len(runs) <= len(goodJobs) {
		t.Fatal("no as-found file was run")
	}
	for _, r := range runs {
		t.Run(r.job+" "+r.found, func(t *testing.T) {
			o := Options{}
			if r.found != "" {
				o.Found = found(t, r.found)
			}
			executeCards(t, resolve(t, r.job+".toml", o))
		})
	}
}

func executeCards(t *testing.T, out *Outcome) {
	if len(out.Cards) == 0 {
		t.Fatal("no card: the job is good")
	}
	for _, d := range out.Devices {
		if d.Profile.Kind == profile.Remote || d.Profile.Keying == nil {
			continue
		}
		machine, err := keying.Compile(d.Name, d.Profile)
		if err != nil {
			t.Fatal(err)
		}
		known, err := machine.Values(out.start(d))
		if err != nil {
			t.Fatal(err)
		}
		for _, values := range completions(machine, known) {
			executeOn(t, out, d, machine, values)
		}
	}
}

// completions gives the values that are not known two ways to be: the first and the last of each option.
func completions(machine *keying.Device, known []int8) [][]int8 {
	first, last := slices.Clone(known), slices.Clone(known)
	for i, v := range known {
		if v < 0 {
			first[i], last[i] = 0, int8(len(machine.Machine.Options[i].Values)-1)
		}
	}
	return [][]int8{first, last}
}

func executeOn(t *testing.T, out *Outcome, d Device, machine *keying.Device, values []int8) {
	for _, c := range out.Cards {
		if c.Device != d.Name {
			continue
		}
		if len(c.Remaining) > 0 {
			t.Errorf("%s: settings that cannot be keyed: %+v", d.Name, c.Remaining)
		}
		end, err := keying.Execute(machine.Machine, values, c.Card)
		if err != nil {
			t.Fatalf("%s: %v", d.Name, err)
		}
		values = end.Stored
	}
	left, err := machine.Snapshot(values, setting.OriginKeyed)
	if err != nil {
		t.Fatal(err)
	}
	compareKeyed(t, d, left, out.target(d.Name))
}

// compareKeyed compares what the simulator holds with what is required, for every keyed option.
func compareKeyed(t *testing.T, d Device, left, target setting.Snapshot) {
	compared := 0
	for _, want := range target.Readings {
		option, ok := d.Profile.OptionFor(want.Setting)
		if !ok || option.How != "keyed" {
			continue
		}
		compared++
		if got, ok := left.Get(want.Key); !ok || got.Value != want.Value {
			t.Errorf("%s: the card leaves %q, required %q", want.Key, got.Value, want.Value)
		}
	}
	if compared == 0 && slices.ContainsFunc(d.Profile.Options, func(o profile.Option) bool { return o.How == "keyed" }) {
		t.Errorf("%s: nothing was compared", d.Name)
	}
}

// TestSecondPassChangesNothingOfTheFirst: the button plan decides outputs, gestures and what hangs
// on them, and nothing that was decided before.
func TestSecondPassChangesNothingOfTheFirst(t *testing.T) {
	for _, name := range goodJobs {
		out := resolve(t, name+".toml", Options{})
		in := out.input
		in.Demands = nil
		first, err := derive.Derive(in)
		if err != nil {
			t.Fatal(err)
		}
		for _, was := range first.Settings {
			is, ok := out.Derived.Get(was.Key)
			if !ok || is.Value != was.Value || is.Kind != was.Kind {
				t.Errorf("%s: %s was %s (%s) before the button plan, is %s (%s) after it", name, was.Key, was.Value, was.Kind, is.Value, is.Kind)
			}
		}
	}
}

// TestPassesShareTheirRules: what is derived of rules that were brought down once for both passes is what each pass
// derives by itself, on every demo job, good or refused, and on what-ifs of it.
func TestPassesShareTheirRules(t *testing.T) {
	names, err := filepath.Glob(jobs + "*.toml")
	if err != nil || len(names) < 8 {
		t.Fatal("jobs are missing", err)
	}
	functions := 0
	for _, path := range names {
		if strings.HasSuffix(path, ".found.toml") || strings.HasSuffix(path, ".policy.toml") {
			continue
		}
		for _, o := range []Options{{}, {WithoutStart: true}, {With: map[string]string{"vehicle.parked": "closed-space", "vehicle.gearbox": "manual"}}} {
			out := resolve(t, filepath.Base(path), o)
			second, err := derive.Derive(out.input)
			if err != nil {
				t.Fatal(path, err)
			}
			if d := cmp.Diff(second, &out.Derived); d != "" {
				t.Errorf("%s, pass 2: %s", path, d)
			}
			in := out.input
			in.Demands = nil
			first, err := derive.Derive(in)
			if err != nil {
				t.Fatal(path, err)
			}
			want := slices.DeleteFunc(first.Refusals, func(f derive.Finding) bool { return f.Scope.What != "function" })
			install, err := derive.Prepare(in)
			if err != nil {
				t.Fatal(path, err)
			}
			got, err := install.Refused()
			if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" || err != nil {
				t.Errorf("%s, pass 1: %v %s", path, err, d)
			}
			functions += len(got)
		}
	}
	if functions == 0 {
		t.Error("no function was refused: nothing was compared")
	}
}

// TestNoCardWhenRefused: the gate is shut on every refused job, whatever it is refused for.
func TestNoCardWhenRefused(t *testing.T) {
	names, err := filepath.Glob(jobs + "refused-*.toml")
	if err != nil || len(names) < 4 {
		t.Fatal("refused jobs are missing", err)
	}
	for _, path := range names {
		name := filepath.Base(path)
		if name == "refused-functions.toml" { // functions alone are refused: the rest goes on
			continue
		}
		out := resolve(t, name, Options{})
		if out.Gate.Open || len(out.Cards) > 0 || !out.Refused() {
			t.Errorf("%s: gate %+v, %d cards", name, out.Gate, len(out.Cards))
		}
	}
}

// TestRefusedFunctionInTheOwnersWords: a function that the job has no words for reads the same in its refusal as in the plan.
func TestRefusedFunctionInTheOwnersWords(t *testing.T) {
	out := resolveText(t, "refused-functions.toml", Options{}, func(text string) string {
		return strings.Replace(text, "words = [\"roof vent\"]\n", "", 1)
	})
	for _, r := range out.Plan.Refused {
		if want := strings.ReplaceAll(r.Function, "-", " "); r.Function == "roof-vent" && r.Words != want {
			t.Errorf("the refusal of %s calls it %q, the plan %q", r.Function, r.Words, want)
		}
	}
	if !slices.ContainsFunc(out.Plan.Refused, func(r assign.Refusal) bool { return r.Function == "roof-vent" }) {
		t.Error("the roof vent was not refused: nothing was compared")
	}
}

// TestTriedFactsGiveNoCard: what-if shows, it never keys.
func TestTriedFactsGiveNoCard(t *testing.T) {
	out := resolve(t, "minibus.toml", Options{With: map[string]string{"vehicle.fuel": "diesel"}})
	if out.Gate.Open || len(out.Cards) > 0 {
		t.Error("a card was made from a fact that was only tried")
	}
}

// TestUnknownFactIsOpen: a fact that safety needs is missing, and one of its values would do.
func TestUnknownFactIsOpen(t *testing.T) {
	out := resolveText(t, "minibus.toml", Options{}, func(text string) string {
		return strings.Replace(text, `gearbox = "automatic"`, `gearbox = "unknown"`, 1)
	})
	if !out.Open() {
		t.Errorf("remote start is %s, expected open: an automatic would pass", out.Derived.Start)
	}
	if !slices.ContainsFunc(out.Derived.Missing, func(m derive.Missing) bool { return m.Fact == "vehicle.gearbox" }) {
		t.Error("the missing fact is not named")
	}
}

// TestOrderOfWork: engine speed is learned before the first remote start, the sensor is set last
// (common practice, no source), and a car with a start button is never started by the key.
func TestOrderOfWork(t *testing.T) {
	for _, name := range goodJobs {
		work := resolve(t, name+".toml", Options{}).Work
		at := func(text string) int {
			return slices.IndexFunc(work, func(s string) bool { return strings.Contains(s, text) })
		}
		if learn, first := at("Learn engine speed"), at("first remote start with a foot"); learn >= first && learn >= 0 {
			t.Errorf("%s: engine speed is learned at %d, first remote start at %d", name, learn, first)
		}
		if sensor, functions := at("Impact sensor"), at("Locks and functions"); sensor < functions {
			t.Errorf("%s: the sensor is set before the functions", name)
		}
		if name == "estate" && at("by the key") >= 0 {
			t.Errorf("estate: %q", work)
		}
	}
}

// TestLimitDoesNotHideAnUnknownGearbox: the shop's limits leave one guard, but nobody looked at the lever,
// and on a manual gearbox that guard proves nothing.
func TestLimitDoesNotHideAnUnknownGearbox(t *testing.T) {
	text, err := os.ReadFile(jobs + "ostlin.policy.toml")
	if err != nil {
		t.Fatal(err)
	}
	limited := string(text) + "\n[limit.guard]\nsetting = \"gearbox.guard\"\nallowed = [\"park\"]\nreason = \"only park\"\n"
	policy, err := job.ReadPolicy("limited.policy.toml", []byte(limited))
	if err != nil {
		t.Fatal(err)
	}
	jobText, err := os.ReadFile(jobs + "minibus.toml")
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Read("minibus.toml", []byte(strings.Replace(string(jobText), `gearbox = "automatic"`, `gearbox = "unknown"`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	out, err := Resolve(base.Shipped(), j, profile.Demo(), policy, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if out.Gate.Open {
		t.Errorf("a card was made, remote start is %s", out.Derived.Start)
	}
}

// TestNobodyIsDeadlockedByAHalfRefusal: a vehicle that locks at the second pulse only, and deadlocks at it. The lock
// feature is refused and the job goes on; then the one pulse that safety leaves is what the card must leave.
func TestNobodyIsDeadlockedByAHalfRefusal(t *testing.T) {
	out := resolveText(t, "minibus.toml", Options{}, func(text string) string {
		text = strings.Replace(text, `second-pulse-deadlocks = "no"`, `second-pulse-deadlocks = "yes"`, 1)
		return strings.Replace(text, "counts = [1]", "counts = [2]", 1)
	})
	s, ok := out.Derived.Get(setting.Key{Device: "controller", Setting: "lock.count"})
	if !ok || s.Value != "1" {
		t.Errorf("lock.count is %q, safety leaves 1", s.Value)
	}
	if !slices.ContainsFunc(out.Derived.Refusals, func(f derive.Finding) bool { return f.Scope.What == "lock-feature" }) {
		t.Error("the lock feature is not refused")
	}
}
