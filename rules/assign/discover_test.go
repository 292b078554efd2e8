package assign

import (
	"slices"
	"strings"
	"testing"

	"asleft/config/setting"
)

// bench is a small install that tests bend: two remotes with one gesture each, two sinking outputs.
func bench() Problem {
	output := func(name string, milliamps int) Output {
		return Output{Name: name, Level: "ground", Milliamps: milliamps, Fixed: map[string]setting.Value{
			"behaviour": "pulse", "seconds": "0.8", "count": "1", "disarm-first": "on", "unlock-first": "on"}}
	}
	hold := func(channel int, teachable ...int) []Gesture {
		return []Gesture{{ID: "hold", Buttons: []string{"a"}, Marks: []string{"A"}, Presses: 1, HoldSeconds: 2, Ease: 3, Channel: channel, Teachable: teachable}}
	}
	return Problem{
		Controller: "controller",
		Remotes:    []Remote{{Name: "big", Gestures: hold(1)}, {Name: "small", Gestures: hold(2)}},
		Channels:   []Channel{{Number: 1, Fires: []string{"1"}}, {Number: 2, Fires: []string{"2"}}, {Number: 3, Fires: []string{"1"}}},
		Outputs:    []Output{output("1", 200), output("2", 200)},
		Functions: []Function{{Name: "boot", Words: "boot", Does: "boot", Direction: "open", Lines: []string{"c1-01"}, Active: "ground", Amps: 0.02,
			MinSeconds: 0.5, MaxSeconds: 1, Keeps: "pulse", On: []Wanted{{Remote: "big", Use: "daily"}, {Remote: "small", Use: "daily"}}}},
	}
}

// recipesOf gives the recipes of a plan's parts, sorted.
func recipesOf(p Plan) string {
	var ids []string
	for _, part := range p.Parts {
		ids = append(ids, part.Recipe)
	}
	slices.Sort(ids)
	return strings.Join(ids, " ")
}

// The plan finds by itself what parts an install takes: circuit theory and common practice.
func TestPartsAreFound(t *testing.T) {
	for _, c := range []struct {
		name   string
		bend   func(*Problem)
		parts  string
		missed int
	}{
		{"two outputs on one line", func(p *Problem) {}, "several-outputs-one-negative-line several-outputs-one-negative-line", 0},
		{"a channel that both can send costs no part", func(p *Problem) {
			p.Remotes[1].Gestures[0].Channel, p.Remotes[1].Gestures[0].Teachable = 0, []int{2, 3}
		}, "", 0},
		{"two channels that fire one output need nothing", func(p *Problem) { p.Remotes[1].Gestures[0].Channel = 3 }, "", 0},
		{"open drain needs no diode", func(p *Problem) { p.Outputs[0].OpenDrain, p.Outputs[1].OpenDrain = true, true }, "", 0},
		{"one of the two is open drain", func(p *Problem) { p.Outputs[1].OpenDrain = true }, "several-outputs-one-negative-line", 0},
		{"one output on two lines", func(p *Problem) {
			p.Remotes[1].Gestures[0].Channel = 1
			p.Functions[0].Lines = []string{"c1-01", "c1-02"}
		},
			"one-output-several-negative-lines one-output-several-negative-lines", 0},
		{"wrong level", func(p *Problem) { p.Remotes[1].Gestures[0].Channel = 1; p.Functions[0].Active = "battery" }, "sink-on-positive-line", 0},
		{"too weak", func(p *Problem) { p.Remotes[1].Gestures[0].Channel = 1; p.Functions[0].Amps = 3 }, "sink-on-negative-line", 0},
		{"no diode on a line of resistors", func(p *Problem) { p.Functions[0].Active = "ladder" }, "sink-on-resistive-line sink-on-resistive-line", 0},
		{"no diode where a motor's current flows", func(p *Problem) {
			p.Functions[0].Amps = 1.5
			p.Outputs[0].Milliamps, p.Outputs[1].Milliamps = 2000, 2000
		},
			"sink-on-negative-line sink-on-negative-line", 0},
		{"two coils overload one output: a pilot drives both", func(p *Problem) {
			p.Remotes[1].Gestures[0].Channel = 1
			p.Functions[0].Active, p.Functions[0].Lines = "battery", []string{"c1-01", "c1-02"}
		}, "sink-on-positive-line sink-on-positive-line sink-through-pilot", 0},
		{"an output of 500 mA drives both", func(p *Problem) {
			p.Outputs[0].Milliamps = 500
			p.Remotes[1].Gestures[0].Channel = 1
			p.Functions[0].Active, p.Functions[0].Lines = "battery", []string{"c1-01", "c1-02"}
		}, "sink-on-positive-line sink-on-positive-line", 0},
		{"one coil is too much below -20 C", func(p *Problem) {
			p.Cold = true
			p.Remotes[1].Gestures[0].Channel = 1
			p.Functions[0].Active = "battery"
		}, "", 2},
		{"an interlock that nobody provides", func(p *Problem) { p.Remotes[1].Gestures[0].Channel = 1; p.Functions[0].When = []string{"park"} }, "permission-make", 0},
		{"an interlock that the output keeps", func(p *Problem) {
			p.Remotes[1].Gestures[0].Channel = 1
			p.Functions[0].When = []string{"park"}
			p.Outputs[0].Fixed["when"] = "park"
		}, "", 0},
		{"an interlock that is joined", func(p *Problem) {
			p.Remotes[1].Gestures[0].Channel = 1
			p.Functions[0].When, p.Functions[0].Joined = []string{"park"}, []string{"park"}
		}, "", 0},
	} {
		p := bench()
		c.bend(&p)
		plan, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if got := recipesOf(plan); got != c.parts || len(plan.NotReached) != c.missed {
			t.Errorf("%s: parts %q (expected %q), %d not reached: %+v", c.name, got, c.parts, len(plan.NotReached), plan.NotReached)
		}
	}
}

