package keying

import (
	"errors"
	"strings"
	"testing"

	"asleft/config/source"
)

// The entries of the demo devices, as their profiles say them.
const (
	intoAlder  = "key-run tap*3 key-off key-run "
	intoBirch  = "key-run key-off key-run key-off hold-4 "
	intoCedar  = "power-off power-on tap*2 "
	intoDamson = "key-run hold-5 key-off hold-2 "
	intoElder  = "power-off power-on hold-3 "
)

// rehearsal is a row of inputs with the last answer, where the device stands then, and the place of one option's
// value, counted from 1.
type rehearsal struct {
	device, typed, answer, where, option string
	value                                int
}

var rehearsals = []rehearsal{
	{"alder", "key-run tap*3 key-off", "nothing", "entering: 5 of 6 steps made", "run-minutes", 4},
	{"alder", intoAlder, "led steady green", "at option 1 of bank 1", "run-minutes", 4},
	{"alder", "key-run tap*4 key-off key-run", "nothing", "entering: 1 of 6 steps made", "run-minutes", 4},
	{"alder", "key-run wait-13 tap*3", "nothing", "outside programming", "run-minutes", 4},
	{"alder", intoAlder + "tap*18", "led 1 green, led 1 red", "at option 1 of bank 1", "run-minutes", 4},
	{"alder", intoAlder + "tap*3 hold-3", "led 2 amber, led 1 red", "at option 4 of bank 2", "run-minutes", 4},
	{"alder", intoAlder + "brake hold-1.5", "led 2 green, led 1 red", "at option 2 of bank 1", "engine-speed-source", 2},
	{"alder", intoAlder + "brake*6 wait-41", "nothing", "outside programming", "engine-speed-source", 2},
	{"alder", intoAlder + "brake hold-13", "led 12 red", "at option 1 of bank 1", "engine-speed-source", 1},
	{"birch", intoBirch + "tap silence tap*3 silence brake*2 silence", "siren 2", "at option 13", "run-minutes", 4},
	{"birch", intoBirch + "tap silence tap*3 silence brake*2 silence hold-6", "lamps 4", "outside programming", "run-minutes", 2},
	{"birch", intoBirch + "tap silence tap*3 silence brake*2 silence wait-61", "lamps 1", "outside programming", "run-minutes", 4},
	{"birch", intoBirch + "tap silence tap*3 silence brake*2 silence power-off power-on hold-6", "nothing", "outside programming", "run-minutes", 4},
	{"birch", intoBirch + "tap*4 silence hold-1", "led steady, lamps 1", "at option 40", "run-minutes", 4},
	{"birch", intoBirch + "hold-1 tap*9 silence", "led 9, lamps 1", "at option 9", "run-minutes", 4},
	{"birch", intoBirch + "tap*4 silence tap*8 silence", "nothing", "in programming, before an option is chosen", "run-minutes", 4},
	{"birch", intoBirch + "tap*5 silence", "nothing", "in programming, before an option is chosen", "run-minutes", 4},
	{"cedar", intoCedar + "remote-2", "led 15", "at option 15 of bank 1", "run-minutes", 3},
	{"cedar", intoCedar + "remote-1*4 tap", "horn 4", "at option 5 of bank 1", "run-minutes", 3},
	{"cedar", intoCedar + "remote-1*4 tap power-off tap", "nothing", "leaving programming", "run-minutes", 4},
	{"cedar", intoCedar + "remote-1*4 tap power-off power-on", "lamps 3", "outside programming", "run-minutes", 4},
	{"cedar", intoCedar + "remote-1*4 tap wait-90", "led steady", "outside programming", "run-minutes", 3},
	{"cedar", intoCedar + "remote-1*4 hold-3", "lamps 2", "at option 1 of bank 2", "run-minutes", 3},
	{"damson", intoDamson + "tap silence tap*4 silence", "led 4 green, lamps 3", "at option 4 of bank 1", "run-minutes", 3},
	{"damson", intoDamson + "tap silence tap*4 silence tap*2 silence", "lamps 2", "in bank 1, before an option is chosen", "run-minutes", 2},
	{"damson", intoDamson + "tap silence tap*4 wait-2 hold-1*2", "nothing", "in programming, before a bank is chosen", "run-minutes", 3},
	{"damson", intoDamson + "wait-25", "led steady red", "outside programming", "run-minutes", 3},
	{"elder", intoElder + "brake tap brake", "led 5 red, lamps 1", "at option run-minutes", "run-minutes", 1},
	{"elder", intoElder + "brake tap brake brake", "lamps 2", "at the first fork", "run-minutes", 2},
	{"elder", intoElder + "brake tap wait-31 brake", "nothing", "outside programming", "run-minutes", 1},
	{"elder", "power-off hold-3", "nothing", "without supply", "run-minutes", 1},
}

// TestRehearsals: what the profiles of the demo devices say in words happens when it is typed.
func TestRehearsals(t *testing.T) {
	for _, c := range rehearsals {
		d := demoDevice(t, "demo-"+c.device)
		inputs, err := ParseInputs("typed", c.typed)
		if err != nil {
			t.Fatal(err)
		}
		events, at := Simulate(d.Machine, d.Machine.Factory(), inputs)
		last := Answer(nil)
		if a := events[len(events)-1].Answers; len(a) > 0 {
			last = a[len(a)-1]
		}
		value := 0
		for i, o := range d.Machine.Options {
			if o.ID == c.option {
				value = int(at.Stored[i]) + 1
			}
		}
		if last.String() != c.answer || d.Machine.States[at.State].Words != c.where || value != c.value {
			t.Errorf("%s: %s\n got %s; %s; %s at %d\nwant %s; %s; at %d", c.device, c.typed, last, d.Machine.States[at.State].Words, c.option, value, c.answer, c.where, c.value)
		}
	}
}

// TestInputsAreRefusedWithTheirPlace: every word that cannot be read is named with line and column, counted in letters.
func TestInputsAreRefusedWithTheirPlace(t *testing.T) {
	_, err := ParseInputs("typed", "tap tapp*2\n  ü hold-0 # remark\nkey-up, wait-x tap*100")
	var problems source.Problems
	if !errors.As(err, &problems) {
		t.Fatalf("got %v", err)
	}
	var places []string
	for _, p := range problems {
		places = append(places, p.Pos.String())
	}
	if got, want := strings.Join(places, " "), "typed:1:5 typed:2:3 typed:2:5 typed:3:1 typed:3:9 typed:3:16"; got != want {
		t.Errorf("places %s, want %s\n%v", got, want, err)
	}
	if problems[0].Nearest != "tap" {
		t.Errorf("nearest to tapp is %q", problems[0].Nearest)
	}
}

// TestObservations: what people say to have seen.
func TestObservations(t *testing.T) {
	for _, c := range []struct{ said, read string }{
		{"5", "5"}, {" 5 2 ", "5, 2"}, {"LED 5, horn 2", "led 5, horn 2"}, {"led 3 green lamps 1", "led 3 green, lamps 1"},
		{"steady", "steady"}, {"light steady red", "led steady red"}, {"nothing", "nothing"}, {"2 steady", "2, steady"},
	} {
		o, err := ParseAnswer(c.said)
		if err != nil || o.String() != c.read {
			t.Errorf("%q reads as %v, %v; want %s", c.said, o, err, c.read)
		}
	}
	for _, said := range []string{"", "  ", "led", "5 flashes", "0", "-1", "100", "red", "yes"} {
		if o, err := ParseAnswer(said); err == nil {
			t.Errorf("%q was taken for %s", said, o)
		}
	}
}
