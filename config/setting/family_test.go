package setting

import (
	"slices"
	"strings"
	"testing"
)

// The vocabulary is one table; these are the promises that others build on.
func TestVocabularyIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range Families() {
		if seen[f.Pattern] {
			t.Errorf("%s stands twice", f.Pattern)
		}
		seen[f.Pattern] = true
		if f.Title == "" || f.DecidedBy == "" || f.WhenWrong == "" {
			t.Errorf("%s lacks a text", f.Pattern)
		}
		switch f.Kind {
		case KindWord, KindSet:
			if len(f.Words) < 2 {
				t.Errorf("%s has no choice", f.Pattern)
			}
		case KindNumber:
			if f.Min >= f.Max {
				t.Errorf("%s has the range %g to %g", f.Pattern, f.Min, f.Max)
			}
		}
		for _, w := range f.Words {
			if !isName(w) || !canonicalForm(w) {
				t.Errorf("%s: %q is no word", f.Pattern, w)
			}
		}
	}
}

// The five settings that head the card, in this order and alone.
func TestFiveLead(t *testing.T) {
	var lead []string
	for i, f := range Families() {
		if f.Leads {
			lead = append(lead, f.Pattern)
			if i != len(lead)-1 {
				t.Errorf("%s leads from place %d", f.Pattern, i)
			}
		}
	}
	want := []string{"engine-speed.source", "feed.NAME.role", "unlock.steps", "remote.R.gesture.G", "aux.N.behaviour"}
	if !slices.Equal(lead, want) {
		t.Errorf("leading are %v, want %v", lead, want)
	}
}

// No name belongs to two families.
func TestPatternsAreApart(t *testing.T) {
	families := Families()
	for _, f := range families {
		name := Instance(f.Pattern, "1", "1")
		var hits []string
		for _, g := range families {
			if matches(g.Pattern, name) {
				hits = append(hits, g.Pattern)
			}
		}
		if len(hits) != 1 || hits[0] != f.Pattern {
			t.Errorf("%s belongs to %v", name, hits)
		}
		if got, ok := Find(name); !ok || got.Pattern != f.Pattern {
			t.Errorf("Find(%q) = %q", name, got.Pattern)
		}
	}
}

func TestFindAndInstance(t *testing.T) {
	tests := []struct{ name, pattern string }{
		{"engine-speed.source", "engine-speed.source"},
		{"feed.second.role", "feed.NAME.role"},
		{"remote.big.gesture.g1", "remote.R.gesture.G"},
		{"aux.12.at-start.below", "aux.N.at-start.below"},
		{"aux.12.at-start", "aux.N.at-start"},
		{"feed..role", ""},
		{"feed.NAME.role", ""}, // a pattern is no name
		{"feed.Second.role", ""},
		{"feed.second", ""},
		{"feed.second.role.more", ""},
		{"", ""},
		{".", ""},
		{"aux.1.behaviour ", ""},
	}
	for _, tt := range tests {
		got, ok := Find(tt.name)
		if ok != (tt.pattern != "") || got.Pattern != tt.pattern {
			t.Errorf("Find(%q) = %q, %v", tt.name, got.Pattern, ok)
		}
	}
	if got := Instance("remote.R.gesture.G", "big", "g1"); got != "remote.big.gesture.g1" {
		t.Error(got)
	}
	f, _ := Find("remote.big.gesture.g1")
	if parts, ok := f.Parts("remote.big.gesture.g1"); !ok || !slices.Equal(parts, []string{"big", "g1"}) {
		t.Errorf("parts are %v", parts)
	}
}

func TestNearestName(t *testing.T) {
	for name, want := range map[string]string{
		"engine-sped.source":     "engine-speed.source",
		"feed.second.rol":        "feed.second.role",
		"aux.4.behavior":         "aux.4.behaviour",
		"remote.big.gestur.g1":   "remote.big.gesture.g1",
		"something.else.wholly":  "",
		strings.Repeat("x", 500): "",
	} {
		if got := Nearest(name); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", name, got, want)
		}
	}
}

// Words and numbers of the trade tables that a family must take; sources beside.
func TestPublishedValuesFit(t *testing.T) {
	tests := []struct{ name, value, source string }{
		{"alarm.seconds", "25", "Swiss VTS (SR 741.41) art. 86(3): 25 to 30 s"},
		{"alarm.seconds", "30", "Swiss VTS (SR 741.41) art. 86(3): 25 to 30 s"},
		{"alarm.rest", "10", "Swiss VTS art. 86(2): at least 10 s"},
		{"alarm.lamps", "indicators", "UN R116 6.3.3.3"},
		{"arm.exit-delay", "45", "Swiss VTS art. 85(2): 15 to 45 s"},
		{"arm.entry-delay", "5", "Swiss VTS art. 85(2): 5 to 15 s"},
		{"run.minutes", "3", "New York City Administrative Code 24-163: 3 min"},
		{"run.minutes", "1", "New York City Administrative Code 24-163: 1 min beside a school"},
		{"run.minutes", "5", "Massachusetts General Laws c. 90 s. 16A: 5 min"},
		{"run.minutes", "10", "Denver City Code 4-48: 10 min in an hour"},
		{"crank.limit", "10", "common practice, no source"},
		{"horn.seconds", "0.01", "common practice, no source"},
		{"state-output.6.lead", "0.2", "common practice, no source"},
		{"run.stop-volts", "11.8", "common practice, no source"},
	}
	for _, tt := range tests {
		f, ok := Find(tt.name)
		if !ok || !f.Legal(Value(tt.value)) {
			t.Errorf("%s does not take %s (%s)", tt.name, tt.value, tt.source)
		}
	}
}
