package base

// Numbers become words here and nowhere else, so that rules are propositions over bounded domains and can be
// explained, derived in bulk and proved. Each function is one named condition.

// coldStartRise is the rise of the battery's voltage within 3 s of a cold start that shows a running
// engine, in volts. Common practice, no source.
const coldStartRise = 0.8

// promptMillis is the slowest refresh of engine speed by link that ends a crank in time, in milliseconds.
// Common practice, no source.
const promptMillis = 200

// exitSeconds is the time within which all openings must be shut again for an exit proof. Common practice, no
// source.
const exitSecondsMin, exitSecondsMax = 60, 120

// voltageShows judges the intake's readings of a cold start; "" when one is missing.
func voltageShows(readings map[string]float64) string {
	rest, haveRest := readings["cold-start-rest-volts"]
	soon, haveSoon := readings["cold-start-3s-volts"]
	late, haveLate := readings["cold-start-60s-volts"]
	if !haveRest || !haveSoon || !haveLate {
		return ""
	}
	// A thousandth of a volt covers the rounding of decimals, not of meters.
	if soon-rest >= coldStartRise-0.001 && late-rest >= coldStartRise-0.001 {
		return "yes"
	}
	return "no"
}

// promptSpeed judges the refresh of engine speed over a link; "" when the papers do not say.
func promptSpeed(millis int) string {
	switch {
	case millis <= 0:
		return ""
	case millis <= promptMillis:
		return "yes"
	}
	return "no"
}

// inExitTime judges the time that an exit proof allows for leaving.
func inExitTime(seconds int) bool { return seconds >= exitSecondsMin && seconds <= exitSecondsMax }

// startsBeyondPublished compares what a place's starts an hour come to, each as long as it allows (a minute where it does not say), with the
// most idling in an hour of the published limits that were looked up: 10 min (Denver City Code 4-48: 10 min in any 1 h).
func startsBeyondPublished(starts int, minutes float64) bool {
	return float64(starts)*max(minutes, 1) > 10
}

// idleBeyondPublished compares a place's idling limit in minutes with the longest published one that was looked
// up: Denver City Code 4-48, ten minutes in an hour.
func idleBeyondPublished(minutes float64) bool { return minutes > 10 }

// alarmBeyondPublished compares a place's alarm limits in seconds with the Swiss VTS (SR 741.41) art. 86: 25 to
// 30 s, at least 10 s apart. What the shop did not write down is not judged.
func alarmBeyondPublished(shortest, longest, rest float64) bool {
	return longest > 30 || (shortest > 0 && shortest < 25) || (rest > 0 && rest < 10)
}

// oneOrSeveral counts.
func oneOrSeveral(n int) string {
	switch n {
	case 0:
		return "none"
	case 1:
		return "one"
	}
	return "several"
}

// strongEnough compares the amperes of a feed with those of the circuits joined to it; "" when a circuit's need
// is not known. A fuse is the most that a circuit may draw, so it is taken before a measured current.
func strongEnough(feed float64, needs []float64) string {
	sum := 0.0
	for _, n := range needs {
		if n == 0 {
			return ""
		}
		sum += n
	}
	if sum > feed {
		return "no"
	}
	return "yes"
}
