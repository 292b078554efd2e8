package base

import (
	"strings"
	"testing"
)

const twoFacts = `schema = "asleft/rules/1"
[fact."vehicle.hat"]
title = "hat"
domain = ["tall", "flat"]
known-by = "a look"
measure = "look"
worst = "tall"

[rule.hat-locks]
level = "trade-default"
when.all = ["vehicle.hat is tall"]
require = { "lock.after-start" = "on" }
why = "A tall hat wants a locked door."
source = "an invented rule"
[rule.hat-locks.example.tall]
facts = { "vehicle.hat" = "tall" }
fires = true
[rule.hat-locks.example.flat]
facts = { "vehicle.hat" = "flat" }
fires = false
`

// Every fault of a rule file is found at its place, with the nearest right word, and no rule base comes of it.
func TestFaultsOfRuleFiles(t *testing.T) {
	for _, c := range []struct {
		name, from, to string
		wants          []string // in the text of the problems
	}{
		{"fact", `"vehicle.hat is tall"`, `"vehicle.hut is tall"`, []string{`no fact "vehicle.hut"`, "11:12", "vehicle.hat"}},
		{"word", `"vehicle.hat is tall"`, `"vehicle.hat is tal"`, []string{`never "tal"`, "tall, flat"}},
		{"line", `"vehicle.hat is tall"`, `"vehicle.hat tall"`, []string{"cannot be read", "FACT is WORD"}},
		{"kind", `"vehicle.hat is tall"`, `"every hat: vehicle.hat is tall"`, []string{"no kind"}},
		{"setting", `"lock.after-start" = "on"`, `"lock.after-strat" = "on"`, []string{`no setting "lock.after-strat"`, "lock.after-start", "12:"}},
		{"value", `= "on" }`, `= "onn" }`, []string{`no value "onn"`, "off, on"}},
		{"level", `level = "trade-default"`, `level = "trade-defualt"`, []string{"trade-default"}},
		{"no effect", `require = { "lock.after-start" = "on" }`, ``, []string{"says nothing"}},
		{"no silent example", `fires = false`, `fires = true`, []string{"lacks an example"}},
		{"no why", `why = "A tall hat wants a locked door."`, ``, []string{"lacks `why`"}},
		{"unknown key", `source = "an invented rule"`, "source = \"an invented rule\"\nsauce = \"x\"", []string{"sauce", "source"}},
		{"unknown twice over", `worst = "tall"`, ``, []string{"exactly one of worst, absent and always"}},
		{"worst outside", `worst = "tall"`, `worst = "wide"`, []string{"wide", "tall, flat"}},
		{"soft refusal", `require = { "lock.after-start" = "on" }`, `refuse = "job"`, []string{"policy-limit or above"}},
		{"no such test", `require = {`, "prove = [\"hat-off\"]\nrequire = {", []string{`no test "hat-off"`}},
		{"bound", `require = { "lock.after-start" = "on" }`, `at-most = { "run.minutes" = "hat.size" }`, []string{"neither a number nor a quantity"}},
		{"a setting that waits for itself", `"vehicle.hat is tall"`, `"setting lock.after-start is on"`, []string{"circle"}},
		{"pass 2 into pass 1", `"vehicle.hat is tall"`, `"setting aux.1.behaviour is pulse"`, []string{"before the plan"}},
	} {
		text := strings.Replace(twoFacts, c.from, c.to, 1)
		if text == twoFacts {
			t.Fatalf("%s: nothing replaced", c.name)
		}
		b, problems := Load([]File{{Name: "hat.toml", Data: []byte(text)}})
		if b != nil || problems == nil {
			t.Errorf("%s: accepted", c.name)
			continue
		}
		for _, want := range c.wants {
			if !strings.Contains(problems.Error(), want) {
				t.Errorf("%s: no %q in\n%s", c.name, want, problems.Error())
			}
		}
	}
}

func TestSameNameInTwoFiles(t *testing.T) {
	_, problems := Load([]File{{Name: "a.toml", Data: []byte(twoFacts)}, {Name: "b.toml", Data: []byte(twoFacts)}})
	if problems == nil || !strings.Contains(problems.Error(), "another file") || !strings.Contains(problems.Error(), "a.toml:2:1") {
		t.Errorf("got %v", problems)
	}
}

// An example that comes out the other way is found.
func TestExamplesThatContradict(t *testing.T) {
	text := strings.Replace(twoFacts, "facts = { \"vehicle.hat\" = \"flat\" }\nfires = false", "facts = { \"vehicle.hat\" = \"tall\" }\nfires = false", 1)
	b, problems := Load([]File{{Name: "hat.toml", Data: []byte(text)}})
	if problems != nil {
		t.Fatal(problems)
	}
	found := b.CheckExamples()
	if len(found) != 1 || !strings.Contains(found.Error(), "comes out the other way") || found[0].Pos.Line == 0 {
		t.Errorf("got %v", found)
	}
}

// Kleene's strong logic: Kleene, Introduction to Metamathematics (1952), section 64; the tables are from memory.
func TestKleene(t *testing.T) {
	if False.Not() != True || Unknown.Not() != Unknown || True.Not() != False {
		t.Error("not")
	}
	for _, c := range []struct{ a, b, and, or Truth }{
		{True, Unknown, Unknown, True}, {False, Unknown, False, Unknown}, {Unknown, Unknown, Unknown, Unknown}, {True, False, False, True},
	} {
		if min(c.a, c.b) != c.and || max(c.a, c.b) != c.or {
			t.Errorf("%d, %d", c.a, c.b)
		}
	}
}

func TestLines(t *testing.T) {
	for _, text := range []string{
		"vehicle.fuel is diesel", "vehicle.fuel is not petrol or diesel", "setting lock.after-start is on",
		"can set gearbox.guard to park or exit-proof", "cannot set gearbox.guard to park",
		"every opening: opening.NAME.seen is yes", "some feed: feed.NAME.joined is yes and feed.NAME.level-fits is no",
		"no opening: opening.NAME.taken is dome", "at most one feed: feed.NAME.circuit-role is starter",
	} {
		l, err := ParseLine(text)
		if err != nil || l.Text != text {
			t.Errorf("%q: %v", text, err)
		}
	}
	for _, text := range []string{
		"", "vehicle.fuel", "vehicle.fuel is", "vehicle.fuel  is diesel", "vehicle.fuel is diesel or", "vehicle.fuel is diesel petrol",
		"can set x", "every opening opening.NAME.seen is yes", "every opening: some feed: feed.NAME.joined is yes", " vehicle.fuel is diesel",
	} {
		if _, err := ParseLine(text); err == nil {
			t.Errorf("%q was accepted", text)
		}
	}
}
