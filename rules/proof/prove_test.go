package proof

import (
	"slices"
	"strings"
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
	var p Proof
	start := time.Now()
	p.shape(freeShape(b), b.Unsafe)
	t.Log("free", time.Since(start), p.Cases)
	for _, c := range controllers {
		p.shape(shapeOf(b, c, nil), b.Unsafe)
		for _, m := range modules {
			p.shape(shapeOf(b, c, m), b.Unsafe)
		}
	}
	t.Log("all", time.Since(start), p.Cases, p.Shapes)
	seen := map[string]bool{}
	for _, g := range p.Gaps {
		if !seen[g.Clause.ID] {
			seen[g.Clause.ID] = true
			t.Log("GAP", g.Clause.ID, g.Instance, g.Shape)
			for _, n := range sorted(g.Facts) {
				u := slices.Contains(g.Unsaid, n)
				if u && !strings.HasPrefix(n, "occupant") || strings.Contains(n, "feed.f") && (strings.Contains(n, "role") || strings.Contains(n, "side") || strings.Contains(n, "joined")) || strings.HasPrefix(n, "start") || strings.HasPrefix(n, "vehicle.gear") || strings.HasPrefix(n, "vehicle.fuel") {
					t.Log("  ", n, g.Facts[n], u)
				}
			}
		}
	}
	t.Log(p.GaveUp)
}
