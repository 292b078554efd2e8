package proof

import (
	"testing"

	"asleft/config/profile"
	"asleft/rules/base"
)

func TestNoUnsafeInstallGetsACard(t *testing.T) {
	b, err := withSafety(base.ShippedFiles())
	if err != nil {
		t.Fatal(err)
	}
	controllers, modules := fitted(profile.Demo())
	p := Prove(b, controllers, modules)
	t.Logf("%d clauses, %d cases, %d shapes", p.Clauses, p.Cases, len(p.Shapes))
	for _, g := range p.Gaps {
		t.Errorf("%s %s is broken on %s: %v, not said %v, settings %v", g.Clause.ID, g.Instance, g.Shapes, g.Telling, g.Unsaid, g.Settings)
	}
	for _, c := range p.GaveUp {
		t.Errorf("not decided: %s", c)
	}
}

// Two searches for the same thing write the same bytes.
func TestProofIsTheSameEachTime(t *testing.T) {
	b, err := withSafety(base.ShippedFiles())
	if err != nil {
		t.Fatal(err)
	}
	var one, two Proof
	for _, p := range []*Proof{&one, &two} {
		p.shape(freeShape(b), b.Unsafe)
	}
	if len(one.Gaps) != len(two.Gaps) {
		t.Fatalf("%d and %d gaps", len(one.Gaps), len(two.Gaps))
	}
	for i := range one.Gaps {
		for _, name := range sorted(one.Gaps[i].Facts) {
			if one.Gaps[i].Facts[name] != two.Gaps[i].Facts[name] {
				t.Errorf("%s: %s differs", one.Gaps[i].Clause.ID, name)
			}
		}
	}
}

// A clause that reads a fact that a reader works out from several lines is refused.
func TestClausesReadRawFactsOnly(t *testing.T) {
	line, err := base.ParseLine("starter.side is none")
	if err != nil {
		t.Fatal(err)
	}
	inner, err := base.ParseLine("some feed: feed.NAME.strong-enough is no")
	if err != nil {
		t.Fatal(err)
	}
	raw, err := base.ParseLine("some feed: feed.NAME.side is key-side")
	if err != nil {
		t.Fatal(err)
	}
	if trusting([]*base.Line{line}) == "" || trusting([]*base.Line{inner}) == "" || trusting([]*base.Line{raw}) != "" {
		t.Error("raw facts and facts that are worked out are not told apart")
	}
}
