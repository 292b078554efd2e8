package derive

import (
	"slices"
	"strings"
	"testing"

	"asleft/config/source"
	"asleft/rules/base"
)

func TestShippedRulesHaveNoFlaws(t *testing.T) {
	controllers, _ := demoDevices()
	flaws, err := Inspect(base.Shipped(), controllers, 2000)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range flaws {
		t.Errorf("%s %v %s: %s %v", f.Kind, f.Rules, f.Subject, f.Says, f.Witness)
	}
}

// rule writes a rule with examples that load; what they say is checked elsewhere.
func rule(id, body string) string {
	return "\n[rule." + id + "]\n" + body + "\nwhy = \"Seeded.\"\nsource = \"a seeded fault\"\n" +
		"[rule." + id + ".example.a]\nfires = true\n[rule." + id + ".example.b]\nfires = false\n"
}

// changed is the shipped rule base with more rules, and with one text in the place of another.
func changed(t *testing.T, more, from, to string) *base.Base {
	t.Helper()
	files := base.ShippedFiles()
	found := from == ""
	for i := range files {
		text := string(files[i].Data)
		if !found && strings.Contains(text, from) {
			found = true
			files[i].Data = []byte(strings.Replace(text, from, to, 1))
		}
	}
	if !found {
		t.Fatalf("no file says %q", from)
	}
	files = append(files, base.File{Name: "seeded.toml", Data: []byte("schema = \"asleft/rules/1\"\n" + more)})
	b, problems := base.Load(files)
	if problems != nil {
		t.Fatal(source.Problems(problems))
	}
	return b
}

// One fault of each kind, put into a copy of the rule base, is found.
func TestSeededFlawsAreFound(t *testing.T) {
	controllers, _ := demoDevices()
	for _, c := range []struct {
		kind  FlawKind
		rules string
		names string // the rule or setting that the flaw names
	}{
		{NeverFires, rule("seeded", `level = "wish"
when.all = ["vehicle.fuel is electric", "vehicle.idle-stop is yes"]
require = { "confirm.lamps" = "on" }`), "seeded"},
		{Disagree, rule("seeded", `level = "trade-default"
when.all = ["vehicle.trailer is yes"]
require = { "sensor.warn" = "off" }`) + rule("seeded-too", `level = "trade-default"
when.all = ["vehicle.steep-parking is yes"]
require = { "sensor.warn" = "on" }`), "seeded"},
		{Shadowed, rule("seeded", `level = "place"
when.all = ["start.wanted is yes", "vehicle.gearbox is manual"]
never = { "takeover.order" = ["key-then-brake"] }`), "seeded"},
		{Undecided, rule("seeded", `level = "wiring"
when.all = ["vehicle.trailer is yes"]
never = { "horn.seconds" = ["0.01", "0.02"] }`), "horn.seconds"},
		{Unreachable, rule("seeded", `level = "safety"
never = { "sensor.warn" = ["off"] }`), "sensor.warn = off"},
	} {
		flaws, err := Inspect(changed(t, c.rules, "", ""), controllers[:3], 300)
		if err != nil {
			t.Fatal(err)
		}
		found := slices.ContainsFunc(flaws, func(f Flaw) bool {
			named := slices.Contains(f.Rules, c.names) || strings.Contains(f.Subject, c.names)
			witnessed := f.Witness != nil || f.Kind == NeverFires || f.Kind == Shadowed || f.Kind == Unreachable
			return f.Kind == c.kind && named && witnessed
		})
		if !found {
			t.Errorf("%s: not among %d flaws: %v", c.kind, len(flaws), flaws)
		}
	}
}

// A refusal that is taken out, or a worst value that is not the worst, leaves a gap in the proof.
func TestSeededGapsAreFound(t *testing.T) {
	controllers, _ := demoDevices()
	for _, c := range []struct{ unsafe, from, to string }{
		{"closed-space", `when.all = ["start.wanted is yes", "vehicle.fuel is not electric", "vehicle.parked is closed-space"]
refuse`, `when.all = ["start.wanted is yes", "vehicle.fuel is diesel", "vehicle.parked is closed-space"]
refuse`},
		{"closed-space", `worst = "closed-space"`, `worst = "open-air"`},
		{"manual-open-top", `[fact."vehicle.open-top"]`, `[constraint.seeded]
never = ["vehicle.open-top is no", "vehicle.gearbox is manual"]
why = "Seeded: this one hides nothing."
[fact."vehicle.open-top"]`},
	} {
		b := changed(t, "", c.from, c.to)
		proof, err := Prove(b, controllers[:1], nil)
		if err != nil {
			t.Fatal(err)
		}
		gap := slices.IndexFunc(proof.Gaps, func(g Gap) bool { return g.Unsafe.ID == c.unsafe })
		hides := strings.Contains(c.to, "hides nothing")
		if (gap < 0) != hides {
			t.Errorf("%s with %q: gap %v", c.unsafe, c.to, gap >= 0)
			continue
		}
		// The counterexample is a job that can be run, and running it shows the gap.
		if !hides && (!proof.Gaps[gap].Ran || !strings.Contains(proof.Gaps[gap].Job, "[vehicle]")) {
			t.Errorf("%s with %q: the counterexample does not run:\n%s\n%v", c.unsafe, c.to, proof.Gaps[gap].Job, proof.Gaps[gap].Facts)
		}
	}
}
