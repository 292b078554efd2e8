package assign

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"asleft/config/profile"
	"asleft/config/source"
)

// OwnUses are the things that remotes do by gestures of their own, in the order of listings.
var OwnUses = []string{"lock", "unlock", "start", "stop", "panic"}

// Own is a gesture that a remote has for itself: it locks, unlocks, starts, stops or calls for help.
type Own struct {
	Does        string // one of OwnUses
	Remote, For string
	Gesture     string   // id in the remote's profile; empty where the profile tells no gesture for it
	Press       string   // in plain words; empty like Gesture
	Kinds       []string // chord, double, hold: what a guard of the start may ask for
	Channel     int
	Cannot      string // the kind of gesture that its user cannot make; empty when there is none
}

// Own lists for each use and each remote the gestures that the remote's profile tells, and one without
// a gesture where it tells none.
func (plan *Plan) Own() []Own {
	var out []Own
	for _, use := range OwnUses {
		for i := range plan.problem.Remotes {
			out = append(out, plan.problem.Remotes[i].own(use)...)
		}
	}
	return out
}

func (r *Remote) own(use string) []Own {
	var out []Own
	for i := range r.Gestures {
		g := &r.Gestures[i]
		if g.Taken != use {
			continue
		}
		own := Own{Does: use, Remote: r.Name, For: r.For, Gesture: g.ID, Press: g.press(false), Kinds: g.kinds(), Channel: g.Channel}
		if k := slices.IndexFunc(own.Kinds, func(k string) bool { return slices.Contains(r.Without, k) }); k >= 0 {
			own.Cannot = own.Kinds[k]
		}
		out = append(out, own)
	}
	if len(out) == 0 {
		out = append(out, Own{Does: use, Remote: r.Name, For: r.For})
	}
	return out
}

// channels checks what a remote sends against what the controller knows. A gesture that the remote has
// for itself and that the controller takes for something else, or not at all, is a mistake of the job:
// this remote is not for this controller. A free gesture on an unknown channel does nothing; that is said
// in a note, since somebody will press it.
func (r *reader) channels(m *Remote, p *profile.Profile) {
	known := map[int]string{}
	var numbers []int
	for _, c := range r.p.Channels {
		known[c.Number] = c.Does
		numbers = append(numbers, c.Number)
	}
	var dead []string
	for _, g := range m.Gestures {
		does, ok := known[g.Channel]
		lost := g.Channel != 0 && !ok || g.Channel == 0 && !slices.ContainsFunc(g.Teachable, func(n int) bool { _, ok := known[n]; return ok })
		switch {
		case g.Taken != "" && (lost || does != g.Taken):
			r.fault(source.Problem{
				Message:  fmt.Sprintf("%s sends channel %d by %s to %s, and %s %s", p.Label, g.Channel, g.ID, g.Taken, r.device.Label, takesFor(does, ok)),
				Expected: "a remote that fits the controller: " + r.right(g.Taken),
				Found:    p.ID,
			}, "remote", m.Name, "profile")
		case lost:
			dead = append(dead, fmt.Sprintf("%s (%s)", g.press(false), sent(&g)))
		}
	}
	if len(dead) > 0 {
		r.p.Notes = append(r.p.Notes, fmt.Sprintf("the %s remote sends what the controller does not know, so that these do nothing: %s; it knows channels %s",
			m.Name, strings.Join(dead, ", "), inARow(numbers)))
	}
}

func takesFor(does string, known bool) string {
	switch {
	case !known:
		return "has no such channel"
	case does == "":
		return "works an output by that channel"
	}
	return "takes that channel for " + does
}

// right says which channel the controller takes for a use.
func (r *reader) right(use string) string {
	for _, c := range r.p.Channels {
		if c.Does == use {
			return fmt.Sprintf("channel %d is its %s", c.Number, use)
		}
	}
	return "it has no channel to " + use
}

// sent says which channels a gesture sends or may be taught.
func sent(g *Gesture) string {
	if g.Channel != 0 {
		return fmt.Sprintf("channel %d", g.Channel)
	}
	return "channels " + inARow(g.Teachable)
}

// inARow lists numbers of channels.
func inARow(numbers []int) string {
	var out []string
	for _, n := range numbers {
		out = append(out, strconv.Itoa(n))
	}
	return strings.Join(out, ", ")
}
