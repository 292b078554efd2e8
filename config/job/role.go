package job

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"asleft/config/source"
)

// The roles of a conductor. What each is like among the terminals of DIN 72552
// is a likeness only: 30 battery, 15 held, 75 dropped, 50 starter.
const (
	RoleBattery  = "battery"  // on always: never fed
	RoleKeyIn    = "key-in"   // on while a key is in
	RoleHeld     = "held"     // on in RUN and CRANK: fed by ignition
	RoleDropped  = "dropped"  // on in RUN, off in CRANK: fed by accessory
	RoleStarter  = "starter"  // on in CRANK alone
	RoleLadder   = "ladder"   // a level for each position: link or measured resistors
	RoleLogic    = "logic"    // about 5 V: never fed
	RoleData     = "data"     // 1.5 to 3.5 V awake: never fed
	RoleRetained = "retained" // on for minutes after the key is out, not yet read asleep
	RoleDead     = "dead"     // off always: dead, or interlocked when it was read
)

// level is what a reading is.
type level int

const (
	unread level = iota
	off
	on
	partial
)

// levelOf judges one reading against the battery at that moment: on is at
// least 0.8 of it and within 1.5 V of it; off is at most 0.5 V under a 5 W
// lamp, 1.0 V without; anything else is partial. On a line that is switched to
// ground, on is at most 0.5 V and off at least 0.8 of the battery (common
// practice, no source). It counts in millivolts, so that no reading falls off
// a limit by rounding.
func levelOf(r Reading, light, lowSide bool) level {
	u, b := millivolts(r.Volts), millivolts(r.Battery)
	most := 1000
	if light || lowSide {
		most = 500
	}
	high := 10*u >= 8*b
	switch {
	case lowSide && high, !lowSide && u <= most:
		return off
	case lowSide && u <= most, !lowSide && high && b-u <= 1500:
		return on
	}
	return partial
}

// On reports whether the conductor was read as on in a position of the key ("acc") or power state of a button car.
func (c *Circuit) On(position string) bool {
	u, read := c.Volts[position]
	return read && levelOf(u, c.Light, c.LowSide) == on
}

func millivolts(v float64) int { return int(math.Round(v * 1000)) }

// judgement is what the readings of a conductor say: a role with its reason,
// or a fault at a reading. A fault that warns leaves the role standing.
type judgement struct {
	role, because string
	retained      bool
	fault         source.Problem
	warns         bool
	at            []string // path of the reading below the circuit
}

// patterns are the roles by their levels in OUT, OFF, ACC, RUN and CRANK: 1
// on, 0 off (common practice, no source).
var patterns = []struct{ levels, role string }{
	{"11111", RoleBattery},
	{"01111", RoleKeyIn},
	{"00011", RoleHeld},
	{"00111", RoleHeld},
	{"00110", RoleDropped},
	{"00010", RoleDropped},
	{"00001", RoleStarter},
	{"00000", RoleDead},
}

// verdict judges a conductor, in the order in which one finding would hide the
// next: is the battery's own voltage possible, does the line only stay on for a
// while, is it a ladder, logic, data, and at last which pattern it has.
func verdict(c Circuit, v Vehicle) judgement {
	if f, bad := implausible(c, v); bad {
		return f
	}
	r := reading{c: c, v: v, levels: map[string]level{}}
	for p, u := range c.Volts {
		r.levels[p] = levelOf(u, c.Light, c.LowSide)
	}
	if done, ok := r.retained(); ok {
		return done
	}
	for _, look := range []func() (judgement, bool){r.ladder, r.logic, r.data} {
		if done, ok := look(); ok {
			return done
		}
	}
	return r.pattern()
}

// reading is a conductor under judgement.
type reading struct {
	c      Circuit
	v      Vehicle
	levels map[string]level
	kept   bool // retained, and judged as it is asleep
}

// retained judges a line that was still on with the key out and off when the
// network slept: from there on its sleeping pattern counts.
func (r *reading) retained() (judgement, bool) {
	p := r.v.positions()
	stillOn := r.levels[p[0]] == on
	asleep := r.c.Asleep.Battery > 0
	if !asleep {
		if !r.c.Retained || !stillOn && r.levels[p[1]] != on {
			return judgement{}, false
		}
		return judgement{
			role:    RoleRetained,
			because: "it stays on for minutes after the key is out",
			warns:   true,
			at:      []string{"volts", p[0]},
			fault: source.Problem{
				Message:  "the line keeps its power for minutes: its role is still open",
				Expected: "the same line read again when the network sleeps, 30 to 45 min after locking",
				Example:  "asleep = { volts = 0.0, battery = 12.6 }",
			},
		}, true
	}
	if levelOf(r.c.Asleep, r.c.Light, r.c.LowSide) == off && (stillOn || r.c.Retained) {
		r.kept = true
		for _, name := range p[:2] {
			if r.levels[name] == on {
				r.levels[name] = off
			}
		}
	}
	return judgement{}, false
}

