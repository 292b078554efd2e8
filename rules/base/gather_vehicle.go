package base

import "slices"

// vehicle reads what the vehicle is and who is near it.
func (g *gatherer) vehicle() {
	v := g.facts.Job.Vehicle
	for _, w := range []struct{ fact, value, key string }{
		{"vehicle.gearbox", v.Gearbox, "gearbox"},
		{"vehicle.parking-lock", v.ParkingLock, "parking-lock"},
		{"vehicle.fuel", v.Fuel, "fuel"},
		{"vehicle.start-control", v.StartControl, "start-control"},
		{"vehicle.immobiliser", v.Immobiliser, "immobiliser"},
		{"vehicle.alternator", v.Alternator, "alternator"},
		{"vehicle.idle-stop", v.IdleStop, "idle-stop"},
		{"vehicle.open-top", v.OpenTop, "open-top"},
		{"vehicle.work-equipment", v.WorkEquipment, "work-equipment"},
		{"vehicle.parked", v.Parked, "parked"},
		{"vehicle.left-out-of-park", v.LeftOutOfPark, "can-be-left-out-of-park"},
		{"vehicle.unlock-steps", v.UnlockSteps, "unlock-steps"},
		{"vehicle.works", v.Works, "coldest"},
		{"crank.by", v.CrankBy, "crank-by"},
	} {
		g.say(w.fact, w.value, "vehicle", w.key)
	}
	for _, name := range sortedKeys(v.Facts) {
		g.say("vehicle."+name, v.Facts[name], "vehicle", "facts", name)
	}
	if v.Batteries > 0 {
		g.say("vehicle.batteries", oneOrSeveral(v.Batteries), "vehicle", "batteries")
	}
	if g.facts.Job.Doc.Where("vehicle", "keys-presented") != g.facts.Job.Doc.Where("vehicle") || v.KeysPresented > 0 {
		g.say("vehicle.keys", oneOrSeveral(v.KeysPresented), "vehicle", "keys-presented")
	}
	g.occupants(v.Occupants)
	fits := true
	for _, d := range g.facts.Devices {
		fits = fits && d.Profile.NominalVolts == v.NominalVolts
	}
	g.yes("vehicle.voltage-fits", fits, "vehicle", "nominal-volts")
	g.number("vehicle.cylinders", float64(v.Cylinders), "vehicle", "cylinders")
	g.say("engine.voltage-shows", voltageShows(g.facts.Job.Intake.Numbers), "intake", "readings", "cold-start-3s-volts")
}

// occupants reads who may be left inside; nobody asked is not known.
func (g *gatherer) occupants(who []string) {
	if len(who) == 0 {
		return
	}
	nobody := slices.Contains(who, "nobody")
	g.yes("vehicle.left-inside", !nobody, "vehicle", "left-inside")
	for _, o := range g.facts.Base.Kinds["occupant"] {
		g.yes("occupant."+o, slices.Contains(who, o), "vehicle", "left-inside")
	}
}

// body reads locks, lamps, horn and factory alarm.
func (g *gatherer) body() {
	j := g.facts.Job
	g.say("lock.circuit", j.Lock.Kind, "lock", "circuit")
	g.say("lock.second-deadlocks", j.Lock.SecondDeadlocks, "lock", "second-pulse-deadlocks")
	g.say("lock.driver-line", j.Lock.DriverLine, "lock", "driver-line")
	if len(j.Lock.Counts) > 0 {
		g.yes("lock.needs-two", !slices.Contains(j.Lock.Counts, 1), "lock", "counts")
	}
	g.yes("lock.wired", len(j.Lock.Lines) > 0, "lock", "lines")
	g.number("lock.seconds-min", j.Lock.SecondsMin, "lock", "seconds")
	g.number("lock.seconds-max", j.Lock.SecondsMax, "lock", "seconds")
	g.say("lamps.drive", j.Lamps.Drive, "lamps", "drive")
	g.say("lamps.bulbs", j.Lamps.Bulbs, "lamps", "bulbs")
	g.say("horn.active", j.Horn.Active, "horn", "active")
	a := j.Alarm
	g.say("factory-alarm.fitted", a.Fitted, "factory-alarm", "fitted")
	g.say("factory-alarm.disarm-by", a.DisarmBy, "factory-alarm", "disarm-by")
	g.number("factory-alarm.pulses", float64(a.Pulses), "factory-alarm", "pulses")
	if a.Pulses > 0 {
		g.yes("factory-alarm.needs-two", a.Pulses > 1, "factory-alarm", "pulses")
	}
	for _, e := range g.facts.Base.Kinds["alarm-event"] {
		if len(a.SetOffBy) > 0 {
			g.yes("factory-alarm.set-off-by."+e, slices.Contains(a.SetOffBy, e), "factory-alarm", "set-off-by")
		}
	}
	for _, e := range g.facts.Base.Kinds["rearm-event"] {
		if len(a.ArmedAgain) > 0 {
			g.yes("factory-alarm.armed-again."+e, slices.Contains(a.ArmedAgain, e), "factory-alarm", "armed-again-after")
		}
	}
}

// place reads the limits of the place.
func (g *gatherer) place() {
	p := g.facts.Job.Place
	g.yes("place.idle-limit", p.IdleMinutes > 0, "place", "idle-minutes")
	g.yes("place.start-limit", p.StartsPerHour > 0, "place", "starts-per-hour")
	g.yes("place.alarm-limit", p.AlarmSecondsMax > 0, "place", "alarm-seconds")
	g.yes("place.idle-beyond-published", idleBeyondPublished(p.IdleMinutes), "place", "idle-minutes")
	g.yes("place.starts-beyond-published", startsBeyondPublished(p.StartsPerHour, p.IdleMinutes), "place", "starts-per-hour")
	g.yes("place.alarm-beyond-published", alarmBeyondPublished(p.AlarmSecondsMin, p.AlarmSecondsMax, p.AlarmRest), "place", "alarm-seconds")
	g.say("place.alarm-lamps", p.AlarmLamps, "place", "alarm-lamps")
	g.say("place.silent", p.Silent, "place", "silent")
	g.number("place.idle-minutes", p.IdleMinutes, "place", "idle-minutes")
	g.number("place.starts-per-hour", float64(p.StartsPerHour), "place", "starts-per-hour")
	g.number("place.alarm-seconds-min", p.AlarmSecondsMin, "place", "alarm-seconds")
	g.number("place.alarm-seconds-max", p.AlarmSecondsMax, "place", "alarm-seconds")
	g.number("place.alarm-rest", p.AlarmRest, "place", "alarm-rest-seconds")
}