// What opens a zone of the alarm disarms first; where the output cannot, its zones sleep while it works, and that is
// demanded of the device (common practice, no source).
func TestZonesSleepWhereNothingDisarms(t *testing.T) {
	p := bench()
	p.Remotes[1].Gestures[0].Channel = 1
	delete(p.Outputs[0].Fixed, "disarm-first")
	p.Outputs[0].Options = []OutputOption{{ID: "zones", Values: []map[string]setting.Value{{"bypass-zones": "off"}, {"bypass-zones": "on"}}}}
	plan, err := Solve(p)
	if err != nil || plan.Cost.Lacking != 0 {
		t.Fatalf("%v %+v", err, plan.Cost)
	}
	if i := slices.IndexFunc(plan.Demands, func(d Demand) bool { return d.Setting == "aux.1.bypass-zones" }); i < 0 || plan.Demands[i].Value != "on" {
		t.Errorf("demands %+v", plan.Demands)
	}
	p.Outputs[0].Fixed["disarm-first"] = "on"
	if plan, err = Solve(p); err != nil || slices.ContainsFunc(plan.Demands, func(d Demand) bool { return d.Setting == "aux.1.bypass-zones" }) {
		t.Errorf("an output that disarms first: %v %+v", err, plan.Demands)
	}
}

// Hard guards: 49 CFR 571.118 S4 and S5 for windows and roofs; the others are common practice, no source.
func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name string
		bend func(*Function)
		rule string
	}{
		{"platform lift", func(f *Function) { f.Does = "platform-lift" }, "platform-lift"},
		{"window that closes", func(f *Function) { f.Does, f.Direction = "window", "close" }, "closing-window"},
		{"roof that toggles", func(f *Function) { f.Does, f.Direction = "roof", "toggle" }, "closing-window"},
		{"window that opens only", func(f *Function) { f.Does = "window" }, ""},
		{"window under its own module", func(f *Function) {
			f.Does, f.Direction, f.SelfReverses, f.Moves, f.When = "window", "close", true, true, []string{"park"}
		}, ""},
		{"ramp worked by a pulse", func(f *Function) { f.Does, f.Moves = "ramp", true }, "hold-to-run"},
		{"ramp without interlocks", func(f *Function) { f.Does, f.Moves, f.Keeps = "ramp", true, "hold-to-run" }, "interlocks"},
		{"ramp with one interlock", func(f *Function) { f.Does, f.Moves, f.Keeps, f.Joined = "ramp", true, "hold-to-run", []string{"park"} }, "interlocks"},
		{"door out of sight without interlock", func(f *Function) { f.Does, f.Moves, f.OutOfSight, f.SelfReverses = "side-door", true, true, true }, "interlocks"},
		{"door that nothing supervises", func(f *Function) { f.Does, f.Moves = "side-door", true }, "hold-to-run"},
	} {
		p := bench()
		c.bend(&p.Functions[0])
		plan, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		rule := ""
		if len(plan.Refused) > 0 {
			rule = plan.Refused[0].Rule
		}
		if rule != c.rule || rule != "" && (len(plan.Rows) > 0 || plan.Refused[0].Cure == "") {
			t.Errorf("%s: refused by %q, expected %q: %+v", c.name, rule, c.rule, plan)
		}
	}
}

// What a line wants decides the relay: until it is measured there is no plan for the function, and the plan says what to measure.
func TestUnmeasuredLine(t *testing.T) {
	p := bench()
	p.Functions[0].Active = ""
	plan, err := Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	if len(plan.Rows) > 0 || len(plan.NotReached) == 0 || plan.NotReached[0].Reason != "nobody has measured yet what its line wants, ground or +: measure it first" {
		t.Errorf("a line that wants nobody knows what: %+v", plan)
	}
}

// The nuisance guard yields to a signature, the safety guard never.
func TestGuardsOnATap(t *testing.T) {
	p := bench()
	for r := range p.Remotes {
		p.Remotes[r].Gestures[0].HoldSeconds, p.Remotes[r].Gestures[0].Channel = 0, 1
	}
	plan, err := Solve(p)
	if err != nil || plan.Cost.ToSign != 2 || !plan.Rows[0].ToSign {
		t.Errorf("unsigned boot on a tap: %v %+v", err, plan.Cost)
	}
	p.Functions[0].On[0].Signed, p.Functions[0].On[1].Signed = "M.O.", "M.O."
	if plan, err = Solve(p); err != nil || plan.Cost.ToSign != 0 {
		t.Errorf("signed boot on a tap: %v %+v", err, plan.Cost)
	}
	f := &p.Functions[0]
	f.Does, f.Moves, f.OutOfSight, f.SelfReverses, f.When, f.Joined = "side-door", true, true, true, []string{"park"}, []string{"park"}
	if plan, err = Solve(p); err != nil || plan.Cost.NotReached != 2 {
		t.Errorf("a moving door on a signed tap: %v %+v", err, plan.Rows)
	}
}
