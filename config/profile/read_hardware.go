package profile

import (
	"fmt"
	"math"
	"strconv"

	"asleft/config/source"
)

func readFeed(t *source.Table) Feed {
	f := Feed{
		Name:  checkedName(t),
		Amps:  t.Number("amps", 0.1, 200, source.Required("amps = 30")),
		Roles: t.Words("roles", feedRoles, source.Required(`roles = ["held", "dropped", "off"]`)),
		Level: t.Word("level", sides, source.Example(`level = "battery"`)),
	}
	if f.Level == "" {
		f.Level = "battery"
	}
	if t.Has("roles") && len(f.Roles) == 0 {
		t.Fault("roles", source.Problem{Message: "a feed needs at least one role", Example: `roles = ["held"]`})
	}
	t.Close()
	return f
}

func readInputTerminal(t *source.Table) Input {
	in := Input{
		Name:    checkedName(t),
		Signal:  t.Word("signal", Signals, source.Required(`signal = "hood"`)),
		Actives: t.Words("active", inputLevels, source.Required(`active = ["ground"]`)),
	}
	if t.Has("active") && len(in.Actives) == 0 {
		t.Fault("active", source.Problem{Message: "an input needs at least one active level", Example: `active = ["ground"]`})
	}
	t.Close()
	return in
}

func readOutput(t *source.Table) Output {
	o := Output{
		Name:       checkedName(t),
		Use:        t.Word("use", outputUses, source.Required(`use = "aux"`)),
		Level:      t.Word("level", sides, source.Required(`level = "ground"`)),
		Milliamps:  t.Whole("milliamperes", 1, 60000, source.Required("milliamperes = 250")),
		Contact:    t.Flag("contact"),
		OpenDrain:  t.Flag("open-drain"),
		Behaviours: t.Words("behaviours", behaviours, source.Example(`behaviours = ["pulse", "latched"]`)),
		Seconds:    t.Numbers("seconds", 0.1, 1800, source.Example("seconds = [0.5, 0.8]")),
		States:     t.Words("states", outputStates, source.Example(`states = ["running", "before-start", "none"]`)),
	}
	for i, n := range t.Numbers("counts", 1, 2, source.Example("counts = [1, 2]")) {
		if n != math.Trunc(n) {
			t.Fault("counts", source.Problem{Message: "a count is a whole number", Expected: "1 or 2", Found: fmt.Sprint(n)})
		}
		o.Counts = append(o.Counts, int(n))
		if i > 0 && o.Counts[i-1] >= o.Counts[i] {
			t.Fault("counts", source.Problem{Message: "counts go upward, each once", Example: "counts = [1, 2]"})
		}
	}
	if o.Use == "aux" && len(o.Behaviours) == 0 {
		t.Fault("behaviours", source.Problem{Message: "a free output says how it can work", Example: `behaviours = ["pulse"]`})
	}
	if o.Use == "state" && len(o.States) == 0 {
		t.Fault("states", source.Problem{Message: "an output for a state says which", Example: `states = ["running", "none"]`})
	}
	if o.Use != "aux" && o.Use != "" {
		o.refuseAux(t)
	}
	t.Close()
	return o
}

// refuseAux: behaviours, seconds and counts belong to free outputs alone.
func (o Output) refuseAux(t *source.Table) {
	for _, key := range []string{"behaviours", "seconds", "counts"} {
		if t.Has(key) {
			t.Fault(key, source.Problem{Message: fmt.Sprintf("an output for %s has no `%s`", o.Use, key), Expected: `use = "aux", or no such line`})
		}
	}
	if o.Use != "state" && t.Has("states") {
		t.Fault("states", source.Problem{Message: fmt.Sprintf("an output for %s has no `states`", o.Use), Expected: `use = "state", or no such line`})
	}
}

func readChannel(t *source.Table) Channel {
	c := Channel{
		Fires: t.Texts("fires", source.Example(`fires = ["1"]`)),
		Does:  t.Word("does", actions, source.Example(`does = "lock"`)),
	}
	n, err := strconv.Atoi(t.Name())
	if err != nil || n < 1 || n > 99 || strconv.Itoa(n) != t.Name() {
		t.Fault("", source.Problem{Message: "a channel is called by its number", Expected: "1 to 99",
			Found: fmt.Sprintf("%q", t.Name()), Example: "[channel.8]"})
	}
	c.Number = n
	if (len(c.Fires) > 0) == t.Has("does") {
		t.Fault("", source.Problem{Message: "a channel either fires outputs or does a fixed action",
			Expected: "one of `fires` and `does`", Example: `fires = ["1"]`})
	}
	t.Close()
	return c
}

func readLink(t *source.Table) Link {
	l := Link{
		Form:          t.Name(),
		ToController:  t.Words("to-controller", Signals, source.Required(`to-controller = ["engine-speed", "brake"]`)),
		ToVehicle:     t.Words("to-vehicle", Commands, source.Required(`to-vehicle = ["lock", "unlock"]`)),
		RefreshMillis: t.Whole("refresh-milliseconds", 1, 10000, source.Example("refresh-milliseconds = 120")),
		Sleeps:        t.Flag("sleeps"),
	}
	if l.Form != "serial" && l.Form != "discrete" {
		t.Fault("", source.Problem{Message: "no such form of link", Expected: "serial or discrete",
			Found: fmt.Sprintf("%q", l.Form), Nearest: source.Nearest(l.Form, linkForms), Example: "[link.serial]"})
	}
	t.Close()
	return l
}
