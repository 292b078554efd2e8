package proof

import (
	"testing"
	"time"

	"asleft/config/profile"
	"asleft/rules/base"
)

func TestTry(t *testing.T) {
	b := base.Shipped()
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
	for _, g := range p.Gaps {
		t.Log("GAP", g.Clause.ID, g.Instance, g.Shape)
	}
	t.Log(p.GaveUp)
}

func TestDump(t *testing.T) {
	b := base.Shipped()
	controllers, _ := fitted(profile.Demo())
	var p Proof
	for _, c := range controllers {
		p.shape(shapeOf(b, c, nil), b.Unsafe)
	}
	for _, g := range p.Gaps {
		t.Log("GAP", g.Clause.ID, g.Instance, g.Shape)
		for _, n := range sorted(g.Facts) {
			ft, _, _ := b.Fact(n)
			if g.Facts[n] != ft.Absent {
				t.Log("   ", n, "=", g.Facts[n])
			}
		}
		t.Log(g.Unsaid)
		for _, n := range sorted(g.Settings) {
			t.Log("   set", n, "=", g.Settings[n])
		}
	}
}
