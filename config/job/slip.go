package job

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/source"
)

// implausible finds readings that no line can give: the battery's own voltage
// out of reach, less than nothing, more than the battery has (common practice,
// no source).
func implausible(c Circuit, v Vehicle) (judgement, bool) {
	times := float64(v.NominalVolts) / 12
	if times == 0 {
		times = 1
	}
	for _, p := range v.positions() {
		r, ok := c.Volts[p]
		if !ok {
			continue
		}
		least, most := 9*times, 16*times
		if p == "crank" {
			least, most = 5*times, 14*times
		}
		if r.Battery < least || r.Battery > most {
			return judgement{at: []string{"battery", p}, fault: source.Problem{
				Message: fmt.Sprintf("%s: the battery cannot have had %s V in %s", c.Name, volts(r.Battery), strings.ToUpper(p)),
				Expected: fmt.Sprintf("%s to %s V with nominal-volts = %d: first suspects are the meter's leads, a flat battery, a 24 V vehicle",
					volts(least), volts(most), v.NominalVolts),
				Found: volts(r.Battery) + " V",
			}}, true
		}
		if u := r.Volts; u < -0.3 || u > r.Battery+0.5 {
			return strange(c, p, r), true
		}
	}
	return judgement{}, false
}

// strange says what is wrong with a reading below ground or above the battery.
func strange(c Circuit, p string, r Reading) judgement {
	f := source.Problem{
		Message:  fmt.Sprintf("%s reads more than the battery in %s", c.Name, strings.ToUpper(p)),
		Expected: "both read at the same moment: repeat the pair; first suspect is a battery reading taken earlier, then a 24 V line",
		Found:    fmt.Sprintf("%s of %s V", volts(r.Volts), volts(r.Battery)),
	}
	if r.Volts < 0 {
		f.Message = fmt.Sprintf("%s reads below ground in %s", c.Name, strings.ToUpper(p))
		f.Expected = "0 V or more: first suspect are the meter's two leads swapped; repeat this position"
	}
	return judgement{at: []string{"volts", p}, fault: f}
}

// dead judges a line that was off in every position. It may be dead, or some
// interlock kept it off while it was read; the warning says what to repeat.
func (r *reading) dead(j judgement) judgement {
	with := func(c string) bool { return slices.Contains(r.c.With, c) }
	var repeat []string
	if r.v.Gearbox == "manual" && !with("clutch-pressed") {
		repeat = append(repeat, "with the clutch pressed")
	}
	if r.v.Gearbox != "manual" && !with("selector-p") {
		repeat = append(repeat, "with the selector in P")
	}
	if r.v.StartControl != "blade-key" && !with("brake-pressed") {
		repeat = append(repeat, "with the foot brake pressed")
	}
	if !r.c.MinMax {
		repeat = append(repeat, "with a meter that keeps the highest reading, since a one-touch start can end before it settles")
	}
	j.warns, j.at = true, []string{"volts", r.v.positions()[len(r.v.positions())-1]}
	if _, ok := r.c.Volts[j.at[1]]; !ok {
		j.at = []string{"volts"}
	}
	j.fault = source.Problem{
		Message:  r.c.Name + " was off in every position: dead, or interlocked while it was read",
		Expected: "the fuse checked",
		Found:    r.sentence(),
	}
	if len(repeat) > 0 {
		j.fault.Expected = "the readings repeated " + and(repeat)
	}
	return j
}

// slip says what is most likely wrong with levels that no conductor has.
func (r *reading) slip() judgement {
	p := r.v.positions()
	l := func(i int) level { return r.levels[p[i]] }
	s := suspect{at: p[0], what: "two readings swapped", repeat: "read all positions again, one after the other"}
	switch {
	case r.first(partial) != "":
		s = suspect{r.first(partial), "a dimmed line, a bad contact, or a lamp in series",
			"repeat this position under a 5 W lamp if the circuit is known to be heavy, else with a second meter"}
	case r.c.LowSide && r.fits("11111"):
		s = suspect{p[0], "a ground line", "look for another conductor: this one is at ground in every position"}
	case r.v.StartControl == "button" && r.levels["ready"] == on:
		s = suspect{"ready", "a line that reports the running engine, which is not to be fed",
			"no starter role can come out on a button car: the start goes by link or by the button's line"}
	case r.v.StartControl == "button" && r.levels["ready"] == off:
		s = suspect{"ready", "two readings swapped, or the vehicle fell asleep", "repeat ON and READY with the foot brake pressed and a key inside"}
	case l(0) == on:
		s = suspect{p[0], "a door open, or power kept for minutes after the key is out",
			"shut all doors, wait until the network sleeps (30 to 45 min), read again, and write it under asleep"}
	case l(3) == off && l(2) == on && l(1) == off && l(4) == off:
		s = suspect{p[2], "hardly any line is live in ACC alone: a slip of the meter, or a ladder read with a lamp",
			"measure ACC and RUN again with a meter, without a lamp"}
	case l(1) == on && l(3) == on:
		s = suspect{p[1], "power kept until a door opens", "open and shut the driver's door with the key at OFF, then read OFF again"}
	case l(1) == on:
		s = suspect{p[1], "two readings swapped, or a courtesy lamp's line with a door open", "shut all doors and read OFF and RUN again"}
	case l(3) == off:
		s = suspect{p[3], "RUN and ACC swapped, or a fuse out", "repeat RUN with the key turned fully to it"}
	}
	return judgement{at: []string{"volts", s.at}, fault: source.Problem{
		Message:  fmt.Sprintf("%s has a pattern that no conductor has; first suspect: %s", r.c.Name, s.what),
		Expected: s.repeat,
		Found:    r.sentence(),
	}}
}

// suspect is the likely cause of an impossible pattern and what to repeat.
type suspect struct{ at, what, repeat string }

// first is the first position with a level, "" when none has it.
func (r *reading) first(l level) string {
	for _, p := range r.v.positions() {
		if r.levels[p] == l {
			return p
		}
	}
	return ""
}
