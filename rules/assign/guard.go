package assign

import (
	"fmt"
	"slices"
	"strings"
)

// Interlocks that a ramp needs in series, all of them, before a button may move it.
var rampInterlocks = []string{"park", "parking-brake", "door-open"}

// openings are functions that let somebody or something in or out: the nuisance guard keeps them
// off the easiest gestures, and they may open a zone of the alarm.
var openings = []string{"boot", "tailgate", "side-door", "rear-glass"}

// closes reports whether a press can close the part.
func (f *Function) closes() bool { return f.Direction == "close" || f.Direction == "toggle" }

// glass reports whether the part is a powered window or roof panel.
func (f *Function) glass() bool { return f.Does == "window" || f.Does == "roof" }

// safety reports whether the safety guard holds: no signature relaxes it.
func (f *Function) safety() bool {
	return f.Does == "ramp" || f.Does == "platform-lift" || f.glass() && f.closes() || f.Moves && f.OutOfSight
}

// nuisance reports whether the nuisance guard holds; a signed wish relaxes it.
func (f *Function) nuisance() bool { return slices.Contains(openings, f.Does) && !f.safety() }

// heldBy reports whether the part must stop when the button is let go: a ramp always, anything
// else that moves unless the vehicle's own module supervises the motion.
func (f *Function) heldBy() bool { return f.Does == "ramp" || f.Moves && !f.SelfReverses }

// refusal says why no button may work f, or false when one may. These are hard constraints: they
// hold before anything is compared, and no wish reaches them.
func (f *Function) refusal() (Refusal, bool) {
	r := Refusal{Function: f.Name, Words: f.Words, Source: "common practice, no source"}
	missing := f.missingInterlocks()
	switch {
	case f.Does == "platform-lift":
		r.Rule = "platform-lift"
		r.Reason = "a platform lift is never worked by a remote"
		r.Cure = "work the lift by its own control, standing beside it"
	case f.glass() && f.closes() && !f.SelfReverses:
		r.Rule = "closing-window"
		r.Reason = "a powered window or roof that closes from a remote needs the vehicle's own module to drive it and to reverse it at an obstacle"
		r.Cure = "open only, or close through the vehicle's own module with automatic reversal (self-reverses = \"yes\")"
		r.Source = "49 CFR 571.118 S4 and S5"
	case f.heldBy() && f.Keeps != "hold-to-run":
		r.Rule = "hold-to-run"
		r.Reason = "it moves on by itself after the button is let go, and nothing in the vehicle supervises the motion"
		r.Cure = "a line that moves it only while held (keeps = \"hold-to-run\"), or the vehicle's own module with reversal"
	case len(missing) > 0:
		r.Rule = "interlocks"
		r.Reason = "it may move only with its interlocks in series, and these are not joined: " + strings.Join(plainAll(missing), ", ")
		r.Cure = fmt.Sprintf("wire them in series and say so (when and joined = [%s])", quoted(missing))
	default:
		return r, false
	}
	return r, true
}

// missingInterlocks names what the safety guard asks for and the job does not have: for a ramp its
// three, for another part that moves out of sight at least that the vehicle is parked.
func (f *Function) missingInterlocks() []string {
	var missing []string
	switch {
	case f.Does == "ramp":
		for _, need := range rampInterlocks {
			if !slices.Contains(f.Joined, need) {
				missing = append(missing, need)
			}
		}
	case f.safety() && !slices.Contains(f.When, "park") && !slices.Contains(f.When, "parking-brake"):
		missing = append(missing, "park")
	}
	return missing
}

func quoted(words []string) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = `"` + w + `"`
	}
	return strings.Join(out, ", ")
}

// plain says a condition as it is told to a driver.
func plain(condition string) string {
	switch condition {
	case "park":
		return "parked (P)"
	case "parking-brake":
		return "parking brake on"
	case "engine-off":
		return "engine off"
	case "running":
		return "engine running"
	case "door-open":
		return "door open"
	case "doors-closed":
		return "doors shut"
	case "disarmed":
		return "alarm off"
	}
	return condition
}

func plainAll(conditions []string) []string {
	var out []string
	for _, c := range conditions {
		out = append(out, plain(c))
	}
	return out
}
