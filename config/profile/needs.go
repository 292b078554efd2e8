package profile

import (
	"slices"
	"strings"

	"asleft/config/setting"
)

// lacks names what a value of a setting needs and the device does not have; ""
// when nothing is missing. A profile that offers such a value was copied wrong.
func (p *Profile) lacks(name, value string) string {
	for _, n := range needs {
		if n.setting == name && n.value == value && !n.has(p) {
			return n.what
		}
	}
	if value != string(setting.None) {
		switch {
		case name == "immobiliser.release" && !slices.Contains(p.Releases, value):
			return "the release " + value
		case name == "factory-alarm.disarm-on" && !p.HasUse("factory-disarm") && !p.Commands("disarm"):
			return "an output for factory-disarm or a link that carries disarm"
		case name == "factory-alarm.rearm-on" && !p.HasUse("factory-rearm") && !p.Commands("rearm"):
			return "an output for factory-rearm or a link that carries rearm"
		}
	}
	signal, field, _ := strings.Cut(name, ".")
	return p.lacksSignal(signal, field, value)
}

// need is one value that takes something of the device.
type need struct {
	setting, value, what string
	has                  func(*Profile) bool
}

var needs = []need{
	{"start.path", "feeds", "a feed with the role starter", func(p *Profile) bool {
		return slices.ContainsFunc(p.Feeds, func(f Feed) bool { return slices.Contains(f.Roles, "starter") })
	}},
	{"start.path", "link", "a link that carries start", commands("start")},
	{"engine-speed.source", "wire", "an input for engine-speed", reads("engine-speed")},
	{"engine-speed.source", "link-speed", "a link that carries engine-speed", hears("engine-speed")},
	{"engine-speed.source", "link-running", "a link that carries engine-running", hears("engine-running")},
	{"run.proof", "ready", "a link that carries ready", hears("ready")},
	{"run.proof", "running-flag", "a link that carries engine-running", hears("engine-running")},
	{"preheat.source", "wait-lamp", "an input for wait-lamp", reads("wait-lamp")},
	{"preheat.source", "link", "a link that carries wait-lamp", hears("wait-lamp")},
	{"takeover.order", "authenticated-then-brake", "a link that carries takeover", hears("takeover")},
	{"gearbox.guard", "exit-proof", "an [exit-proof]", func(p *Profile) bool { return p.Exit != nil }},
	{"starter-interrupt", "on", "an output for starter-interrupt", uses("starter-interrupt")},
	{"courtesy-lamp.output", "on", "an output for courtesy-lamp", uses("courtesy-lamp")},
	{"lock.with", "speed-by-link", "a link that carries vehicle-speed", hears("vehicle-speed")},
	{"unlock.with", "speed-by-link", "a link that carries vehicle-speed", hears("vehicle-speed")},
	{"link.form", "serial", "a [link.serial]", form("serial")},
	{"link.form", "discrete", "a [link.discrete]", form("discrete")},
	{"confirm.lock.sound", "siren", "an output for siren", uses("siren")},
	{"confirm.lock.sound", "horn", "an output for horn", uses("horn")},
	{"confirm.unlock.sound", "siren", "an output for siren", uses("siren")},
	{"confirm.unlock.sound", "horn", "an output for horn", uses("horn")},
	{"confirm.start.sound", "siren", "an output for siren", uses("siren")},
	{"confirm.start.sound", "horn", "an output for horn", uses("horn")},
	{"confirm.lamps", "on", "an output for lamps", uses("lamps")},
}

func reads(signal string) func(*Profile) bool {
	return func(p *Profile) bool { return p.Reads(signal) }
}

func hears(signal string) func(*Profile) bool {
	return func(p *Profile) bool { return p.Hears(signal) }
}

func commands(command string) func(*Profile) bool {
	return func(p *Profile) bool { return p.Commands(command) }
}

func uses(use string) func(*Profile) bool { return func(p *Profile) bool { return p.HasUse(use) } }

func form(name string) func(*Profile) bool {
	return func(p *Profile) bool { _, ok := p.Link(name); return ok }
}

// lacksSignal looks at brake.source, hood.active and their like.
func (p *Profile) lacksSignal(signal, field, value string) string {
	switch {
	case !slices.Contains(Signals, signal):
		return ""
	case field == "source" && value == "wire" && !p.Reads(signal):
		return "an input for " + signal
	case field == "source" && value == "link" && !p.Hears(signal):
		return "a link that carries " + signal
	case field == "active" && p.Reads(signal) && !p.takes(signal, value):
		return "an input for " + signal + " that is active at " + value
	}
	return ""
}

// takes reports whether some input for the signal can be active at the level.
func (p *Profile) takes(signal, level string) bool {
	return slices.ContainsFunc(p.Inputs, func(i Input) bool { return i.Signal == signal && slices.Contains(i.Actives, level) })
}
