package job

import (
	"fmt"

	"asleft/config/source"
)

// readLock reads [lock]: the door-lock circuit as it was identified.
func readLock(t *source.Table) LockCircuit {
	defer t.Close()
	l := LockCircuit{
		Kind:            known(t, "circuit", lockKinds),
		SecondDeadlocks: yesNo(t, "second-pulse-deadlocks"),
		DriverLine:      yesNo(t, "driver-line"),
		Lines:           lines(t, "lines", lockLines),
		OhmsSecret:      t.Flag("ohms-kept-apart"),
		Counts:          t.Wholes("counts", 1, 4),
	}
	l.SecondsMin, l.SecondsMax = secondsRange(t)
	if l.Kind == "link" && len(l.Lines) > 0 {
		t.Fault("lines", source.Problem{
			Message:  "the locks are worked by link and by wire at once",
			Expected: `lines, or circuit = "link"`,
		})
	}
	if l.DriverLine == "no" && l.Lines["unlock-driver"] != "" {
		t.Fault("driver-line", source.Problem{
			Message:  "there is no line for the driver's door, and yet one is named",
			Expected: `driver-line = "yes", or no unlock-driver under lines`,
		})
	}
	return l
}

// secondsRange reads how long a pulse the vehicle side needs and bears.
func secondsRange(t *source.Table) (from, to float64) {
	pair := t.Numbers("seconds", 0.05, 60, source.Example("seconds = [0.4, 1.0]"))
	if len(pair) == 0 {
		return 0, 0
	}
	if len(pair) != 2 || pair[0] > pair[1] {
		t.Fault("seconds", source.Problem{
			Message:  "`seconds` is not a range",
			Expected: "the shortest and the longest pulse that works",
			Example:  "seconds = [0.4, 1.0]",
		})
		return 0, 0
	}
	return pair[0], pair[1]
}

// unitless are keys by which people write a current without the unit that files here use.
var unitless = []string{"current", "amps", "ampere", "milliamperes", "milliamps"}

// amperes reads a current of at most so many amperes. The unit stands in the key, so a key without it, or
// with another, is told so: six of what is not to be guessed.
func amperes(t *source.Table, most float64) float64 {
	for _, key := range unitless {
		if !t.Has(key) {
			continue
		}
		t.Fault(key, source.Problem{
			Message:  fmt.Sprintf("a current stands in amperes here, not as `%s`", key),
			Expected: fmt.Sprintf("amperes, from 0 to %g", most),
			Found:    fmt.Sprintf("%s = %s", key, t.Value(key)),
			Nearest:  "amperes",
			Example:  "amperes = 0.2",
		})
	}
	return t.Number("amperes", 0, most)
}

// readLamps reads [lamps].
func readLamps(t *source.Table) Lamps {
	defer t.Close()
	return Lamps{
		Drive: known(t, "drive", lampDrives),
		Bulbs: known(t, "bulbs", bulbs),
		Amps:  amperes(t, 60),
		Lines: lines(t, "lines", lampLines),
	}
}

// readHorn reads [horn].
func readHorn(t *source.Table) Horn {
	defer t.Close()
	return Horn{
		Active: known(t, "active", hornActives),
		Line:   cavity(t, "line"),
		Amps:   amperes(t, 40),
	}
}

// readAlarm reads [factory-alarm].
func readAlarm(t *source.Table) FactoryAlarm {
	defer t.Close()
	a := FactoryAlarm{
		Fitted:     yesNo(t, "fitted"),
		DisarmBy:   known(t, "disarm-by", disarmers),
		Pulses:     t.Whole("pulses", 1, 4),
		SetOffBy:   t.Words("set-off-by", setOffs),
		ArmedAgain: t.Words("armed-again-after", rearms),
	}
	if a.Fitted == "no" && (a.DisarmBy != "" || a.Pulses != 0 || len(a.SetOffBy)+len(a.ArmedAgain) > 0) {
		t.Fault("fitted", source.Problem{
			Message:  "there is no factory alarm, and yet it is described",
			Expected: `fitted = "yes", or nothing else under [factory-alarm]`,
		})
	}
	return a
}

// readOpening reads [opening.NAME].
func readOpening(t *source.Table) Opening {
	defer t.Close()
	return Opening{
		Name:   name(t),
		Cabin:  yesNo(t, "to-cabin", source.Required(`to-cabin = "yes"`)),
		Seen:   nameIn(t, "seen-by", source.Example(`seen-by = "door"`)),
		Taken:  known(t, "taken-at", openingTaken),
		Sleeps: yesNo(t, "sleeps"),
	}
}

// readPlace reads [place].
func readPlace(t *source.Table) Place {
	defer t.Close()
	p := Place{
		Name:          t.Text("name"),
		Ordinance:     t.Text("ordinance"),
		IdleMinutes:   t.Number("idle-minutes", 0, 120),
		StartsPerHour: t.Whole("starts-per-hour", 0, 60),
		AlarmRest:     t.Number("alarm-rest-seconds", 0, 600),
		AlarmLamps:    known(t, "alarm-lamps", alarmLamps),
		Silent:        yesNo(t, "silent"),
	}
	pair := t.Numbers("alarm-seconds", 1, 600, source.Example("alarm-seconds = [25, 30]"))
	switch {
	case len(pair) == 2 && pair[0] <= pair[1]:
		p.AlarmSecondsMin, p.AlarmSecondsMax = pair[0], pair[1]
	case t.Has("alarm-seconds"):
		t.Fault("alarm-seconds", source.Problem{
			Message:  "`alarm-seconds` is not a range",
			Expected: "the shortest and the longest time that the place allows",
			Example:  "alarm-seconds = [25, 30]",
		})
	}
	limited := p.IdleMinutes > 0 || p.StartsPerHour > 0 || p.AlarmSecondsMax > 0 || p.AlarmRest > 0
	if limited && p.Ordinance == "" {
		t.Fault("", source.Problem{
			Message:  "the place has limits, but not the name of the rule that sets them",
			Expected: "the ordinance, house rule or lease, so that it can be looked up",
			Example:  `ordinance = "Ostlin Bay yard rules, 4"`,
		})
	}
	return p
}
