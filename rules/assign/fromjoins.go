package assign

import (
	"slices"
	"strings"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/source"
)

// joins reads what outputs are joined to already: auxiliary outputs belong to a function or are
// busy, outputs of fixed use become ties.
func (r *reader) joins() {
	if r.device == nil {
		return
	}
	for i := range r.p.Functions {
		if f := &r.p.Functions[i]; f.Output != "" {
			r.find(f.Output, "function", f.Name, "output")
		}
	}
	for _, join := range r.job.Outputs {
		o := r.find(join.Output, "output", join.Name)
		switch {
		case o == nil:
		case o.Use == "aux":
			r.auxiliary(&join)
		case join.Switches != "":
			r.switched(o, &join)
		case o.Use != "state":
			r.tie(o, &join)
		}
	}
	for i := range r.job.Feeds {
		if f := &r.job.Feeds[i]; f.Through == "relay" {
			r.relayed(f)
		}
	}
}

// switched is what a relay on a state output switches.
func (r *reader) switched(o *profile.Output, join *job.OutputJoin) {
	if o.Use != "state" {
		var states []string
		for _, s := range r.device.Outputs {
			if s.Use == "state" {
				states = append(states, s.Name)
			}
		}
		r.fault(source.Problem{Message: "output " + o.Name + " of " + r.device.Label + " reports no state, so it cannot switch the " + strings.ReplaceAll(join.Switches, "-", " "),
			Found: o.Name, Expected: "a state output: " + strings.Join(states, ", ")}, "output", join.Name, "switches")
		return
	}
	active := join.Switches
	brake := slices.IndexFunc(r.job.Signals, func(s job.Signal) bool { return s.Name == "brake" })
	if active == "simulated-brake" && brake >= 0 && r.job.Signals[brake].Active == "ground" {
		active = "simulated-brake-to-ground"
	}
	r.p.Ties = append(r.p.Ties, Tie{Use: join.Switches, Output: o.Name, Level: o.Level, Milliamps: o.Milliamps, Contact: o.Contact,
		Lines: []string{join.Line}, Active: active})
}

// relayed is a further conductor on a relay whose coil hangs on a feed: the feed's role tells when it is live. The
// contact carries what the fuse of the vehicle's own circuit lets through.
func (r *reader) relayed(join *job.FeedJoin) {
	f := slices.IndexFunc(r.device.Feeds, func(f profile.Feed) bool { return f.Name == join.Feed })
	c := slices.IndexFunc(r.job.Circuits, func(c job.Circuit) bool { return c.Name == join.Circuit })
	if f < 0 || c < 0 {
		return // told by those who check feeds and conductors
	}
	feed, circuit := &r.device.Feeds[f], &r.job.Circuits[c]
	if feed.Level == "ground" {
		r.fault(source.Problem{Message: "the feed " + feed.Name + " of " + r.device.Label + " gives ground, and the coil of the relay wants battery voltage from it",
			Found: feed.Name, Expected: "a feed that gives battery voltage"}, "feed", join.Name, "through")
		return
	}
	active, fuse := circuit.Role, join.Fuse
	if circuit.LowSide {
		active += "-to-ground"
	}
	if fuse == 0 {
		fuse = circuit.Fuse
	}
	r.p.Ties = append(r.p.Ties, Tie{Use: circuit.Role, Output: feed.Name, Level: "battery", Milliamps: int(1000 * feed.Amps), Feed: true,
		Lines: []string{join.Circuit}, Active: active, Amps: circuit.Amps, Fuse: fuse})
}

func (r *reader) find(name string, path ...string) *profile.Output {
	var names []string
	for i := range r.device.Outputs {
		if r.device.Outputs[i].Name == name {
			return &r.device.Outputs[i]
		}
		names = append(names, r.device.Outputs[i].Name)
	}
	r.fault(source.Problem{Message: r.device.Label + " has no such output", Found: name,
		Expected: "one of " + strings.Join(names, ", "), Nearest: source.Nearest(name, names)}, path...)
	return nil
}

func (r *reader) auxiliary(join *job.OutputJoin) {
	if join.Function == "" {
		r.p.Outputs[r.p.output(join.Output)].Busy = join.Line
		return
	}
	for i := range r.p.Functions {
		f := &r.p.Functions[i]
		if f.Name != join.Function {
			continue
		}
		f.Output = join.Output
		if !slices.Contains(f.Lines, join.Line) {
			f.Lines = append(f.Lines, join.Line)
		}
	}
}

// tie adds a line to an output of fixed use. What its level has to be follows from the circuit as
// identified; where that is not told here, no part is planned.
func (r *reader) tie(o *profile.Output, join *job.OutputJoin) {
	active, amps := r.circuit(o.Use)
	if active == "" {
		return
	}
	if c := slices.IndexFunc(r.job.Circuits, func(c job.Circuit) bool { return c.Name == join.Line }); c >= 0 && amps == 0 {
		amps = max(r.job.Circuits[c].Amps, 0)
	}
	for i := range r.p.Ties {
		if t := &r.p.Ties[i]; t.Output == o.Name {
			t.Lines = append(t.Lines, join.Line)
			return
		}
	}
	r.p.Ties = append(r.p.Ties, Tie{Use: o.Use, Output: o.Name, Level: o.Level, Milliamps: o.Milliamps, OpenDrain: o.OpenDrain,
		Contact: o.Contact, Lines: []string{join.Line}, Active: active, Amps: amps})
}

// circuit gives the level that works the lines of a fixed use, and their current.
func (r *reader) circuit(use string) (active string, amps float64) {
	switch use {
	case "lock", "unlock", "unlock-driver":
		return lockLevel(r.job.Lock.Kind, use), 0
	case "lamps":
		switch r.job.Lamps.Drive {
		case "positive", "positive-two-circuits":
			return "battery", r.job.Lamps.Amps
		case "negative-switch":
			return "ground", r.job.Lamps.Amps
		case "ladder-switch":
			return "ladder", r.job.Lamps.Amps
		}
	case "horn":
		if a := r.job.Horn.Active; a != "none" {
			return a, r.job.Horn.Amps
		}
	case "starter-interrupt":
		return "interrupt", 0
	}
	return "", 0
}

func lockLevel(kind, use string) string {
	switch kind {
	case "negative-pulse", "key-cylinder":
		return "ground"
	case "positive-pulse":
		return "battery"
	case "reversal", "driver-switch-only":
		return "reversal"
	case "ladder":
		return "ladder"
	case "both-polarities":
		if use == "lock" {
			return "battery"
		}
		return "ground"
	}
	return ""
}
