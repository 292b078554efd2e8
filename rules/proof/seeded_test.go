package proof

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"asleft/config/profile"
	"asleft/rules/base"
)

// edited is the shipped rule files with one text in the place of another; it must be there.
func edited(t *testing.T, from, to string) []base.File {
	t.Helper()
	files := base.ShippedFiles()
	for i := range files {
		if text := string(files[i].Data); strings.Contains(text, from) {
			files[i].Data = []byte(strings.Replace(text, from, to, 1))
			return files
		}
	}
	t.Fatalf("no rule file says %q", from)
	return nil
}

// without is the shipped rule files without a rule.
func without(t *testing.T, id string) []base.File {
	t.Helper()
	rule := regexp.MustCompile(`(?ms)^\[rule\.` + id + `(\.[^\]]*)?\]\n.*?(^\[|\z)`)
	files := base.ShippedFiles()
	for i := range files {
		text, n := string(files[i].Data), 0
		for at := rule.FindStringIndex(text); at != nil; at = rule.FindStringIndex(text) {
			end := at[1]
			if text[end-1] == '[' {
				end--
			}
			text, n = text[:at[0]]+text[end:], n+1
		}
		if n > 0 {
			files[i].Data = []byte(text)
			return files
		}
	}
	t.Fatalf("no rule file has the rule %s", id)
	return nil
}

// A refusal that is gone, a condition that says less, and a fact whose worst is not the worst leave an install that gets a card, and it is
// written as a job file that a card is made for.
func TestSeededGapsAreFound(t *testing.T) {
	controllers, _ := fitted(profile.Demo())
	for _, c := range []struct {
		clause string
		files  []base.File
	}{
		{"brake-nowhere", without(t, "brake-not-joined")},
		{"gas-where-it-gathers", edited(t, `"vehicle.fuel is not electric", "vehicle.parked is closed-space"]`, `"vehicle.fuel is diesel", "vehicle.parked is closed-space"]`)},
		{"gas-where-it-gathers", edited(t, `worst = "closed-space"`, `worst = "open-air"`)},
		{"closing-on-a-neck", edited(t, `"function.NAME.does is window or roof",`, `"function.NAME.does is window",`)},
		{"manual-door-asleep", without(t, "opening-asleep")},
	} {
		b, err := withSafety(c.files)
		if err != nil {
			t.Fatal(err)
		}
		p := Prove(b, controllers[:1], nil)
		at := slices.IndexFunc(p.Gaps, func(g Gap) bool { return g.Clause.ID == c.clause })
		if at < 0 {
			t.Errorf("%s: not found among %d gaps", c.clause, len(p.Gaps))
			continue
		}
		if len(p.Gaps[at].Telling) == 0 {
			t.Errorf("%s: no install is told", c.clause)
		}
	}
}

// A gap is told with a job file of which the engine makes a card, and which names devices of the catalogue only.
func TestGapComesWithAJob(t *testing.T) {
	b, err := withSafety(without(t, "brake-not-joined"))
	if err != nil {
		t.Fatal(err)
	}
	controllers, _ := fitted(profile.Demo())
	shapes := shapesOf(b, controllers[:1], nil)
	p := prove(shapes)
	p.write(shapes, aRemote(profile.Demo()))
	shown := false
	for _, g := range p.Gaps {
		shown = shown || g.Clause.ID == "brake-nowhere" && strings.Contains(g.Job, "[vehicle]")
	}
	if !shown {
		t.Error("no job shows that the brake is nowhere")
	}
}

