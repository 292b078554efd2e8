package job

import (
	"fmt"
	"strings"
	"testing"
)

// The table of roles is common practice, no source. What the roles are likened
// to are terminals of DIN 72552 (parts 1 to 4, 1971-03), as listed at
// memim.com/din-72552 and de.zxc.wiki/wiki/DIN_72552: see TestLikeTerminals.

// blade is a vehicle with a key and an automatic gearbox.
var blade = Vehicle{NominalVolts: 12, StartControl: "blade-key", Gearbox: "automatic"}

// measured is a conductor with its voltages in OUT, OFF, ACC, RUN and CRANK; the
// battery has 12.6 V, and 10.2 V in CRANK. A negative zero leaves ACC out.
func measured(out, off, acc, run, crank float64) Circuit {
	c := Circuit{Name: "c1-03", Light: true, MinMax: true, With: []string{"selector-p", "brake-pressed"}, Volts: map[string]Reading{}}
	for i, u := range []float64{out, off, acc, run, crank} {
		b := 12.6
		if i == 4 {
			b = 10.2
		}
		c.Volts[switchPositions[i]] = Reading{u, b}
	}
	return c
}

// TestEveryPattern goes through all 32 patterns of five positions: eight have a
// role, the others are mistakes that name the conductor and what to repeat.
func TestEveryPattern(t *testing.T) {
	want := map[string]string{
		"11111": RoleBattery, "01111": RoleKeyIn, "00011": RoleHeld, "00111": RoleHeld,
		"00110": RoleDropped, "00010": RoleDropped, "00001": RoleStarter, "00000": RoleDead,
	}
	for i := range 32 {
		name := fmt.Sprintf("%05b", i)
		u := make([]float64, 5)
		for p := range u {
			if name[p] == '1' {
				u[p] = 12.4
				if p == 4 {
					u[p] = 10.0
				}
			}
		}
		got := verdict(measured(u[0], u[1], u[2], u[3], u[4]), blade)
		role, known := want[name]
		switch {
		case known && (got.role != role || got.because == ""):
			t.Errorf("%s: got %+v, want %s", name, got, role)
		case !known && (got.role != "" || !strings.Contains(got.fault.Message, "c1-03") || got.fault.Expected == "" || len(got.at) != 2):
			t.Errorf("%s: got %+v, want a mistake that names the conductor", name, got)
		}
		if got.warns != (role == RoleDead) {
			t.Errorf("%s: warns %v", name, got.warns)
		}
	}
}

// TestLikeTerminals measures what the terminals of DIN 72552 are defined as:
// 30 straight from battery plus, 15 switched plus behind the ignition switch,
// 50 starter control, each seen in the sources above. That 75 is the radio and
// accessory supply that rests while cranking is a value from memory.
func TestLikeTerminals(t *testing.T) {
	for _, c := range []struct {
		terminal string
		readings Circuit
		role     string
	}{
		{"30", measured(12.5, 12.5, 12.5, 12.4, 10.1), RoleBattery},
		{"15", measured(0, 0, 0, 12.4, 10.0), RoleHeld},
		{"50", measured(0, 0, 0, 0, 10.0), RoleStarter},
		{"75", measured(0, 0, 12.4, 12.4, 0), RoleDropped},
	} {
		if got := verdict(c.readings, blade); got.role != c.role {
			t.Errorf("terminal %s: got %+v, want %s", c.terminal, got, c.role)
		}
	}
}

