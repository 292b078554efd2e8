package job

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/source"
)

// refer checks that what refers to a name of this file finds it.
func (j *Job) refer() {
	if len(j.Devices) == 0 {
		j.Doc.Fault(source.Problem{
			Message: "the job names no device",
			Example: "[device.controller]\nprofile = \"demo-alder\"",
		})
	}
	j.referDevices()
	j.referOpenings()
	remotes := names(j.Remotes, func(r Remote) string { return r.Name })
	for _, f := range j.Functions {
		for _, w := range f.On {
			j.refers(w.Remote, "remote", remotes, "function", f.Name, "on", w.Remote)
		}
	}
	functions := names(j.Functions, func(f Function) string { return f.Name })
	for _, o := range j.Outputs {
		if o.Function != "" {
			j.refers(o.Function, "function", functions, "output", o.Name, "function")
		}
	}
	j.oneFunctionAGesture()
	j.oneThingALine()
	j.referConductors()
}

// oneFunctionAGesture checks that no gesture of a remote is wished for two functions: one press would do both.
func (j *Job) oneFunctionAGesture() {
	type gesture struct{ remote, id string }
	first := map[gesture]string{}
	for _, f := range j.Functions {
		for _, w := range f.On {
			before, again := first[gesture{w.Remote, w.Gesture}]
			switch {
			case w.Gesture == "":
			case !again:
				first[gesture{w.Remote, w.Gesture}] = f.Name
			default:
				j.Doc.Fault(source.Problem{
					Message:  fmt.Sprintf("the gesture %s of the %s remote is wished for %s already", w.Gesture, w.Remote, before),
					Expected: "another gesture, or none: then the plan finds one",
					Found:    w.Gesture,
					Also:     []source.Pos{j.Doc.Where("function", before, "on", w.Remote, "gesture")},
				}, "function", f.Name, "on", w.Remote, "gesture")
			}
		}
	}
}

// oneThingALine checks that functions on one line of the vehicle are one thing: a press for either works both, past the
// guards that only one of them has. Opening and closing by one line are one thing; so are things that do not move.
func (j *Job) oneThingALine() {
	first := map[string]*Function{}
	for i := range j.Functions {
		f := &j.Functions[i]
		before, again := first[f.Line]
		switch {
		case f.Line == "":
		case !again:
			first[f.Line] = f
		case !sameThing(before, f):
			j.Doc.Fault(source.Problem{
				Message:  fmt.Sprintf("the line %s works %s already: a press for one would work both, without the guards of the other", f.Line, before.Name),
				Expected: "another line, or the same `does`, `when` and `moves` for both",
				Found:    f.Line,
				Also:     []source.Pos{j.Doc.Where("function", before.Name, "line")},
			}, "function", f.Name, "line")
		}
	}
}

// sameThing reports whether two functions may be worked by one line: they ask for the same guards, and they do the
// same or neither moves anything.
func sameThing(a, b *Function) bool {
	guards := func(f *Function) []string { return slices.Sorted(slices.Values(f.When)) }
	return slices.Equal(guards(a), guards(b)) && a.Moves == b.Moves && (a.Moves == "no" || a.Does == b.Does)
}

// referDevices checks links between devices, and the devices of wishes.
func (j *Job) referDevices() {
	devices := names(j.Devices, func(d Device) string { return d.Name })
	for _, d := range j.Devices {
		if d.LinkTo != "" && d.LinkTo != d.Name {
			j.refers(d.LinkTo, "device", devices, "device", d.Name, "link-to")
		}
	}
	for _, w := range j.Wishes {
		j.refers(w.Device, "device", devices, "wish", w.Name, "device")
	}
}

// referOpenings checks that each opening is seen by a signal that is taken.
func (j *Job) referOpenings() {
	taken := map[string]string{}
	for _, s := range j.Signals {
		taken[s.Name] = s.Source
	}
	signals := names(j.Signals, func(s Signal) string { return s.Name })
	for _, o := range j.Openings {
		if o.Seen == "" {
			continue
		}
		j.refers(o.Seen, "signal", signals, "opening", o.Name, "seen-by")
		if taken[o.Seen] == "none" {
			j.Doc.Fault(source.Problem{
				Message:  fmt.Sprintf("%s is seen by a signal that is not taken", o.Name),
				Expected: "a signal with source wire or link, or no such line",
				Found:    o.Seen,
				Also:     []source.Pos{j.Doc.Where("signal", o.Seen, "source")},
			}, "opening", o.Name, "seen-by")
		}
	}
}

// referConductors checks that a feed is joined to a conductor that was
// measured.
func (j *Job) referConductors() {
	circuits := names(j.Circuits, func(c Circuit) string { return c.Name })
	for _, f := range j.Feeds {
		if f.Circuit != "" {
			j.refers(f.Circuit, "measured conductor", circuits, "feed", f.Name, "conductor")
		}
	}
	j.oneRoleAFeed()
	j.relayedFeeds()
	j.switchedParts()
}

