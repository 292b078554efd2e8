package base

import (
	"slices"

	"asleft/config/job"
	"asleft/config/profile"
)

// signals reads how each signal is taken.
func (g *gatherer) signals() {
	declared := map[string]job.Signal{}
	for _, s := range g.facts.Job.Signals {
		declared[s.Name] = s
	}
	for _, name := range g.facts.Base.Kinds["signal"] {
		fact := func(of string) string { return "signal." + name + "." + of }
		g.yes(fact("carried"), g.carried(name), "signal", name)
		g.yes(fact("input"), g.input(name, "", "") != nil, "signal", name)
		s, ok := declared[name]
		if !ok {
			continue
		}
		g.say(fact("source"), s.Source, "signal", name, "source")
		g.say(fact("active"), s.Active, "signal", name, "active")
		g.say(fact("fails-safe"), s.FailsSafe, "signal", name, "fails-safe")
		g.say(fact("proven"), s.Proven, "signal", name, "proven")
		g.say(fact("sleeps"), s.Sleeps, "signal", name, "sleeps")
		g.yes(fact("delayed"), s.Settle > 0 || s.Taken == "dome", "signal", name, "settle-seconds")
		if s.Source == "wire" {
			g.yes(fact("level-fits"), g.input(name, s.Input, s.Active) != nil, "signal", name, "active")
		}
		g.taken(s)
	}
	door, speed := declared["door"], declared["engine-speed"]
	g.number("door.settle", door.Settle, "signal", "door", "settle-seconds")
	g.number("engine-speed.pulses", speed.Pulses, "signal", "engine-speed", "pulses")
	g.yes("signal.engine-speed.pulses-known", speed.Pulses > 0, "signal", "engine-speed", "pulses")
	g.say("signal.park.covers", declared["park"].Covers, "signal", "park", "covers")
	g.say("signal.engine-speed.kind", g.speedKind(speed), "signal", "engine-speed", "kind")
	if m, l := g.module(); m != nil && l != nil {
		g.say("signal.engine-speed.prompt", promptSpeed(l.RefreshMillis), "device", m.Name, "link")
	}
}

// taken notes where a signal is taken, for the signals where it matters.
func (g *gatherer) taken(s job.Signal) {
	fact := "signal." + s.Name + ".taken"
	if _, _, ok := g.facts.Base.Fact(fact); !ok || s.Source == "none" {
		return
	}
	if s.Source == "link" && s.Taken == "" {
		g.say(fact, "link", "signal", s.Name, "source")
		return
	}
	g.say(fact, s.Taken, "signal", s.Name, "taken-at")
}

// speedKind is the kind of engine-speed signal; by link it follows from what the link carries.
func (g *gatherer) speedKind(s job.Signal) string {
	if s.Kind != "" || s.Source != "link" {
		return s.Kind
	}
	switch {
	case g.carried("engine-speed"):
		return "speed"
	case g.carried("engine-running"):
		return "running"
	}
	return ""
}

// input finds a terminal for a signal: by name when the job names one, and able to read the level when given.
func (g *gatherer) input(signal, name, level string) *profile.Input {
	for _, d := range g.facts.Devices {
		for i, in := range d.Profile.Inputs {
			fits := level == "" || slices.Contains(in.Actives, level) || slices.Contains(in.Actives, "pulses")
			if in.Signal == signal && (name == "" || in.Name == name) && fits && d.Profile.Kind == profile.Controller {
				return &d.Profile.Inputs[i]
			}
		}
	}
	return nil
}

// openings reads the ways into the vehicle.
func (g *gatherer) openings() {
	sources, sleeps := map[string]string{}, map[string]string{}
	for _, s := range g.facts.Job.Signals {
		sources[s.Name], sleeps[s.Name] = s.Source, s.Sleeps
	}
	for _, o := range g.facts.Job.Openings {
		g.facts.Instances["opening"] = append(g.facts.Instances["opening"], o.Name)
		fact := func(of string) string { return "opening." + o.Name + "." + of }
		g.say(fact("cabin"), o.Cabin, "opening", o.Name, "to-cabin")
		g.yes(fact("seen"), o.Seen != "", "opening", o.Name, "seen-by")
		exit := g.facts.Controller().Profile.Exit
		g.yes(fact("in-exit-proof"), exit != nil && slices.Contains(exit.Inputs, o.Seen), "opening", o.Name, "seen-by")
		if o.Seen == "" {
			continue
		}
		g.say(fact("source"), sources[o.Seen], "opening", o.Name, "seen-by")
		if o.Taken == "" && sources[o.Seen] == "link" {
			o.Taken = "link"
		}
		g.say(fact("taken"), o.Taken, "opening", o.Name, "taken-at")
		if o.Sleeps == "" {
			o.Sleeps = sleeps[o.Seen]
		}
		g.say(fact("sleeps"), o.Sleeps, "opening", o.Name, "sleeps")
	}
}