func TestLevels(t *testing.T) {
	for _, c := range []struct {
		name           string
		volts, battery float64
		light, lowSide bool
		want           level
	}{
		{"on at 0.8 of a low battery", 6.0, 7.5, true, false, on},
		{"1.5 V below a full battery", 11.1, 12.6, true, false, on},
		{"more than 1.5 V below", 11.09, 12.6, true, false, partial},
		{"under 0.8 of a low battery", 5.9, 7.4, true, false, partial},
		{"half a volt under the lamp", 0.5, 12.6, true, false, off},
		{"more than half a volt under the lamp", 0.51, 12.6, true, false, partial},
		{"one volt without the lamp", 1.0, 12.6, false, false, off},
		{"more than one volt without the lamp", 1.01, 12.6, false, false, partial},
		{"24 V line", 22.5, 24.0, true, false, on},
		{"24 V line too low", 22.4, 24.0, true, false, partial},
		{"switched to ground and on", 0.4, 12.6, false, true, on},
		{"switched to ground and off", 10.1, 12.6, false, true, off},
		{"switched to ground and between", 0.6, 12.6, false, true, partial},
		{"binary fraction", 0.1 + 0.2 + 0.2, 12.6, true, false, off},
	} {
		if got := levelOf(Reading{c.volts, c.battery}, c.light, c.lowSide); got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

// with is a changed conductor.
func with(c Circuit, change func(*Circuit)) Circuit {
	change(&c)
	return c
}

var (
	manual = Vehicle{NominalVolts: 12, StartControl: "blade-key", Gearbox: "manual"}
	lorry  = Vehicle{NominalVolts: 24, StartControl: "blade-key", Gearbox: "manual"}
	ladder = measured(0, 0.7, 1.9, 3.2, 4.8)
	data   = measured(2.5, 2.5, 2.6, 2.4, 2.5)
)

// roleCases are the conductors that are more than a pattern, and the slips that
// have misled people before.
var roleCases = []struct {
	name     string
	readings Circuit
	vehicle  Vehicle
	role     string
	says     string // part of the message, empty when there is none
	at       string
}{
	{"held, no ACC position", with(measured(0, 0, 0, 12.4, 10), func(c *Circuit) { delete(c.Volts, "acc") }), blade, RoleHeld, "", ""},
	{"starter with the battery down to 8 V", with(measured(0, 0, 0, 0, 7.4), func(c *Circuit) { c.Volts["crank"] = Reading{7.4, 8.0} }), blade, RoleStarter, "", ""},
	{"ladder not yet repeated", ladder, blade, "", "a ladder of resistors, or a bad contact", "volts"},
	{"ladder", with(ladder, func(c *Circuit) {
		c.Again = map[string]float64{"out": 0, "off": 0.71, "acc": 1.95, "run": 3.1, "crank": 4.9}
	}), blade, RoleLadder, "", ""},
	{"ladder that does not repeat", with(ladder, func(c *Circuit) {
		c.Again = map[string]float64{"out": 0, "off": 0.7, "acc": 1.9, "run": 4.0, "crank": 4.8}
	}), blade, "", "does not repeat", "again run"},
	{"ladder repeated in part", with(ladder, func(c *Circuit) { c.Again = map[string]float64{"acc": 1.9} }), blade, "", "OFF was not read", "again"},
	{"logic line", measured(5.0, 5.0, 4.9, 5.1, 5.0), blade, RoleLogic, "", ""},
	{"logic line that sleeps", measured(0.2, 5.0, 4.9, 5.1, 5.0), blade, RoleLogic, "", ""},
	{"data line, not read asleep", data, blade, RoleData, "never fed or loaded", "volts out"},
	{"data line", with(data, func(c *Circuit) { c.Asleep = Reading{0, 12.6} }), blade, RoleData, "", ""},
	{"data line read off in OUT", measured(0.1, 2.5, 2.6, 2.4, 2.5), blade, RoleData, "", ""},
	{"power kept, not read asleep", with(measured(12.4, 12.4, 12.4, 12.3, 0), func(c *Circuit) { c.Retained = true }), blade, RoleRetained, "still open", "volts out"},
	{"power kept, drops out", with(measured(12.4, 12.4, 12.4, 12.3, 0), func(c *Circuit) { c.Retained = true; c.Asleep = Reading{0, 12.6} }), blade, RoleDropped, "", ""},
	{"power kept, looks like a battery", with(measured(12.4, 12.4, 12.4, 12.3, 10), func(c *Circuit) { c.Asleep = Reading{0, 12.6} }), blade, RoleHeld, "", ""},
	{"power kept in OFF only", with(measured(0, 12.4, 12.4, 12.3, 0), func(c *Circuit) { c.Retained = true; c.Asleep = Reading{0, 12.6} }), blade, RoleDropped, "", ""},
	{"battery, also asleep", with(measured(12.4, 12.4, 12.4, 12.3, 10), func(c *Circuit) { c.Asleep = Reading{12.5, 12.6} }), blade, RoleBattery, "", ""},
	{"switched to ground, held", with(measured(12.3, 12.3, 12.3, 0.2, 0.2), func(c *Circuit) { c.LowSide = true }), blade, RoleHeld, "", ""},
	{"switched to ground, always", with(measured(0.1, 0.1, 0.1, 0.1, 0.1), func(c *Circuit) { c.LowSide = true }), blade, "", "a ground line", "volts out"},
	{"starter read with the clutch up", with(measured(0, 0, 0, 0, 0), func(c *Circuit) { c.With = nil }), manual, RoleDead, "off in every position", "volts crank"},
	{"dead under all conditions", with(measured(0, 0, 0, 0, 0), func(c *Circuit) { c.With = []string{"clutch-pressed"} }), manual, RoleDead, "off in every position", "volts crank"},
	{"ACC only", measured(0, 0, 12.4, 0, 0), blade, "", "live in ACC alone", "volts acc"},
	{"dimmed line", measured(0, 0, 0, 7.0, 0), blade, "", "dimmed line", "volts run"},
	{"door open", measured(12.4, 0, 0, 12.4, 10), blade, "", "a door open", "volts out"},
	{"power kept until a door opens", measured(0, 12.4, 12.4, 12.4, 0), blade, "", "until a door opens", "volts off"},
	{"meter leads swapped", measured(0, 0, 0, -12.4, 0), blade, "", "below ground", "volts run"},
	{"more than the battery", measured(0, 0, 0, 14.0, 0), blade, "", "more than the battery", "volts run"},
	{"24 V battery in a 12 V job", with(measured(0, 0, 0, 0, 0), func(c *Circuit) { c.Volts["run"] = Reading{24.5, 25.1} }), blade, "", "cannot have had 25.1 V", "battery run"},
	{"12 V battery in a 24 V job", measured(0, 0, 0, 12.4, 10), lorry, "", "cannot have had 12.6 V", "battery out"},
	{"flat battery", with(measured(0, 0, 0, 0, 0), func(c *Circuit) { c.Volts["off"] = Reading{0, 8.0} }), blade, "", "flat battery", "battery off"},
}

func TestRoles(t *testing.T) {
	for _, c := range roleCases {
		t.Run(c.name, func(t *testing.T) {
			got := verdict(c.readings, c.vehicle)
			text := got.fault.Message + " " + got.fault.Expected
			if got.role != c.role || (got.fault.Message != "") != (c.says != "") || !strings.Contains(text, c.says) || strings.Join(got.at, " ") != c.at {
				t.Errorf("got %q at %v: %+v", got.role, got.at, got.fault)
			}
			if c.role != "" && got.because == "" {
				t.Error("no reason")
			}
		})
	}
}

// TestRepeatWithClutch: an all-zero starter with the clutch up is 'repeat with
// the clutch down', not 'no starter'; and each condition that is met is not
// asked for again.
func TestRepeatWithClutch(t *testing.T) {
	c := measured(0, 0, 0, 0, 0)
	for _, w := range []struct {
		vehicle Vehicle
		with    []string
		minMax  bool
		asks    []string
	}{
		{Vehicle{NominalVolts: 12, StartControl: "blade-key", Gearbox: "manual"}, nil, true, []string{"clutch pressed"}},
		{Vehicle{NominalVolts: 12, StartControl: "blade-key", Gearbox: "automatic"}, nil, true, []string{"selector in P"}},
		{Vehicle{NominalVolts: 12, StartControl: "slot", Gearbox: "automatic"}, []string{"selector-p"}, true, []string{"foot brake pressed"}},
		{Vehicle{NominalVolts: 12, StartControl: "blade-key", Gearbox: "manual"}, []string{"clutch-pressed"}, false, []string{"highest reading"}},
		{Vehicle{NominalVolts: 12, StartControl: "blade-key", Gearbox: "manual"}, []string{"clutch-pressed"}, true, []string{"fuse"}},
	} {
		c.With, c.MinMax = w.with, w.minMax
		got := verdict(c, w.vehicle).fault.Expected
		for _, part := range []string{"clutch pressed", "selector in P", "foot brake pressed", "highest reading", "fuse"} {
			wanted := len(w.asks) > 0 && w.asks[0] == part
			if strings.Contains(got, part) != wanted {
				t.Errorf("%v with %v: asks for %q", w.vehicle.Gearbox, w.with, got)
			}
		}
	}
}

// TestPowerStates judges the power states of a button car: CRANK is not asked
// for, and no starter role can come out.
func TestPowerStates(t *testing.T) {
	car := Vehicle{NominalVolts: 12, StartControl: "button", Gearbox: "automatic"}
	for _, c := range []struct {
		name   string
		levels string // asleep, awake, acc, on, ready; - when not read
		role   string
		says   string
	}{
		{"battery", "11111", RoleBattery, ""},
		{"awake line", "01111", RoleKeyIn, ""},
		{"held", "00011", RoleHeld, ""},
		{"held in ACC", "00111", RoleHeld, ""},
		{"held, READY not read", "0001-", RoleHeld, ""},
		{"no ACC on the button", "00-11", RoleHeld, ""},
		{"running line", "00001", "", "running engine"},
		{"lost in READY", "00010", "", "repeat ON and READY"},
		{"dead", "00000", RoleDead, "off in every position"},
		{"asleep and on", "10011", "", "running engine"},
	} {
		m := Circuit{Name: "c5-06", Light: true, Volts: map[string]Reading{}}
		for i, p := range buttonPositions {
			switch c.levels[i] {
			case '1':
				m.Volts[p] = Reading{12.2, 12.4}
			case '0':
				m.Volts[p] = Reading{0, 12.4}
			}
		}
		got := verdict(m, car)
		if got.role != c.role || !strings.Contains(got.fault.Message+got.fault.Expected, c.says) || (c.says == "") != (got.fault.Message == "") {
			t.Errorf("%s: got %+v", c.name, got)
		}
	}
}
