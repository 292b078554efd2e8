package assign_test

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/assign"
)

var update = flag.Bool("update", false, "write the plans of the demo jobs anew")

func demo(t testing.TB, name string) assign.Problem {
	t.Helper()
	path := "../../testdata/jobs/" + name + ".toml"
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Read(path, data)
	if err != nil {
		t.Fatal(err)
	}
	p, err := assign.FromJob(j, profile.Find)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The plans of the demo jobs, read through by eye when they were written; go test -update writes
// them anew after a change of job, profile or rule.
func TestPlansOfTheDemoJobs(t *testing.T) {
	for _, name := range []string{"minibus", "pickup", "hatchback", "estate"} {
		t.Run(name, func(t *testing.T) {
			plan, err := assign.Solve(demo(t, name))
			if err != nil {
				t.Fatal(err)
			}
			path := "testdata/" + name + ".plan"
			got := text(t, &plan)
			if *update {
				if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Errorf("plan differs (-want +got):\n%s", diff)
			}
		})
	}
}

// text writes a whole plan in lines.
func text(t *testing.T, plan *assign.Plan) string {
	var b strings.Builder
	fmt.Fprintf(&b, "cost %+v\n", plan.Cost)
	for _, r := range plan.Rows {
		fmt.Fprintf(&b, "\n%s, remote %s (%s)\n  %s [%s]\n", r.Words, r.Remote, r.For, r.Press, r.Gesture)
		fmt.Fprintf(&b, "  channel %d, output %s, line %s\n", r.Channel, strings.Join(r.Outputs, " and "), strings.Join(r.Lines, " and "))
		fmt.Fprintf(&b, "  conditions: %s\n  guard: %s\n  because: %s\n", strings.Join(r.Conditions, "; "), r.Guard, r.Because)
	}
	for _, m := range plan.NotReached {
		fmt.Fprintf(&b, "\nnot reached: %s on %s\n  %s\n  change: %s\n", m.Words, m.Remote, m.Reason, m.Change)
	}
	for _, r := range plan.Refused {
		fmt.Fprintf(&b, "\nrefused (%s): %s\n  %s\n  cure: %s\n  source: %s\n", r.Rule, r.Words, r.Reason, r.Cure, r.Source)
	}
	for i := range plan.Parts {
		fmt.Fprintf(&b, "\n%s\n", strings.Join(plan.Parts[i].Text(), "\n"))
	}
	b.WriteString("\n")
	for _, d := range plan.Demands {
		fmt.Fprintf(&b, "%s = %s: %s\n", d.Setting, d.Value, d.Why)
	}
	seen := map[string]bool{}
	for _, r := range plan.Rows {
		if seen[r.Function] {
			continue
		}
		seen[r.Function] = true
		why, err := assign.Why(*plan, r.Function)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "\nwhy %s\n", r.Function)
		for _, v := range why.Outputs {
			fmt.Fprintf(&b, "  output %s, taken %t: %s\n", v.Name, v.Taken, v.Text)
		}
		for _, v := range why.Gestures {
			fmt.Fprintf(&b, "  %s %s, taken %t: %s\n", v.Remote, v.Name, v.Taken, v.Text)
		}
		fmt.Fprintf(&b, "  next best: none %t, %s, %+v\n", why.Next.None, why.Next.Worse, why.Next.Cost)
		for _, n := range why.Next.Rows {
			fmt.Fprintf(&b, "    %s: %s\n", n.Remote, n.Press)
		}
	}
	return b.String()
}

// Solving twice gives the same bytes.
func TestSameInputSamePlan(t *testing.T) {
	for _, name := range []string{"minibus", "pickup"} {
		a, err := assign.Solve(demo(t, name))
		if err != nil {
			t.Fatal(err)
		}
		b, err := assign.Solve(demo(t, name))
		if err != nil {
			t.Fatal(err)
		}
		if text(t, &a) != text(t, &b) {
			t.Errorf("%s: two plans of one problem differ", name)
		}
	}
}

// A question about a function whose place was wished for tells what each wish comes to: what forbids it, or what it
// costs and what it keeps from others.
func TestWhatAWishForbids(t *testing.T) {
	plan, err := assign.Solve(demo(t, "minibus"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ remote, function, gesture, says string }{
		{"big", "ramp", "star-tap", "the wish for star-tap on big cannot be met: the safety guard wants a hold of two seconds or a held chord"},
		{"big", "rear-doors", "lock-tap", "the wish for lock-tap on big cannot be met: it is taken for lock"},
		{"big", "rear-doors", "star-hold", "the wish for star-hold on big costs 2 things the outputs cannot do by themselves more than the best plan without it; without it side door would be: hold * for 2.5 s on big"},
		{"small", "ramp", "both-hold", "the wish for both-hold on small costs nothing"},
	} {
		tried, err := assign.Prefer(plan, assign.Preference{Remote: c.remote, Function: c.function, Gesture: c.gesture})
		if err != nil {
			t.Fatal(err)
		}
		why, err := assign.Why(tried, c.function)
		if err != nil || len(why.Wishes) != 1 || why.Wishes[0] != c.says {
			t.Errorf("%s on %s: %v %q", c.function, c.remote, err, why.Wishes)
		}
	}
}

// Every setting of a free output that the vocabulary has is one that a plan decides.
func TestEverySettingOfAnOutputIsDecided(t *testing.T) {
	var demands []string
	for _, name := range []string{"minibus", "pickup", "hatchback", "estate"} {
		p := demo(t, name)
		plan, err := assign.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range plan.Demands {
			if parts := strings.SplitN(d.Setting, ".", 3); parts[0] == "aux" {
				demands = append(demands, "aux.N."+parts[2])
			}
		}
	}
	for _, f := range setting.Families() {
		zones := f.Pattern == "aux.N.bypass-zones" // where nothing disarms: TestZonesSleepWhereNothingDisarms
		if strings.HasPrefix(f.Pattern, "aux.N.") && !zones && !slices.Contains(demands, f.Pattern) {
			t.Errorf("no demo job comes to %s", f.Pattern)
		}
	}
}

// A wish that cannot be met is a result with its reason, and the change that helps.
func TestImpossibleWish(t *testing.T) {
	plan, err := assign.Solve(demo(t, "minibus"))
	if err != nil {
		t.Fatal(err)
	}
	other, err := assign.Prefer(plan, assign.Preference{Remote: "big", Function: "ramp", Gesture: "star-tap"})
	if err != nil {
		t.Fatal(err)
	}
	if len(other.NotReached) != 1 {
		t.Fatalf("not reached: %+v", other.NotReached)
	}
	miss := other.NotReached[0]
	if miss.Function != "ramp" || !strings.Contains(miss.Reason, "safety guard") || !strings.Contains(miss.Change, "drop the wish") {
		t.Errorf("%+v", miss)
	}
	if _, err := assign.Prefer(plan, assign.Preference{Remote: "big", Function: "ramp", Gesture: "star-tab"}); err == nil || !strings.Contains(err.Error(), `"star-tap"`) {
		t.Errorf("a mistyped gesture: %v", err)
	}
	if _, err := assign.Why(plan, "rampe"); err == nil || !strings.Contains(err.Error(), `"ramp"`) {
		t.Errorf("a mistyped function: %v", err)
	}
}