// ladder judges a line with a level of its own for each position.
func (r *reading) ladder() (judgement, bool) {
	var steps []float64
	for _, p := range r.v.positions() {
		u := r.c.Volts[p].Volts
		if r.levels[p] == partial && !slices.ContainsFunc(steps, func(s float64) bool { return near(s, u) }) {
			steps = append(steps, u)
		}
	}
	if len(steps) < 3 {
		return judgement{}, false
	}
	if len(r.c.Again) == 0 {
		return judgement{at: []string{"volts"}, fault: source.Problem{
			Message:  "three or more levels between off and on: a ladder of resistors, or a bad contact",
			Expected: "the same positions read a second time; a ladder repeats within 5 %",
			Found:    r.spoken(partial),
			Example:  "again = { out = 0.0, off = 0.7, acc = 1.9, run = 3.2, crank = 4.8 }",
		}}, true
	}
	for _, p := range r.v.positions() {
		u := r.c.Volts[p].Volts
		again, read := r.c.Again[p]
		if r.levels[p] == partial && !read {
			return judgement{at: []string{"again"}, fault: source.Problem{
				Message:  strings.ToUpper(p) + " was not read a second time",
				Expected: "all positions read twice; a ladder repeats within 5 %",
			}}, true
		}
		if r.levels[p] == partial && !near(u, again) {
			return judgement{at: []string{"again", p}, fault: source.Problem{
				Message:  "the level does not repeat: a bad contact or a dimmed line, not a ladder",
				Expected: fmt.Sprintf("%s V within 5 %%; clean the joint and read all positions again", volts(u)),
				Found:    volts(again) + " V",
			}}, true
		}
	}
	return judgement{role: RoleLadder, because: fmt.Sprintf("%d levels between off and on that repeat: %s", len(steps), r.spoken(partial))}, true
}

// near reports two levels that are the same within 5 %.
func near(a, b float64) bool { return math.Abs(a-b) <= 0.05*math.Max(math.Abs(a), math.Abs(b)) }

// logic judges a line that stands at 4.5 to 5.5 V.
func (r *reading) logic() (judgement, bool) {
	if !r.awakeWithin(4.5, 5.5) {
		return judgement{}, false
	}
	return judgement{role: RoleLogic, because: "about 5 V in every position: " + r.spoken(partial)}, true
}

// data judges a line that stands at 1.5 to 3.5 V awake.
func (r *reading) data() (judgement, bool) {
	if !r.awakeWithin(1.5, 3.5) {
		return judgement{}, false
	}
	j := judgement{role: RoleData, because: "1.5 to 3.5 V while awake: " + r.spoken(partial)}
	first := r.v.positions()[0]
	if r.levels[first] != off && !r.c.sleeps() {
		j.warns, j.at = true, []string{"volts", first}
		j.fault = source.Problem{
			Message:  "this looks like a data line: it is taken for one, and never fed or loaded",
			Expected: "0 V when read again asleep, 30 to 45 min after locking",
			Example:  "asleep = { volts = 0.0, battery = 12.6 }",
		}
	}
	return j, true
}

// sleeps reports a line that was read asleep and was off then.
func (c Circuit) sleeps() bool {
	return c.Asleep.Battery > 0 && levelOf(c.Asleep, c.Light, c.LowSide) == off
}

// awakeWithin reports that all positions but the first lie between two
// voltages, and the first too unless it is off.
func (r *reading) awakeWithin(from, to float64) bool {
	for i, p := range r.v.positions() {
		u, ok := r.c.Volts[p]
		if !ok || i == 0 && r.levels[p] == off {
			continue
		}
		if u.Volts < from || u.Volts > to {
			return false
		}
	}
	return !r.c.LowSide
}

// pattern finds the role by levels, or says what is wrong.
func (r *reading) pattern() judgement {
	for _, p := range patterns {
		if r.fits(p.levels) && r.allowed(p.role) {
			j := judgement{role: p.role, because: r.sentence(), retained: r.kept}
			if p.role == RoleDead {
				return r.dead(j)
			}
			return j
		}
	}
	return r.slip()
}

func (r *reading) fits(levels string) bool {
	for i, p := range r.v.positions() {
		want := off
		if levels[i] == '1' {
			want = on
		}
		if got := r.levels[p]; got != unread && got != want {
			return false
		}
	}
	return true
}

// allowed bars roles that cannot be: a button car has no position in which the
// starter alone is on or in which accessories drop, and a line that is always
// at ground is a ground.
func (r *reading) allowed(role string) bool {
	if r.v.StartControl == "button" && (role == RoleStarter || role == RoleDropped && r.levels["ready"] != unread) {
		return false
	}
	return !(r.c.LowSide && role == RoleBattery)
}

// sentence says in which positions the line is on, with the readings, and in
// which it is off.
func (r *reading) sentence() string {
	var parts []string
	if s := r.spoken(on); s != "" {
		parts = append(parts, "on in "+s)
	}
	if s := r.spoken(partial); s != "" {
		parts = append(parts, "neither on nor off in "+s)
	}
	if s := r.listed(off); s != "" {
		parts = append(parts, "off in "+s)
	}
	text := strings.Join(parts, "; ")
	if r.c.LowSide {
		text = "switched to ground: " + text
	}
	if r.kept {
		text += fmt.Sprintf("; asleep (%s of %s V), though power was kept for a while", volts(r.c.Asleep.Volts), volts(r.c.Asleep.Battery))
	}
	return text
}

// listed names the positions of a level: "OUT, OFF and ACC".
func (r *reading) listed(l level) string {
	var names []string
	for _, p := range r.v.positions() {
		if r.levels[p] == l {
			names = append(names, strings.ToUpper(p))
		}
	}
	return and(names)
}

func and(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	last := len(parts) - 1
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}

// spoken names the positions of a level with their readings against the
// battery: "RUN (12.3 of 12.4 V)".
func (r *reading) spoken(l level) string {
	var parts []string
	for _, p := range r.v.positions() {
		if r.levels[p] == l {
			u := r.c.Volts[p]
			parts = append(parts, fmt.Sprintf("%s (%s of %s V)", strings.ToUpper(p), volts(u.Volts), volts(u.Battery)))
		}
	}
	return and(parts)
}

func volts(v float64) string { return fmt.Sprintf("%.1f", v) }
