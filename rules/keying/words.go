package keying

import (
	"fmt"
	"strconv"
	"strings"
)

// say tells hands what to do: one sentence for a row of equal inputs with the silence after it.
func (h hands) say(at *State, inputs []Input, s Step) string {
	word := inputs[0].Word
	n := len(inputs)
	silence := n > 1 && inputs[n-1].Word == "silence"
	if silence {
		n--
	}
	text := h.once(word)
	switch {
	case word == "silence":
		text = fmt.Sprintf("Do nothing for %s s", decimal(at.Limit))
	case n > 1 && word == "tap":
		text += fmt.Sprintf(" %s times", countWords(n))
	case n > 1:
		text += fmt.Sprintf(", %s times", countWords(n))
	}
	if silence && n > 1 {
		text += " without a pause"
	}
	if silence {
		text += ", then wait for the answer"
	}
	if s.Until {
		text += fmt.Sprintf(", once at a time, until the answer comes (%d times at the most)", s.Most)
	}
	return text + "."
}

func (h hands) once(word string) string {
	stem, rest, _ := strings.Cut(word, "-")
	switch stem {
	case "tap":
		return "Tap the button"
	case "hold":
		return "Hold the button " + rest + " s and let go"
	case "brake":
		if h.c.StartButton {
			return "Press the foot brake and let go, hands off the start button"
		}
		return "Press the foot brake and let go"
	case "key":
		return h.position(rest)
	case "power":
		if rest == "off" {
			return "Pull the controller's supply fuse"
		}
		return "Put the controller's supply fuse back"
	case "remote":
		n, _ := strconv.Atoi(rest)
		if sender := h.c.Senders[n]; sender != "" {
			return "Send channel " + rest + " (" + sender + ")"
		}
		return "Send channel " + rest
	}
	return word
}

// position says how an ignition position is reached. On a car with a start button nobody turns a key: the
// power state is chosen with the button, the foot off the brake.
func (h hands) position(to string) string {
	if !h.c.StartButton {
		switch to {
		case "out":
			return "Take the key out"
		case "off":
			return "Turn the key to OFF"
		}
		return "Turn the key to " + strings.ToUpper(to)
	}
	switch to {
	case "run":
		n := max(1, h.c.ButtonPresses)
		return fmt.Sprintf("Foot off the brake: press the start button until the power state is ON (%s from OFF)", times(n))
	case "acc":
		return "Foot off the brake: press the start button until the power state is ACC"
	}
	return "Foot off the brake: press the start button until the power state is OFF"
}

func times(n int) string {
	if n == 1 {
		return "1 press"
	}
	return fmt.Sprintf("%d presses", n)
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// otherwise says what to do when the answer differs.
func (d *drawing) otherwise(s Step, a Answer, changes bool) string {
	inside := d.m.States[d.at.State].Inside
	n, counted := numberOf(a)
	switch {
	case !s.Expect.Seen:
		return "Count the presses aloud: no answer can be seen."
	case s.Until:
		return "If it never comes, stop and follow with the tool: it finds where the device is."
	case len(a) == 0 && !inside:
		return ""
	case len(a) == 0:
		return "If it answers something, stop and follow with the tool."
	case !inside:
		return "No answer: it is not left yet; do it once more after 5 s."
	case len(d.card.Groups) == 0 && len(d.card.Entry) == 0:
		off := "Ignition OFF"
		if d.w.h.c.StartButton {
			off = "Power state OFF"
		}
		return "No answer: not entered. " + off + ", wait 10 s, make the entry again."
	case changes && counted && d.m.cycles():
		return fmt.Sprintf("Another count is the value that it has now: go on one press at a time until it is %d.", n)
	case changes:
		return "Another count is the value that it has now: choose the option again and give the value again."
	case counted:
		return fmt.Sprintf("Another count than %d says where you are: stop pressing and go on from there, or follow with the tool.", n)
	}
	return "Another answer: stop pressing and follow with the tool."
}

func numberOf(a Answer) (int, bool) {
	for _, s := range a {
		if !s.Steady && s.Of == "" {
			return s.Count, true
		}
	}
	return 0, false
}

// preparation is the state of the car before the first press, in order.
func (d *Device) preparation(c Circumstances, keyed bool) (steps, cautions []string) {
	if !keyed {
		return nil, nil
	}
	gear := "in P"
	if c.Manual {
		gear = "in neutral"
	}
	steps = append(steps, "Vehicle "+gear+", parking brake on, wheels chocked.", "Hood open.")
	switch {
	case c.NoStart:
	case c.Linked:
		steps = append(steps, "Remote start by link stays keyed off until the inputs are proven.")
	default:
		steps = append(steps, "Starter output unplugged, and it stays so until the inputs are proven.")
	}
	k := d.Profile.Keying
	steps = append(steps, "Battery maintainer on.")
	if k.Volts > 0 {
		steps = append(steps, fmt.Sprintf("Supply at the controller at least %s V, read with a meter.", decimal(k.Volts)))
	}
	for _, n := range k.Needs {
		if n != "parking-brake" && n != "in-park" && n != "hood-open" { // said above for every card
			steps = append(steps, needWords(n, c))
		}
	}
	if k.PairedRemote {
		steps = append(steps, "Paired remote in hand; every other remote away from the vehicle.")
	}
	if c.StartButton {
		steps = append(steps, "One fob inside, the others away; power state OFF; foot off the brake unless a step says so.")
		cautions = append(cautions, "Pressing the start button with the foot on the brake starts the vehicle: never both at once.")
	} else {
		steps = append(steps, "Ignition OFF.")
	}
	for _, b := range k.Blocked {
		steps = append(steps, blockWords(b))
	}
	cautions = append(cautions, "Exhaust gas: never with the engine running in a closed space.")
	return compact(steps), cautions
}

func needWords(need string, c Circumstances) string {
	switch need {
	case "doors-shut":
		return "All doors shut."
	case "doors-open":
		return "Driver's door open."
	case "hood-shut":
		return "Hood shut: the device asks for it; only with the starter output unplugged."
	case "brake-free":
		return "Foot off the brake."
	case "key-in":
		if c.StartButton {
			return "Fob inside the vehicle."
		}
		return "Key in."
	}
	return need
}

func blockWords(block string) string {
	switch block {
	case "armed":
		return "Alarm disarmed: the device cannot be entered while armed."
	case "valet":
		return "Valet off: the device cannot be entered in valet."
	}
	return "Engine off: the device cannot be entered with the engine running."
}

func compact(lines []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, l := range lines {
		if !seen[l] {
			seen[l] = true
			out = append(out, l)
		}
	}
	return out
}
