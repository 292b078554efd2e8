package profile

import "testing"

// A demo device is found by the name of its file before the file is read, so both must agree.
func TestDemoFilesAreNamedByTheirID(t *testing.T) {
	all := Demo().All()
	if len(all) < 12 {
		t.Fatalf("%d demo devices", len(all))
	}
	for name, read := range demos() {
		if id := read().ID; id != name {
			t.Errorf("%s.toml holds the device %s", name, id)
		}
	}
}

func TestAddedProfilesStandBesideTheDemoDevices(t *testing.T) {
	data, err := devices.ReadFile("devices/demo-wren.toml")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Demo().Add("again.toml", data); err == nil {
		t.Error("a second device of the same id was taken")
	}
}
