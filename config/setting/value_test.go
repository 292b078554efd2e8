package setting

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	tests := []struct{ setting, text, want string }{
		{"unlock.steps", "driver-first", "driver-first"},
		{"lock.seconds", "0.50", "0.5"},
		{"lock.seconds", "00.5", "0.5"},
		{"lock.seconds", "1.0", "1"},
		{"auto-start.below", "-10", "-10"},
		{"auto-start.below", "-0", "0"},
		{"auto-start.below", "off", "off"},
		{"run.minutes", "15", "15"},
		{"horn.seconds", "0.010", "0.01"},
		{"factory-alarm.disarm-on", "unlock+start", "start+unlock"},
		{"factory-alarm.disarm-on", "none", "none"},
		{"aux.2.when", "parking-brake+park", "park+parking-brake"},
		{"remote.big.gesture.g1", "12", "12"},
		{"remote.big.gesture.g1", "none", "none"},
	}
	for _, tt := range tests {
		f, _ := Find(tt.setting)
		if got, err := f.Parse(tt.text); err != nil || string(got) != tt.want {
			t.Errorf("%s: Parse(%q) = %q, %v; want %q", tt.setting, tt.text, got, err, tt.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	tests := []struct{ setting, text, near string }{
		{"unlock.steps", "driver-frist", "driver-first"},
		{"unlock.steps", "All", "all"},
		{"unlock.steps", "", ""},
		{"run.minutes", "0", ""},
		{"run.minutes", "61", ""},
		{"run.minutes", "2.5", ""},
		{"run.minutes", "5 min", ""},
		{"run.minutes", "1e1", ""},
		{"run.minutes", "+5", ""},
		{"run.minutes", "0x5", ""},
		{"run.minutes", "NaN", ""},
		{"run.minutes", "Inf", ""},
		{"run.minutes", "5.", ""},
		{"run.minutes", ".5", ""},
		{"run.minutes", "--5", ""},
		{"run.minutes", "5_0", ""},
		{"run.minutes", "٥", ""}, // a digit, but none of ours
		{"lock.seconds", "0.123", ""},
		{"lock.seconds", "0.1000000000000000000001", ""},
		{"auto-start.below", "of", "off"},
		{"factory-alarm.disarm-on", "unlock+unlock", ""},
		{"factory-alarm.disarm-on", "unlok", "unlock"},
		{"factory-alarm.disarm-on", "none+start", ""},
		{"factory-alarm.disarm-on", "unlock,start", ""},
		{"factory-alarm.disarm-on", "+", ""},
		{"remote.big.gesture.g1", "Twelve", ""},
		{"remote.big.gesture.g1", "012", ""},
	}
	for _, tt := range tests {
		f, _ := Find(tt.setting)
		v, err := f.Parse(tt.text)
		var wrong *ValueError
		if !errors.As(err, &wrong) {
			t.Errorf("%s: Parse(%q) = %q, want an error", tt.setting, tt.text, v)
			continue
		}
		if wrong.Expected == "" || wrong.Nearest != tt.near {
			t.Errorf("%s: Parse(%q): nearest %q, expected %q; want nearest %q", tt.setting, tt.text, wrong.Nearest, wrong.Expected, tt.near)
		}
	}
}

// anyFamily draws a family of the vocabulary.
func anyFamily(t *rapid.T) Family {
	return rapid.SampledFrom(vocabulary).Draw(t, "family")
}

// anyValue draws a legal value as a person might write it.
func anyValue(t *rapid.T, f Family) string {
	switch f.Kind {
	case KindNumber:
		if len(f.Words) > 0 && rapid.Bool().Draw(t, "word") {
			return rapid.SampledFrom(f.Words).Draw(t, "value")
		}
		step := math.Pow(10, float64(f.Places))
		n := rapid.IntRange(int(math.Ceil(f.Min*step)), int(math.Floor(f.Max*step))).Draw(t, "steps")
		return fmt.Sprintf("%.*f", f.Places, float64(n)/step)
	case KindSet:
		words := rapid.SliceOfDistinct(rapid.SampledFrom(f.Words), func(w string) string { return w }).Draw(t, "words")
		if len(words) == 0 {
			return "none"
		}
		text := words[0]
		for _, w := range words[1:] {
			text += "+" + w
		}
		return text
	case KindChannel:
		return rapid.SampledFrom([]string{"none", "1", "8", "12", "spare-3"}).Draw(t, "channel")
	default:
		return rapid.SampledFrom(f.Words).Draw(t, "value")
	}
}

// Parse is the identity on what it gave: one meaning has one text.
func TestParseGivesCanonical(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFamily(t)
		text := anyValue(t, f)
		v, err := f.Parse(text)
		if err != nil {
			t.Fatalf("%s does not take its own value %q: %v", f.Pattern, text, err)
		}
		again, err := f.Parse(string(v))
		if err != nil || again != v {
			t.Fatalf("%s: %q became %q, then %q, %v", f.Pattern, text, v, again, err)
		}
		if !canonicalForm(string(v)) || !f.Legal(v) {
			t.Fatalf("%s: %q is not in canonical form", f.Pattern, v)
		}
		if v == "" {
			t.Fatal("an empty value")
		}
	})
}

// Two texts of one number, and two orders of one set, are one value.
func TestEqualMeaningsAreEqualTexts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 8000).Draw(t, "hundredths")
		f := Family{Kind: KindNumber, Min: 0, Max: 80, Places: 2}
		a, errA := f.Parse(fmt.Sprintf("%.2f", float64(n)/100))
		b, errB := f.Parse(fmt.Sprintf("0%.4f", float64(n)/100))
		if errA != nil || errB != nil || a != b {
			t.Fatalf("%d/100: %q %v, %q %v", n, a, errA, b, errB)
		}
		if got, ok := a.Number(); !ok || math.Abs(got-float64(n)/100) > 1e-12 {
			t.Fatalf("%q reads back as %g", a, got)
		}
		words := rapid.SliceOfDistinct(rapid.StringMatching(`[a-z]{1,5}`), func(w string) string { return w }).Draw(t, "words")
		shuffled := rapid.Permutation(words).Draw(t, "shuffled")
		if Set(words...) != Set(shuffled...) {
			t.Fatalf("%v and %v", words, shuffled)
		}
		if got := Set(words...).Words(); len(words) > 0 && !slices.Contains(words, "none") && len(got) != len(words) {
			t.Fatalf("%v became %v", words, got)
		}
	})
}

func TestExpectedIsReadable(t *testing.T) {
	for name, want := range map[string]string{
		"unlock.steps":          "one of all, driver-first",
		"run.minutes":           "a whole number from 1 to 60 (min)",
		"auto-start.below":      "a whole number from -40 to 10 (C), or off",
		"lock.seconds":          "a number from 0.1 to 8 (s)",
		"lock.count":            "a whole number from 1 to 2",
		"remote.big.gesture.g1": "the name of a channel (small letters, digits, hyphens), or none",
	} {
		f, _ := Find(name)
		if got := f.Expected(); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}
