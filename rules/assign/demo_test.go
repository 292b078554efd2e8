package assign_test

import (
	"fmt"
	"os"
	"testing"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/rules/assign"
)

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

func TestDemoShow(t *testing.T) {
	for _, name := range []string{"minibus", "pickup", "hatchback", "estate"} {
		plan, err := assign.Solve(demo(t, name))
		if err != nil {
			t.Fatal(err)
		}
		fmt.Println("==", name, plan.Cost, plan.Nodes)
		for _, r := range plan.Rows {
			fmt.Printf("  %-16s %-8s %-22s %-40s ch %d out %v %v %v sign=%v %s\n", r.Words, r.Remote, r.Gesture, r.Press, r.Channel, r.Outputs, r.Lines, r.Conditions, r.ToSign, r.Because)
		}
		for _, m := range plan.NotReached {
			fmt.Println("  MISS", m)
		}
		for _, m := range plan.Refused {
			fmt.Println("  REFUSED", m)
		}
		for _, p := range plan.Parts {
			fmt.Println("  PART", p.ID, p.Recipe, p.Ends(), p.Coil)
		}
		for _, d := range plan.Demands {
			fmt.Println("  ", d.Setting, d.Value, "--", d.Why)
		}
	}
}
