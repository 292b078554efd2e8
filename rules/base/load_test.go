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

func TestExamplesOfShippedRules(t *testing.T) {
	if problems := Shipped().CheckExamples(); problems != nil {
		t.Fatal(problems)
	}
}
