package assign_test

import (
	"slices"
	"testing"

	"asleft/rules/assign"
)

var fleet = []assign.Named{
	{Name: "kerb-side-door", Words: []string{"side door", "sliding door", "kerb-side door"}, Does: "side-door"},
	{Name: "ramp", Words: []string{"ramp", "wheelchair ramp"}, Does: "ramp"},
	{Name: "rear-doors", Words: []string{"boot", "rear doors", "back doors"}, Does: "boot"},
	{Name: "yard-gate", Words: []string{"gate", "Tor am Hof", "portillon d'été"}, Does: "gate"},
}

// own are what remotes do by themselves, as which asks for them.
func own() []assign.Named {
	var out []assign.Named
	for _, use := range assign.OwnUses {
		out = append(out, assign.Named{Name: use, Words: []string{use}})
	}
	return out
}

// Words that people use for the same thing: common practice, no source.
func TestMatch(t *testing.T) {
	all := append(slices.Clone(fleet), own()...)
	for _, c := range []struct {
		ask, side string
		want      []string
		asks      bool
	}{
		{"", "", []string{"kerb-side-door", "ramp", "rear-doors", "yard-gate", "lock", "unlock", "start", "stop", "panic"}, false},
		{"boot", "", []string{"rear-doors"}, false},
		{"Trunk", "", []string{"rear-doors"}, false},
		{"tailgate", "", []string{"rear-doors"}, false},
		{"lift gate", "", []string{"rear-doors"}, false},
		{"which button opens the sliding door?", "", []string{"kerb-side-door"}, false},
		{"sliding doors", "", []string{"kerb-side-door"}, false},
		{"kerbside door", "", []string{"kerb-side-door"}, false},
		{"pavement-side door", "", []string{"kerb-side-door"}, false},
		{"passenger side", "left", []string{"kerb-side-door"}, false},
		{"passenger side door", "right", []string{"kerb-side-door"}, false},
		{"passenger side door", "", nil, true},
		{"left door", "left", []string{"kerb-side-door"}, false},
		{"rear door", "", []string{"rear-doors"}, false},
		{"wheelchair rmap", "", []string{"ramp"}, false},
		{"slidng door", "", []string{"kerb-side-door"}, false},
		{"wheel chair ramp", "", []string{"ramp"}, false},
		{"PORTILLON D’ETE", "", []string{"yard-gate"}, false},
		{"garage", "", []string{"yard-gate"}, false},
		{"door", "", []string{"kerb-side-door", "rear-doors"}, false},
		{"spaceship", "", nil, false},
		{"how do I start it?", "", []string{"start"}, false},
		{"Remote Start", "", []string{"start"}, false},
		{"strat the car", "", []string{"start"}, false},
		{"lock", "", []string{"lock"}, false},
		{"lock all the doors", "", []string{"lock"}, false},
		{"unlcok", "", []string{"unlock"}, false},
		{"open the car", "", []string{"unlock"}, false},
		{"switch off the engine", "", []string{"stop"}, false},
		{"driver door", "", []string{"unlock"}, false},
		{"the driver's door", "left", []string{"unlock"}, false},
		{"drivers door", "left", []string{"unlock"}, false},
		{"front doors", "", []string{"unlock"}, false},
		{"alarm sound", "", []string{"panic"}, false},
		{"unlock the side door", "", []string{"kerb-side-door", "unlock"}, false},
	} {
		got := assign.Match(c.ask, all, c.side)
		if c.asks != (got.Ask != "") {
			t.Errorf("%q %s: asks %q", c.ask, c.side, got.Ask)
		}
		if !c.asks && !slices.Equal(got.Names, c.want) {
			t.Errorf("%q %s: got %+v, want %v", c.ask, c.side, got, c.want)
		}
	}
}
