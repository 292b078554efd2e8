package base

import (
	"testing"
)

func TestShippedRulesAreWhole(t *testing.T) {
	if _, problems := Load(ShippedFiles()); problems != nil {
		t.Fatal(problems)
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		Load(ShippedFiles())
	}
}

// The examples of every rule come out as written.
func TestExamplesOfShippedRules(t *testing.T) {
	b, problems := Load(ShippedFiles())
	if problems != nil {
		t.Fatal(problems)
	}
	if problems := b.CheckExamples(); problems != nil {
		t.Fatal(problems)
	}
	examples := 0
	for _, r := range b.Rules {
		examples += len(r.Examples)
	}
	t.Logf("%d facts, %d rules, %d examples, %d commissioning tests, %d ranks", len(b.Facts), len(b.Rules), examples, len(b.Tests), len(b.Order))
}
