package proof

import (
	"testing"
	"time"

	"asleft/config/profile"
	"asleft/rules/base"
)

func TestTry(t *testing.T) {
	b, err := withSafety(base.ShippedFiles())
	if err != nil {
		t.Fatal(err)
	}
	controllers, modules := fitted(profile.Demo())
	start := time.Now()
	p := Prove(b, controllers, modules)
	t.Log("all", time.Since(start), p.Cases, p.Shapes)
	for _, g := range p.Gaps {
		t.Log("GAP", g.Clause.ID, g.Instance, g.Shapes, g.Unsaid, g.Settings)
		for _, n := range sorted(g.Facts) { // Facts that are not plain
			if ft, _, _ := b.Fact(n); g.Facts[n] != ft.Absent && !ft.Always {
				t.Log("    ", n, g.Facts[n])
			}
		}
	}
	t.Log(p.GaveUp)
}
