package rules

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
	"asleft/rules/derive"
)

// TestBoundsByNumbersHold: what rules bound by a number of the install is no part of the proof, so random numbers are tried on the demo
// jobs: whatever gets a card keeps within the limits of the place and within the pulse that the lock circuit takes. An outside check of the
// numbers: Denver City Code 4-48 (10 min in any hour), New York City Admin Code 24-163 (3 min), Swiss VTS art. 86(3) (25 to 30 s).
func TestBoundsByNumbersHold(t *testing.T) {
	const seed = 5
	r := rand.New(rand.NewPCG(seed, 0))
	carded := 0
	for n := range 200 {
		minutes, starts, from := 3+r.IntN(18), 1+r.IntN(6), 10+r.IntN(40)
		if n == 0 {
			minutes, starts, from = 3, 1, 25
		}
		to := from + 5 + r.IntN(30)
		least, most := 0.2+0.1*float64(r.IntN(8)), 1.0+0.5*float64(r.IntN(4))
		out := derived(t, goodJobs[n%len(goodJobs)]+".toml", func(text string) string {
			text = regexp.MustCompile(`(?ms)^\[place\]\n.*?(\n\n|\z)`).ReplaceAllString(text, "")
			text = regexp.MustCompile(`(?m)^seconds = \[[0-9., ]+\]\ncounts = `).ReplaceAllString(text, fmt.Sprintf("seconds = [%.1f, %.1f]\ncounts = ", least, most))
			return text + fmt.Sprintf("\n[place]\nname = \"a town\"\nordinance = \"a test\"\nidle-minutes = %d\nstarts-per-hour = %d\nalarm-seconds = [%d, %d]\n", minutes, starts, from, to)
		})
		if !out.Gate.Open {
			continue // the device has no run time within the limit
		}
		carded++
		for _, b := range []bound{{"run.minutes", 0, float64(minutes)}, {"start.max-per-hour", 0, float64(starts)}, {"alarm.seconds", float64(from), float64(to)}} {
			b.check(t, out, n)
		}
		if out.Job.Lock.SecondsMax > 0 {
			bound{"lock.seconds", out.Job.Lock.SecondsMin, out.Job.Lock.SecondsMax}.check(t, out, n)
		}
	}
	t.Logf("seed %d: %d of 200 jobs with a card and every bound met", seed, carded)
	if carded < 50 {
		t.Error("too few jobs get a card to say anything")
	}
}

// TestDoorsOutlastTheDome: a door line taken from the dome stays active while the lamp burns on; a controller that waits less reads an opened
// door and sounds the alarm 20 to 60 s after locking (common practice, no source). The pickup's controller can wait 0, 5 or 60 s.
func TestDoorsOutlastTheDome(t *testing.T) {
	const latch = "[signal.door]\nsource = \"wire\"\nactive = \"ground\"\ntaken-at = \"latch\"\n"
	for _, w := range []struct {
		timed, settle string
		refused, told bool
	}{
		{"settle-seconds = 40\n", "60", false, false},
		{"settle-seconds = 4\n", "5", false, false},
		{"settle-seconds = 90\n", "", true, false}, // beyond the list
		{"", "0", false, true},
	} {
		out := derived(t, "pickup.toml", func(text string) string {
			if !strings.Contains(text, latch) {
				t.Fatal("the pickup's doors are no longer taken at the latch")
			}
			return strings.Replace(text, latch, strings.Replace(latch, "latch", "dome", 1)+w.timed, 1)
		})
		if s, _ := out.Derived.Get(setting.Key{Device: "controller", Setting: "door.settle"}); !w.refused && string(s.Value) != w.settle {
			t.Errorf("%q: door.settle is %s, expected %s", w.timed, s.Value, w.settle)
		}
		refused := slices.ContainsFunc(out.Derived.Refusals, func(f derive.Finding) bool { return f.Scope.What == "lock-feature" })
		told := slices.ContainsFunc(out.Derived.Cautions, func(f derive.Finding) bool { return f.Rule == "dome-light-not-timed" })
		if refused != w.refused || told != w.told {
			t.Errorf("%q: locks and alarm refused %v, told to time the lamp %v; expected %v, %v", w.timed, refused, told, w.refused, w.told)
		}
	}
}

// derived is a job with its text changed, derived and judged by the gate; no button plan is made and no card.
func derived(t *testing.T, name string, change func(string) string) *Outcome {
	t.Helper()
	text, err := os.ReadFile(jobs + name)
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Read(name, []byte(change(string(text))))
	if err != nil {
		t.Fatal(err)
	}
	policy, err := os.ReadFile(jobs + j.Policy)
	if err != nil {
		t.Fatal(err)
	}
	shop, err := job.ReadPolicy(j.Policy, policy)
	if err != nil {
		t.Fatal(err)
	}
	r, err := derive.Derive(derive.Input{Job: j, Profiles: profile.Demo().All(), Policy: shop})
	if err != nil {
		t.Fatal(err)
	}
	out := &Outcome{Job: j, Derived: *r}
	out.gate()
	return out
}

// bound is what a setting must lie within.
type bound struct {
	setting    string
	least, top float64
}

func (b bound) check(t *testing.T, out *Outcome, n int) {
	t.Helper()
	s, ok := out.Derived.Get(setting.Key{Device: "controller", Setting: b.setting})
	if !ok || s.Value == "" || s.Kind == derive.NotApplicable || s.Kind == derive.Impossible {
		return // without a meaning, or a part that is refused because the device has no value within the bounds
	}
	if v, number := s.Value.Number(); number && (v < b.least-1e-9 || v > b.top+1e-9) {
		t.Errorf("job %d (%s): %s is %s, the bounds are %g to %g", n, out.Job.Title, b.setting, s.Value, b.least, b.top)
	}
}
