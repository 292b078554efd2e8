package job

import (
	"asleft/config/source"
)

// A signalKind says what can be written about a signal of that name: where it
// can be taken, and of what kind it can be.
type signalKind struct {
	name  string
	taken []string
	kinds []string
}

// signalKinds are the signals of a vehicle. Where a signal is taken matters
// where one place gives false readings: the lamp lines carry bulb checks, the
// dome circuit stays on for a while, the glow relay stays on after the lamp.
var signalKinds = []signalKind{
	{name: "brake", taken: []string{"pedal-switch", "lamp-line", "body-unit"}},
	{name: "hood", taken: []string{"own-pin", "latch"}},
	{name: "park", taken: []string{"range-switch", "selector", "body-unit"}},
	{name: "parking-brake", taken: []string{"lever", "pedal", "lamp-line", "body-unit"}},
	{name: "door", taken: []string{"latch", "dome", "body-unit"}},
	{name: "boot", taken: []string{"latch", "lamp-line", "body-unit"}},
	{name: "engine-speed", kinds: []string{"tach-line", "waste-spark", "coil-on-plug", "injector", "injector-batch", "alternator", "crank-wheel", "speed", "running"}},
	{name: "key-in", taken: []string{"cylinder-switch", "slot", "body-unit"}},
	{name: "wait-lamp", taken: []string{"lamp-line", "glow-relay"}},
	{name: "factory-alarm", taken: []string{"siren-line", "lamp-line"}},
	{name: "work-equipment", taken: []string{"engage-switch", "body-unit"}},
	{name: "clutch", taken: []string{"pedal-switch"}},
	{name: "ready"},
	{name: "takeover"},
}

// readSignal reads [signal.NAME]. A signal that is not written down is not
// there; one without proven = "yes" has still to be tested.
func readSignal(t *source.Table) Signal {
	defer t.Close()
	s := Signal{
		Name:      t.Name(),
		Source:    t.Word("source", sources, source.Required(`source = "wire"`)),
		Active:    known(t, "active", actives),
		FailsSafe: yesNo(t, "fails-safe"),
		Proven:    yesNo(t, "proven"),
		Input:     nameIn(t, "input"),
		Line:      cavity(t, "line"),
		Pulses:    t.Number("pulses", 0.1, 200),
		Covers:    known(t, "covers", covers),
		Settle:    t.Number("settle-seconds", 0, 600),
		Sleeps:    yesNo(t, "sleeps"),
	}
	k, ok := kindOf(s.Name)
	if !ok {
		t.Fault("", source.Problem{
			Message:  "there is no signal of this name",
			Found:    s.Name,
			Nearest:  source.Nearest(s.Name, signalNames()),
			Expected: "a signal of the vehicle, as [signal.brake]",
		})
		k = signalKind{taken: []string{t.Text("taken-at")}, kinds: []string{t.Text("kind")}}
	}
	s.Taken = placeOf(t, "taken-at", k.taken)
	s.Kind = placeOf(t, "kind", k.kinds)
	checkSignal(t, s)
	return s
}

// placeOf reads one of words where the signal has such words; where it has
// none the key is not known, and Close says so.
func placeOf(t *source.Table, key string, words []string) string {
	if len(words) == 0 {
		return ""
	}
	return known(t, key, words)
}

// checkSignal refuses a description that contradicts itself.
func checkSignal(t *source.Table, s Signal) {
	if s.Source == "none" && (s.Line != "" || s.Input != "" || s.Active != "") {
		t.Fault("source", source.Problem{
			Message:  "the signal is not taken, and yet its wire is described",
			Expected: `source = "wire", or no line, input and active`,
		})
	}
	if s.Source == "link" && (s.Line != "" || s.Input != "") {
		t.Fault("source", source.Problem{
			Message:  "the signal comes by link and by wire at once",
			Expected: "one of the two",
		})
	}
	if s.Source == "wire" && s.Active == "" && s.Name != "engine-speed" {
		t.Fault("source", source.Problem{
			Message:  "the level of the wire when the signal is given is missing",
			Expected: "the level that was measured",
			Example:  `active = "ground"`,
		})
	}
	if s.Covers != "" && s.Name != "park" {
		t.Fault("covers", source.Problem{Message: "only the park signal covers positions of the selector", Expected: "no such line"})
	}
	if s.Pulses != 0 && s.Name != "engine-speed" {
		t.Fault("pulses", source.Problem{Message: "only the engine speed has pulses", Expected: "no such line"})
	}
	if (s.Kind == "speed" || s.Kind == "running") != (s.Source == "link") && s.Kind != "" {
		t.Fault("kind", source.Problem{
			Message:  "kind and source of the engine speed do not fit",
			Expected: `"speed" or "running" by link, the place of the pulses by wire`,
			Found:    s.Kind,
		})
	}
}

func kindOf(name string) (signalKind, bool) {
	for _, k := range signalKinds {
		if k.name == name {
			return k, true
		}
	}
	return signalKind{}, false
}

func signalNames() []string {
	names := make([]string, len(signalKinds))
	for i, k := range signalKinds {
		names[i] = k.name
	}
	return names
}
