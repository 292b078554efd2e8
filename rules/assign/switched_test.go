package assign

import (
	"strings"
	"testing"
)

// What a relay switches by the state of the start: terminals by the printed marks of plug-in relays (ISO 7588-1),
// fuses and loads by the formulas that recipes.toml and Relay.Load name; the wiring is common practice, no source.
func TestSwitchedParts(t *testing.T) {
	feed := func(active string, amps, fuse float64) Tie {
		return Tie{Use: active, Output: "ignition", Level: "battery", Milliamps: 25000, Feed: true, Lines: []string{"c1-08"}, Active: active, Amps: amps, Fuse: fuse}
	}
	state := func(level, active string, milliamps int) Tie {
		return Tie{Use: active, Output: "5", Level: level, Milliamps: milliamps, Lines: []string{"c9-07"}, Active: active}
	}
	for _, c := range []struct {
		name, recipe, ends string
		tie                Tie
	}{
		{"held, its coil fused on the feed", "extra-held-conductor",
			"86 controller feed ignition 1 A, 85 ground, 30 battery + 20 A, 87 c1-08", feed("held", 12, 20)},
		{"dropped", "extra-dropped-conductor",
			"86 controller feed ignition 1 A, 85 ground, 30 battery + 25 A, 87 c1-08", feed("dropped", 0, 25)},
		{"held, switched to ground", "extra-held-conductor-to-ground",
			"86 controller feed ignition 1 A, 85 ground, 30 ground, 87 c1-08", feed("held-to-ground", 2, 5)},
		{"dropped, switched to ground", "extra-dropped-conductor-to-ground",
			"86 controller feed ignition 1 A, 85 ground, 30 ground, 87 c1-08", feed("dropped-to-ground", 2, 5)},
		{"loop by a sink", "sink-on-key-loop",
			"86 battery + 1 A, 85 controller output 5, 30 the loop round the spare key, 87 c9-07", state("ground", "key-loop", 250)},
		{"loop by a source", "source-on-key-loop",
			"86 controller output 5, 85 ground, 30 the loop round the spare key, 87 c9-07", state("battery", "key-loop", 250)},
		{"fob by a sink", "sink-on-fob-supply",
			"86 battery + 1 A, 85 controller output 5, 30 battery + 1 A, 87 c9-07", state("ground", "fob-supply", 250)},
		{"fob by a source", "source-on-fob-supply",
			"86 controller output 5, 85 ground, 30 battery + 1 A, 87 c9-07", state("battery", "fob-supply", 250)},
		{"brake by a sink", "sink-on-simulated-brake",
			"86 battery + 1 A, 85 controller output 5, 30 c9-07 (cut), body unit's side, 87 battery + 1 A, 87a c9-07 (cut), pedal's side", state("ground", "simulated-brake", 250)},
		{"brake by a source", "source-on-simulated-brake",
			"86 controller output 5, 85 ground, 30 c9-07 (cut), body unit's side, 87 battery + 1 A, 87a c9-07 (cut), pedal's side", state("battery", "simulated-brake", 250)},
		{"brake that is worked by ground", "sink-on-simulated-brake-to-ground",
			"86 battery + 1 A, 85 controller output 5, 30 c9-07 (cut), body unit's side, 87 ground, 87a c9-07 (cut), pedal's side", state("ground", "simulated-brake-to-ground", 250)},
		{"the same by a source", "source-on-simulated-brake-to-ground",
			"86 controller output 5, 85 ground, 30 c9-07 (cut), body unit's side, 87 ground, 87a c9-07 (cut), pedal's side", state("battery", "simulated-brake-to-ground", 250)},
	} {
		plan, err := Solve(Problem{Ties: []Tie{c.tie}})
		if err != nil || len(plan.Parts) != 1 || plan.Cost.Relays != 1 {
			t.Errorf("%s: %v, parts %+v, cost %+v, notes %q", c.name, err, plan.Parts, plan.Cost, plan.Notes)
			continue
		}
		p := plan.Parts[0]
		if p.Recipe != c.recipe || endsWithFuses(&p) != c.ends {
			t.Errorf("%s: %s: %s", c.name, p.Recipe, endsWithFuses(&p))
		}
		if p.Coil.Milliamps != 196 || p.Coil.Rating != c.tie.Milliamps || p.Suppression.Band != "86" || p.Suppression.ReleaseMS != [2]int{10, 15} {
			t.Errorf("%s: coil %+v, suppression %+v", c.name, p.Coil, p.Suppression)
		}
		if brake := strings.Contains(c.recipe, "brake"); p.Contact.Break != brake || brake && p.Contact.Rating != 25 {
			t.Errorf("%s: contact %+v: the break contact carries a brake line at rest, and it bears less", c.name, p.Contact)
		}
	}
}

func endsWithFuses(p *Part) string {
	var out []string
	for _, e := range p.Terminals {
		text := e.Mark + " " + e.To
		if e.Fuse > 0 {
			text += " " + seconds(e.Fuse) + " A"
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// The fuse of the circuit chooses the contact: 40 A takes the heavy type, 60 A none at hand. An output too weak for
// the lightest coil is told, and nothing is built on it.
func TestSwitchedPartsThatTakeMore(t *testing.T) {
	tie := Tie{Use: "held", Output: "ignition", Level: "battery", Milliamps: 25000, Feed: true, Lines: []string{"c1-08"}, Active: "held", Fuse: 40}
	plan, err := Solve(Problem{Ties: []Tie{tie}})
	if err != nil || len(plan.Parts) != 1 || !strings.Contains(plan.Parts[0].Type, "high-current") {
		t.Errorf("40 A: %v, %+v", err, plan.Parts)
	}
	tie.Fuse = 60
	weak := Tie{Use: "fob-supply", Output: "5", Level: "ground", Milliamps: 150, Lines: []string{"c9-07"}, Active: "fob-supply"}
	plan, err = Solve(Problem{Ties: []Tie{tie, weak}})
	if err != nil || len(plan.Parts) != 0 || len(plan.Notes) != 2 {
		t.Fatalf("%v, %+v, %q", err, plan.Parts, plan.Notes)
	}
	for i, want := range []string{"feed ignition needs a relay that it cannot drive or that is not at hand (no relay at hand has a contact for 60 A)", "output 5 needs a relay that it cannot drive or that is not at hand (the lightest coil draws 185 mA and it may carry 150 mA)"} {
		if !strings.Contains(plan.Notes[i], want) {
			t.Errorf("note %q, expected %q", plan.Notes[i], want)
		}
	}
}
