package job

import (
	"fmt"
	"strings"

	"asleft/config/source"
)

// The positions of an ignition switch, and the power states of a button car
// that stand for them. ACC may be left out where the switch has none, and so
// may READY, which takes the place of CRANK.
var (
	switchPositions = []string{"out", "off", "acc", "run", "crank"}
	buttonPositions = []string{"asleep", "awake", "acc", "on", "ready"}
)

// positions are those of the vehicle's start control.
func (v Vehicle) positions() []string {
	if v.StartControl == "button" {
		return buttonPositions
	}
	return switchPositions
}

// readCircuit reads [circuit.c1-03] and judges its role.
func (j *Job) readCircuit(t *source.Table) Circuit {
	defer t.Close()
	c := Circuit{
		Name:     t.Name(),
		LowSide:  t.Word("switched-to", switchings) == "ground",
		Fuse:     t.Number("fuse-amperes", 0, 200),
		Amps:     amperes(t, 200),
		Logic:    t.Flag("logic-current"),
		With:     t.Words("with", conditions),
		Retained: t.Flag("retained"),
		Cut:      t.Flag("cut"),
	}
	if !isCavity(c.Name) {
		t.Fault("", notCavity(c.Name))
	}
	with := t.Word("read-with", instruments, source.Required(`read-with = "lamp-5w"`))
	c.Light = strings.HasPrefix(with, "lamp-5w")
	c.MinMax = strings.HasSuffix(with, "min-max")
	whole := j.readVolts(t, &c)
	if whole {
		j.judge(&c)
	}
	return c
}

// readVolts reads the readings and reports whether there is enough to judge.
func (j *Job) readVolts(t *source.Table, c *Circuit) bool {
	positions := j.Vehicle.positions()
	example := "volts = { " + strings.Join(positions, " = 0.0, ") + " = 0.0 }"
	volts := t.Sub("volts", source.Required(example))
	defer volts.Close()
	battery := t.Sub("battery", source.Required(strings.Replace(example, "volts", "battery", 1)))
	defer battery.Close()
	c.Volts = map[string]Reading{}
	whole := true
	for _, p := range positions {
		may := p == "acc" || p == "ready"
		if may && !volts.Has(p) && !battery.Has(p) {
			// Known, so that a slip of the key is called by its name.
			volts.Number(p, -60, 60)
			battery.Number(p, 0, 60)
			continue
		}
		need := source.Required(fmt.Sprintf("%s = 12.4", p))
		c.Volts[p] = Reading{volts.Number(p, -60, 60, need), battery.Number(p, 0, 60, need)}
		whole = whole && volts.Has(p) && battery.Has(p)
	}
	again := t.Sub("again")
	defer again.Close()
	for _, p := range positions {
		if again.Has(p) {
			if c.Again == nil {
				c.Again = map[string]float64{}
			}
			c.Again[p] = again.Number(p, -60, 60)
		}
	}
	asleep := t.Sub("asleep")
	defer asleep.Close()
	c.Asleep = Reading{asleep.Number("volts", -60, 60), asleep.Number("battery", 0, 60)}
	return whole
}

// judge notes the role of a conductor, or the mistake in its readings.
func (j *Job) judge(c *Circuit) {
	v := verdict(*c, j.Vehicle)
	switch {
	case v.fault.Message == "":
		c.Role, c.Because = v.role, v.because
		c.Retained = c.Retained || v.retained
	case v.warns:
		c.Role, c.Because = v.role, v.because
		j.warn(v.fault, append([]string{"circuit", c.Name}, v.at...)...)
	default:
		j.Doc.Fault(v.fault, append([]string{"circuit", c.Name}, v.at...)...)
	}
}