const seededRules = `schema = "asleft/rules/1"
[rule.seeded-typo]
level = "wiring"
when.all = ["signal.hood.source is link", "signal.hood.active is ground"]
require = { "confirm.lamps" = "on" }
why = "Seeded: a level is read on a wire only."
source = "a seeded fault"
[rule.seeded-typo.example.a]
facts = { "signal.hood.source" = "link" }
fires = true
[rule.seeded-typo.example.b]
fires = false

[rule.seeded-quiet]
level = "trade-default"
when.all = ["vehicle.trailer is yes"]
require = { "sensor.warn" = "off" }
why = "Seeded."
source = "a seeded fault"
[rule.seeded-quiet.example.a]
fires = true
[rule.seeded-quiet.example.b]
fires = false

[rule.seeded-loud]
level = "trade-default"
when.all = ["vehicle.steep-parking is yes"]
require = { "sensor.warn" = "on" }
why = "Seeded."
source = "a seeded fault"
[rule.seeded-loud.example.a]
fires = true
[rule.seeded-loud.example.b]
fires = false

[rule.seeded-shadow]
level = "place"
when.all = ["start.wanted is yes", "vehicle.gearbox is manual"]
never = { "takeover.order" = ["key-then-brake"] }
why = "Seeded: safety says it already."
source = "a seeded fault"
[rule.seeded-shadow.example.a]
fires = true
[rule.seeded-shadow.example.b]
fires = false

[rule.seeded-choice]
level = "wiring"
when.all = ["vehicle.trailer is yes"]
never = { "horn.seconds" = ["0.01", "0.02"] }
why = "Seeded: it bars the factory's value and says nothing of the others."
source = "a seeded fault"
[rule.seeded-choice.example.a]
fires = true
[rule.seeded-choice.example.b]
fires = false

[rule.seeded-dark]
level = "safety"
never = { "confirm.lamps" = ["off"] }
why = "Seeded: no install comes to it any more."
source = "a seeded fault"
[rule.seeded-dark.example.a]
fires = true
[rule.seeded-dark.example.b]
fires = false
`

// A typo that no install fulfils, two rules that disagree, a rule that others always say, a setting left undecided, and a value that
// nothing reaches are all found, each in one look at the rules with all of them.
func TestSeededFlawsAreFound(t *testing.T) {
	b, err := withSafety(append(base.ShippedFiles(), base.File{Name: "seeded.toml", Data: []byte(seededRules)}))
	if err != nil {
		t.Fatal(err)
	}
	controllers, _ := fitted(profile.Demo())
	found, gave := flaws(shapesOf(b, controllers[:3], nil))
	if len(gave) > 0 {
		t.Errorf("not decided: %v", gave)
	}
	for _, want := range []struct {
		kind  FlawKind
		names string // a rule or a part of the subject
		shown bool   // with a witness
	}{
		{NeverFires, "seeded-typo", false},
		{Disagree, "seeded-loud", true},
		{Shadowed, "seeded-shadow", false},
		{Undecided, "horn.seconds", true},
		{Unreachable, "confirm.lamps = off", false},
	} {
		at := slices.IndexFunc(found, func(f Flaw) bool {
			return f.Kind == want.kind && (slices.Contains(f.Rules, want.names) || strings.Contains(f.Subject, want.names))
		})
		if at < 0 {
			t.Errorf("%s of %s is not found among %d flaws: %v", want.kind, want.names, len(found), found)
		} else if want.shown && len(found[at].Witness) == 0 {
			t.Errorf("%s of %s is told without an install", want.kind, want.names)
		}
	}
	if r := (&Report{Flaws: found, Proof: &Proof{}}); r.Good() {
		t.Error("a faulty rule base is good")
	}
}

// The shipped rules have no flaw, on any device with any module.
func TestShippedRulesHaveNoFlaws(t *testing.T) {
	b, err := withSafety(base.ShippedFiles())
	if err != nil {
		t.Fatal(err)
	}
	controllers, modules := fitted(profile.Demo())
	if os.Getenv("ASLEFT_FULL") != "1" {
		fmt.Println("proof: flaws are looked for without modules; ASLEFT_FULL=1 go test ./rules/proof, or asleft check --rules, has them too")
		modules = nil
	}
	found, gave := flaws(shapesOf(b, controllers, modules))
	for _, f := range found {
		t.Errorf("%s %v %s: %s %v", f.Kind, f.Rules, f.Subject, f.Says, f.Witness)
	}
	for _, c := range gave {
		t.Errorf("not decided: %s", c)
	}
}
