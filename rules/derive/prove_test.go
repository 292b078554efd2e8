package derive

import (
	"testing"

	"asleft/config/profile"
	"asleft/rules/base"
)

func demoDevices() (controllers, modules []*profile.Profile) {
	for _, p := range profile.Demo().All() {
		switch p.Kind {
		case profile.Controller:
			controllers = append(controllers, p)
		case profile.Module:
			modules = append(modules, p)
		}
	}
	return controllers, modules
}

// No unsafe install gets a keying card: over all facts, for the demo devices and for one whose abilities are left open.
func TestNoUnsafeInstallGetsACard(t *testing.T) {
	controllers, modules := demoDevices()
	proof, err := Prove(base.Shipped(), controllers, modules)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, g := range proof.Gaps {
		if key := g.Unsafe.ID + " " + g.Device; !seen[key] {
			seen[key] = true
			t.Errorf("%s (%s) gets a card on %s: %v %v", g.Unsafe.ID, g.Instance, g.Device, g.Facts, g.Settings)
		}
	}
	for _, g := range proof.GaveUp {
		t.Errorf("not decided: %s", g)
	}
	t.Logf("%d cases over %d devices, up to %d openings", proof.Cases, proof.Devices, proof.Openings)
}
