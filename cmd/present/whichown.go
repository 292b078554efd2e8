package present

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/rules/assign"
)

// own answers how the remotes themselves lock, unlock, start, stop or call for help: one line for each
// remote. Nothing is made up: what neither the remote's papers nor the settings as left tell is said to be
// not known. Asked is set when the question named something, so that an old plan without these says so.
func (p Plan) own(use string, off []string, asked bool, t Taught) []AnswerView {
	var out []AnswerView
	for i := 0; i < len(p.Own); i++ {
		if p.Own[i].Function != use {
			continue
		}
		rows := []PlanRow{p.Own[i]}
		for i+1 < len(p.Own) && p.Own[i+1].Function == use && p.Own[i+1].Remote == rows[0].Remote {
			i++
			rows = append(rows, p.Own[i])
		}
		out = append(out, toldOwn(use, rows, off, t))
	}
	if len(out) == 0 && asked && slices.Contains(assign.OwnUses, use) && !p.tells(use) {
		return []AnswerView{{use, "", capital(use) + ": the record does not tell the remotes' own gestures; look into their papers.", false}}
	}
	return out
}

// tells reports whether the plan has the word as a function of the vehicle.
func (p Plan) tells(name string) bool {
	return slices.ContainsFunc(slices.Concat(p.Rows, p.Missed, p.None, p.Alone), func(r PlanRow) bool { return r.Function == name })
}

// toldOwn is the line of one use on one remote.
func toldOwn(use string, rows []PlanRow, off []string, t Taught) AnswerView {
	first := rows[0]
	head := fmt.Sprintf("%s: the %s remote ", capital(use), first.Remote)
	if why := ownOff(use, first, off, t); why != "" {
		return AnswerView{use, first.Remote, head + doesNot(use) + ": " + strings.TrimSuffix(why, ".") + ".", false}
	}
	if first.Gesture == "" {
		return AnswerView{use, first.Remote, head + "has no gesture for it in its papers.", false}
	}
	var presses []string
	for _, r := range rows {
		press := r.Press
		if use == "start" {
			press += t.guard(r)
		}
		if r.Cannot != "" {
			press += fmt.Sprintf(" (its user cannot make a %s)", r.Cannot)
		}
		presses = append(presses, press)
	}
	line := fmt.Sprintf("%s: on the %s remote %s", capital(use), first.Remote, strings.Join(presses, ", or "))
	if use == "unlock" && t.value("unlock.steps") == "driver-first" {
		line += ": the driver's door; once more for the others"
	}
	if use == "start" && t.value("gearbox.guard") == "exit-proof" {
		line += "; only when it was left in neutral with the parking brake on and the exit proof made"
	}
	if first.Shows != "" {
		line += "; " + first.Shows
	}
	return AnswerView{use, first.Remote, line + ".", true}
}

// alone is the line of a function that comes on by itself, as things stand today.
func alone(r PlanRow, off []string, t Taught) AnswerView {
	says := r.Reason
	switch start := ownOff("start", PlanRow{}, off, t); {
	case slices.Contains(off, "function:"+r.Function):
		says = "set off"
	case slices.Contains(t.Failed, "function:"+r.Function):
		says = "a safety test of it failed"
	case start != "" && !strings.HasPrefix(says, "never"):
		says = "never on by itself: " + start
	}
	return AnswerView{r.Function, "", capital(r.Words[0]) + ": " + strings.TrimSuffix(says, ".") + ".", false}
}

// ownOff says why a use is off as it stands today; empty when it is not.
func ownOff(use string, r PlanRow, off []string, t Taught) string {
	protects, left := "", ""
	switch use {
	case "start", "stop":
		protects, left = "remote-start", "remote start was left off"
	case "lock", "unlock":
		protects, left = "lock-feature", "the lock output was left unplugged"
	}
	switch isOff, failed := slices.Contains(off, protects), slices.Contains(t.Failed, protects); {
	case isOff && failed:
		return left + ", since a safety test of it failed"
	case failed:
		return "a safety test of it failed"
	case r.Reason != "":
		return r.Reason
	case isOff:
		return left
	}
	return ""
}

func doesNot(use string) string {
	switch use {
	case "start", "stop":
		return "does not " + use + " this vehicle's engine"
	case "panic":
		return "does not sound the alarm"
	}
	return "does not " + use + " this vehicle"
}

// guard says what the controller, as left, wants of a start gesture beyond the gesture itself.
func (t Taught) guard(r PlanRow) string {
	switch guard := t.value("start.gesture-guard"); {
	case guard == "":
		return " (whether the controller wants the start gesture twice or held was not read out)"
	case guard == "double" && !slices.Contains(r.Kinds, "double"):
		return ", and that twice: the controller takes no single one for a start (how soon after, its papers do not tell)"
	case guard == "hold" && !slices.Contains(r.Kinds, "hold"):
		return " and keep it pressed: the controller takes no short one for a start (how long, its papers do not tell)"
	}
	return ""
}

// value is how a setting was left on whichever device has it; empty when that is not known.
func (t Taught) value(name string) string {
	for _, r := range t.Left {
		if r.Setting == name && r.Status == setting.StatusKnown {
			return string(r.Value)
		}
	}
	return ""
}

// beforeStart is what has to be said before a gesture of the remote start is told.
func (t Taught) beforeStart(answers []AnswerView) []string {
	told := slices.ContainsFunc(answers, func(a AnswerView) bool { return a.Given && (a.Function == "start" || a.Function == "stop") })
	var out []string
	if told && t.Valet {
		out = append(out, "Valet is on: no remote start and no alarm until it is switched off; locks and panic work.")
	}
	if told && slices.Contains(t.Open, "remote-start") {
		out = append(out, "Remote start is not proven yet: its safety tests are not all passed.")
	}
	return out
}