// relayedFeeds checks that a relay stands only where its coil tells when the conductor is live: a further
// conductor that is held or dropped hangs on the feed of its own role. Its fuse is that of the vehicle's circuit.
func (j *Job) relayedFeeds() {
	circuits := map[string]Circuit{}
	for _, c := range j.Circuits {
		circuits[c.Name] = c
	}
	for _, f := range j.Feeds {
		c, measured := circuits[f.Circuit]
		if f.Through != "relay" || !measured {
			continue
		}
		switch {
		case c.Role != "held" && c.Role != "dropped":
			j.Doc.Fault(source.Problem{
				Message:  fmt.Sprintf("%s is fed through a relay, and its role is %s", c.Name, c.Role),
				Expected: "a conductor that is held or dropped; a starter or key-in conductor has a feed of its own",
				Found:    c.Role,
				Also:     []source.Pos{j.Doc.Where("circuit", c.Name, "volts")},
			}, "feed", f.Name, "through")
		case f.Fuse == 0 && c.Fuse == 0:
			j.Doc.Fault(source.Problem{
				Message:  "the fuse in the supply of the relay is not known: it has to be that of the vehicle's own circuit",
				Expected: "the fuse of " + c.Name + ", read off the vehicle's fuse box",
				Example:  "fuse-amperes = 20",
			}, "feed", f.Name)
		case c.Fuse > 0 && f.Fuse > c.Fuse:
			j.Doc.Fault(source.Problem{
				Message:  "the fuse in the supply of the relay is larger than that of the vehicle's own circuit",
				Expected: fmt.Sprintf("at most %g, as %s has", c.Fuse, c.Name),
				Found:    fmt.Sprint(f.Fuse),
				Also:     []source.Pos{j.Doc.Where("circuit", c.Name, "fuse-amperes")},
			}, "feed", f.Name, "fuse-amperes")
		}
	}
}

// switchedParts checks that what a state output switches is what the head of the file says of the release, and
// that each thing is switched once.
func (j *Job) switchedParts() {
	release := map[string]string{"fob-supply": "fob-box", "key-loop": "loop-key"}
	first := map[string]string{}
	for _, o := range j.Outputs {
		if o.Switches == "" {
			continue
		}
		if need := release[o.Switches]; need != "" && j.Release != need {
			j.Doc.Fault(source.Problem{
				Message:  fmt.Sprintf("a relay switches the %s, and the immobiliser is not released by it", strings.ReplaceAll(o.Switches, "-", " ")),
				Expected: fmt.Sprintf("release = %q", need),
				Found:    fmt.Sprintf("release = %q", j.Release),
				Also:     []source.Pos{j.Doc.Where("release")},
			}, "output", o.Name, "switches")
		}
		if before, again := first[o.Switches]; again {
			j.Doc.Fault(source.Problem{
				Message:  fmt.Sprintf("two outputs switch the %s: either could leave it live", strings.ReplaceAll(o.Switches, "-", " ")),
				Expected: "one output for it",
				Found:    o.Switches,
				Also:     []source.Pos{j.Doc.Where("output", before, "switches")},
			}, "output", o.Name, "switches")
		}
		first[o.Switches] = o.Name
	}
}

// oneRoleAFeed checks that the conductors of a feed have one role: an output gives all of them the same,
// so that what is right for the one keeps the other on while it should be off.
func (j *Job) oneRoleAFeed() {
	roles := map[string]string{}
	for _, c := range j.Circuits {
		roles[c.Name] = c.Role
	}
	first := map[string]FeedJoin{}
	for _, f := range j.Feeds {
		role, measured := roles[f.Circuit]
		before, again := first[f.Feed]
		switch {
		case !measured:
		case !again:
			first[f.Feed] = f
		case roles[before.Circuit] != role:
			j.Doc.Fault(source.Problem{
				Message:  fmt.Sprintf("the feed %s is joined to two conductors that differ", f.Feed),
				Expected: fmt.Sprintf("%s, as %s is, or a relay contact of its own", roles[before.Circuit], before.Circuit),
				Found:    fmt.Sprintf("%s, which is %s", f.Circuit, role),
				Also:     []source.Pos{j.Doc.Where("feed", before.Name, "conductor")},
			}, "feed", f.Name, "conductor")
		}
	}
}

// refers notes a name that is not among the known ones.
func (j *Job) refers(name, what string, known []string, path ...string) {
	for _, k := range known {
		if k == name {
			return
		}
	}
	p := source.Problem{
		Message: fmt.Sprintf("there is no %s of this name", what),
		Found:   name,
		Nearest: source.Nearest(name, known),
	}
	if len(known) > 0 {
		p.Expected = "one of " + strings.Join(known, ", ")
	}
	j.Doc.Fault(p, path...)
}

func names[T any](list []T, of func(T) string) []string {
	out := make([]string, len(list))
	for i, e := range list {
		out[i] = of(e)
	}
	return out
}
