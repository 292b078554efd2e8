package assign

import (
	"math"
	"slices"
	"testing"
)

// Loads of coils at worst. The coils: data sheets of relays in the layout of ISO 7588-1 (75 and 85
// ohm plug-in types, 90 ohm printed-circuit type, 80 ohm with 680 ohm across it = 71.6). The
// formula, 15 V / (0.9 R), is common practice, no source; its results for 75, 85 and 90 ohm are
// those printed beside the data as design values: 222, 196 and 185 mA.
func TestCoilLoads(t *testing.T) {
	for _, c := range []struct {
		ohms         float64
		normal, cold int
	}{{75, 222, 290}, {85, 196, 256}, {90, 185, 242}, {80.0 * 680 / (80 + 680), 233, 304}} {
		r := Relay{Volts: 12, Ohms: c.ohms}
		if got := int(math.Round(r.Load(false))); got != c.normal {
			t.Errorf("%g ohm: %d mA, expected %d", c.ohms, got, c.normal)
		}
		if got := int(math.Round(r.Load(true))); got != c.cold {
			t.Errorf("%g ohm below -20 C: %d mA, expected %d", c.ohms, got, c.cold)
		}
	}
}

// A 200 mA output drives one relay of 85 or 90 ohm and none of 75; 500 mA drive two of any and not
// three, not even of 90 ohm (555 mA); three at 90 ohm is true at nominal volts only.
func TestHowManyCoilsAnOutputDrives(t *testing.T) {
	drives := func(milliamps int, ohms float64, coils int) bool {
		return (&Relay{Volts: 12, Ohms: ohms}).Load(false)*float64(coils) <= float64(milliamps)
	}
	for _, c := range []struct {
		milliamps int
		ohms      float64
		coils     int
		want      bool
	}{{200, 85, 1, true}, {200, 90, 1, true}, {200, 75, 1, false}, {500, 75, 2, true}, {500, 85, 2, true}, {500, 90, 3, false}, {250, 85, 1, true}, {150, 90, 1, false}} {
		if got := drives(c.milliamps, c.ohms, c.coils); got != c.want {
			t.Errorf("%d mA, %d coils of %g ohm: %t", c.milliamps, c.coils, c.ohms, got)
		}
	}
}

// Every recipe has the terminals of its kind, in the sense of ISO 7588-1: coil 85 and 86, common 30,
// and the make or break contact that its use wants.
func TestRecipes(t *testing.T) {
	for _, r := range Recipes() {
		if !r.Relay() {
			if !slices.Equal(r.Marks, []string{"anode", "band"}) {
				t.Errorf("%s: %v", r.ID, r.Marks)
			}
			// Conventional current runs from anode to band: into a sinking output, out of a sourcing one.
			if from := r.Ends[0]; (r.Line == "ground") != (from == "line") {
				t.Errorf("%s: anode at %s", r.ID, from)
			}
			continue
		}
		for _, m := range []string{"86", "85", "30"} {
			if !slices.Contains(r.Marks, m) {
				t.Errorf("%s has no terminal %s", r.ID, m)
			}
		}
		if !slices.Contains(r.Marks, "87") && !slices.Contains(r.Marks, "87a") {
			t.Errorf("%s has no contact", r.ID)
		}
		end := func(mark string) string { return r.Ends[slices.Index(r.Marks, mark)] }
		switch r.Output {
		case "ground": // the output sinks: the coil's + end, 86, hangs on a supply, 85 on the output
			if end("85") != "output" {
				t.Errorf("%s: 85 at %s", r.ID, end("85"))
			}
		case "battery":
			if end("86") != "output" && end("86") != "feed" || end("85") != "ground" {
				t.Errorf("%s: 86 at %s, 85 at %s", r.ID, end("86"), end("85"))
			}
		}
	}
	for _, level := range []string{"ground", "battery"} {
		for _, active := range []string{"ground", "battery", "reversal", "ladder", "contact"} {
			recipeFor("line", level, active) // panics where the file has none
		}
		recipeFor("pilot", level, "")
	}
}
