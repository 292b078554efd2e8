package derive

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"asleft/config/job"
	"asleft/config/profile"
)

// readJob reads a demo job with the workshop's policy and the demo devices.
func readJob(tb testing.TB, name string) Input {
	tb.Helper()
	folder := filepath.Join("..", "..", "testdata", "jobs")
	data, err := os.ReadFile(filepath.Join(folder, name+".toml"))
	if err != nil {
		tb.Fatal(err)
	}
	j, err := job.Read(name+".toml", data)
	if err != nil {
		tb.Fatal(err)
	}
	in := Input{Job: j, Profiles: profile.Demo().All()}
	if j.Policy != "" {
		data, err := os.ReadFile(filepath.Join(folder, j.Policy))
		if err != nil {
			tb.Fatal(err)
		}
		if in.Policy, err = job.ReadPolicy(j.Policy, data); err != nil {
			tb.Fatal(err)
		}
	}
	return in
}

func TestRepairDump(t *testing.T) {
	name := os.Getenv("REPAIR")
	if name == "" {
		return
	}
	in := readJob(t, name)
	r, err := Derive(in)
	if err != nil {
		t.Fatal(err)
	}
	scopes := map[Scope]bool{}
	for _, f := range append(r.Refusals, r.Contradictions...) {
		if f.Scope.What == "job" {
			f.Scope.What = "remote-start"
		}
		if scopes[f.Scope] {
			continue
		}
		scopes[f.Scope] = true
		start := time.Now()
		list, whole, err := Repairs(in, f.Scope, 0)
		fmt.Println("SCOPE", f.Scope, whole, err, time.Since(start))
		for _, x := range list {
			fmt.Println("   repair, then", x.Start, x.Measure)
			for _, c := range x.Changes {
				fmt.Println("      ", c.Kind, c.Says)
			}
		}
	}
}

func TestDump(t *testing.T) {
	name := os.Getenv("DUMP")
	if name == "" {
		return
	}
	r, err := Derive(readJob(t, name))
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println("START", r.Start, "JOB REFUSED", r.JobRefused)
	for _, f := range r.Refusals {
		fmt.Println("REFUSE", f.Scope, f.Rule, "open", f.Open, f.Why, f.Facts)
	}
	for _, f := range r.Contradictions {
		fmt.Println("CONTRA", f.Why, f.Rules)
	}
	for _, f := range r.Cautions {
		fmt.Println("CAUTION", f.Where, f.Rule)
	}
	for _, s := range r.Settings {
		if !s.InUse {
			continue
		}
		var rules []string
		for _, x := range s.Rules {
			rules = append(rules, x.Rule)
		}
		fmt.Printf("%-12s %-28s %-14s %-14s %-8s %-13s f=%-10s %v\n", s.Key.Device, s.Key.Setting, s.Value, s.Kind, s.Action, s.Level, s.Factory, strings.Join(rules, ","))
		for _, n := range s.NotMet {
			fmt.Println("      not met:", n.Rule, n.Says, "|", n.Because)
		}
	}
	for _, n := range r.NotMet {
		fmt.Println("NOT MET", n.Rule, n.Says, n.Because)
	}
	for _, m := range r.Missing {
		fmt.Println("MISSING", m.Fact, m.Safety, m.Assumed, m.Settles)
	}
	for _, n := range r.Tests {
		fmt.Println("TEST", n.ID(), n.Required, n.Done, n.Because)
	}
}