// conductors reads the measured circuits and the feeds joined to them.
func (g *gatherer) conductors() {
	j := g.facts.Job
	circuits := map[string]job.Circuit{}
	joins := map[string]int{}
	for _, f := range j.Feeds {
		joins[f.Circuit]++
	}
	for _, c := range j.Circuits {
		circuits[c.Name] = c
		g.facts.Instances["circuit"] = append(g.facts.Instances["circuit"], c.Name)
		g.say("circuit."+c.Name+".role", c.Role, "circuit", c.Name, "volts")
		g.say("circuit."+c.Name+".feeds", oneOrSeveral(joins[c.Name]), "circuit", c.Name)
		g.yes("circuit."+c.Name+".cut", c.Cut, "circuit", c.Name, "cut")
		g.yes("circuit."+c.Name+".logic", c.Logic, "circuit", c.Name, "logic-current")
	}
	for _, d := range g.facts.Devices {
		for _, f := range d.Profile.Feeds {
			g.feed(f, circuits)
		}
	}
}

// coilAmps is the most that the coil of a relay draws, in amperes: 15 V / (0.69 R), cold and at its lowest
// tolerance, of a coil of 75 ohm. A feed through relays alone carries coils alone; beside a circuit of its own the
// fuse of that circuit leaves more than a coil takes, and the contact fits whatever side the conductor is switched
// to (common practice, no source).
const coilAmps = 0.3

// feed reads one feed and what it is joined to.
func (g *gatherer) feed(f profile.Feed, circuits map[string]job.Circuit) {
	fact := func(of string) string { return "feed." + f.Name + "." + of }
	role, path := "none", []string{"feed", f.Name}
	var sides []string
	var needs []float64
	count, direct, live, fits := 0, 0, 0, true
	for _, join := range g.facts.Job.Feeds {
		if join.Feed != f.Name {
			continue
		}
		c := circuits[join.Circuit]
		count++
		role, path = c.Role, []string{"feed", join.Name, "conductor"} // the reader lets no feed have two roles
		sides = append(sides, join.Side)
		if join.Through == "relay" {
			continue
		}
		direct++
		if c.On("acc") {
			live++ // conductors of one role differ in ACC alone
		}
		need := max(c.Fuse, c.Amps)
		if c.Logic {
			need = 0.1
		}
		needs = append(needs, need)
		fits = fits && c.LowSide == (f.Level == "ground")
	}
	fixed := "none"
	if len(f.Roles) == 1 {
		fixed = f.Roles[0]
	}
	g.yes(fact("joined"), count > 0, path...)
	g.yes(fact("selectable"), len(f.Roles) > 1)
	g.say(fact("fixed-role"), fixed)
	g.say(fact("circuit-role"), role, path...)
	g.say(fact("conductors"), oneOrSeveral(min(count, max(direct, 1))), path...)
	g.yes(fact("alike"), live == 0 || live == direct, path...)
	g.say(fact("side"), worstSide(sides), path...)
	g.yes(fact("level-fits"), fits, path...)
	if direct == 0 {
		needs = append(needs, coilAmps*float64(count))
	}
	if count > 0 {
		g.say(fact("strong-enough"), strongEnough(f.Amps, needs), path...)
	}
}

// worstSide is the side that counts where several conductors are joined: the one that fewest of the
// vehicle's own guards stand before; one that nobody looked at ("") counts before all others. The order of
// the joins in the file tells nothing.
func worstSide(sides []string) string {
	for _, worst := range []string{"", "key-side", "downstream-of-interlock", "starter-side", "upstream-of-interlock"} {
		if slices.Contains(sides, worst) {
			return worst
		}
	}
	return ""
}

// starting reads by which ways the engine can be cranked.
func (g *gatherer) starting() {
	j := g.facts.Job
	g.yes("start.wanted", j.Start, "start")
	g.say("start.path", j.StartPath, "start-path")
	g.say("immobiliser.release", j.Release, "release")
	g.yes("start.by-link", g.commands("start"), "start-path")
	g.yes("start.by-button", j.StartPath == "button-line", "start-path")
	roles, cut := map[string]string{}, map[string]bool{}
	for _, c := range j.Circuits {
		roles[c.Name], cut[c.Name] = c.Role, c.Cut
	}
	fixed := map[string]bool{}
	for _, d := range g.facts.Devices {
		for _, f := range d.Profile.Feeds {
			fixed[f.Name] = len(f.Roles) == 1 && f.Roles[0] == "starter"
		}
	}
	wired, fed, whole := false, false, true
	var sides, path []string
	for _, f := range j.Feeds {
		fed = fed || roles[f.Circuit] == "held"
		if roles[f.Circuit] != "starter" && !fixed[f.Feed] {
			continue
		}
		wired, whole = true, whole && cut[f.Circuit]
		sides, path = append(sides, f.Side), []string{"feed", f.Name, "side"}
	}
	if wired {
		g.say("starter.side", worstSide(sides), path...)
		g.yes("starter.cut", whole, path...)
	}
	for _, c := range j.Circuits {
		if !wired && c.Cut && c.Role == "starter" { // cut for an interrupt alone: an alarm, or a start by link
			g.yes("starter.cut", true, "circuit", c.Name, "cut")
		}
	}
	g.yes("start.by-wire", wired, "feed")
	g.yes("start.fed", fed, "feed")
}
