package assign

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// guardSeconds is the hold that keeps a gesture from happening by itself in a pocket
// (common practice, no source).
const guardSeconds = 2

// kinds of gesture, as a user may be unable to make them.
func (g *Gesture) kinds() []string {
	var k []string
	if len(g.Buttons) > 1 {
		k = append(k, "chord")
	}
	if g.Presses == 2 {
		k = append(k, "double")
	}
	if g.HoldSeconds > 0 {
		k = append(k, "hold")
	}
	return k
}

// tap reports whether it is one press of one button, not held: what pockets do.
func (g *Gesture) tap() bool { return len(g.kinds()) == 0 }

// guarded reports whether the safety guard accepts it: a chord that is held, or a long hold.
func (g *Gesture) guarded() bool {
	return g.HoldSeconds >= guardSeconds || len(g.Buttons) > 1 && g.HoldSeconds > 0
}

// signature is what makes two gestures the same for the hand, on whatever remote: the marks on the
// buttons, the presses and the seconds.
func (g *Gesture) signature() string {
	marks := slices.Clone(g.Marks)
	slices.Sort(marks)
	return fmt.Sprintf("%q %d %s", marks, max(g.Presses, 1), seconds(g.HoldSeconds))
}

// press says the gesture in plain words. While is set for a part that moves only while held.
func (g *Gesture) press(while bool) string {
	buttons := strings.Join(g.Marks, " and ")
	if len(g.Marks) > 1 {
		buttons += " together"
	}
	switch {
	case while && g.HoldSeconds > 0:
		return fmt.Sprintf("hold %s: after %s s it moves, only while held", buttons, seconds(g.HoldSeconds))
	case g.HoldSeconds > 0:
		return fmt.Sprintf("hold %s for %s s", buttons, seconds(g.HoldSeconds))
	case g.Presses == 2:
		return fmt.Sprintf("press %s twice", buttons)
	}
	return "press " + buttons
}

func seconds(s float64) string { return strconv.FormatFloat(s, 'f', -1, 64) }

// forbidden says why function f may not sit on gesture g, or "" when it may. Channels are looked
// at elsewhere.
func (g *Gesture) forbidden(r *Remote, f *Function, w *Wanted) string {
	for _, k := range g.kinds() {
		if slices.Contains(r.Without, k) {
			return "its user cannot make a " + k
		}
	}
	switch {
	case g.Taken != "" && g.Taken != f.Does:
		return "it is taken for " + g.Taken
	case w.Gesture != "" && w.Gesture != g.ID:
		return "the wish names " + w.Gesture
	case f.safety() && !g.guarded():
		return "the safety guard wants a hold of two seconds or a held chord"
	case f.heldBy() && g.HoldSeconds == 0:
		return "it moves only while held, and this gesture is not held"
	case f.Moves && g.tap():
		return "a moving part is never on a plain tap"
	}
	return ""
}
