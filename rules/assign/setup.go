package assign

import "asleft/config/setting"

// reasons says for each property that the function asks for why it has its value.
func (w *want) reasons(values map[string]setting.Value) map[string]string {
	f := w.f
	why := map[string]string{"behaviour": w.behaviourReason()}
	if w.timed() && f.MaxSeconds > 0 {
		why["seconds"] = "the line of " + f.Words + " takes " + seconds(f.MinSeconds) + " to " + seconds(f.MaxSeconds) + " s"
	} else if w.timed() {
		why["seconds"] = "the line of " + f.Words + " takes any length"
	}
	if w.behaviour == "pulse" {
		why["count"] = "the line of " + f.Words + " counts presses"
	}
	why["when"] = "interlocks of " + f.Words + " that the output keeps"
	if len(values["when"].Words()) == 0 {
		why["when"] = "no interlock is left to the output"
	}
	wish := w.wishes()
	if wish["disarm-first"] != "" {
		why["disarm-first"] = "it opens a zone of the alarm"
	}
	if wish["bypass-zones"] != "" {
		why["bypass-zones"] = "it opens a zone of the alarm, and the output cannot disarm first"
	}
	if wish["unlock-first"] != "" {
		why["unlock-first"] = "a powered part does not move while it is locked"
	}
	if w.behaviour == "latched" || w.behaviour == "timed" {
		why["ends-with"] = "what switches " + f.Words + " off again"
	}
	if f.AtStart {
		why["at-start"] = "wanted by itself at remote start"
		why["at-start.below"] = "wanted only below a temperature"
	} else {
		why["at-start"] = "nobody asked for it at remote start"
	}
	for _, p := range properties {
		if values[p] == "" {
			delete(why, p)
		}
	}
	return why
}

func (w *want) behaviourReason() string {
	f := w.f
	switch {
	case f.heldBy():
		return f.Words + " moves and must stop when the button is let go"
	case w.behaviour == "follows-button":
		return f.Words + " works only as long as its line is held"
	case w.behaviour == "latched":
		return f.Words + " needs its line held until it is switched off"
	case w.behaviour == "timed":
		return f.Words + " needs its line held for a time"
	}
	return f.Words + " is worked by a short press of its line"
}

// lacking says in plain words what the output cannot do and the driver has to.
func (w *want) lacking(values map[string]setting.Value) []string {
	var out []string
	wish := w.wishes()
	for _, p := range properties {
		if wish[p] == "" || values[p] == wish[p] {
			continue
		}
		switch p {
		case "disarm-first":
			if values["bypass-zones"] != "on" {
				out = append(out, "unlock with the remote first, or the alarm sounds")
			}
		case "unlock-first":
			out = append(out, "unlock first")
		case "at-start.below":
			out = append(out, "the output has no threshold of "+string(wish[p])+" C")
		}
	}
	return out
}
