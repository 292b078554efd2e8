package profile

import (
	"fmt"
	"slices"

	"asleft/config/source"
)

// checkRemote: gestures use buttons that are there, and hands can tell any two
// of them apart.
func (p *Profile) checkRemote() {
	buttons := names(p.Buttons, func(b Button) string { return b.Name })
	if len(buttons) == 0 || len(p.Gestures) == 0 {
		p.fault(source.Problem{Message: "a remote needs buttons and gestures", Example: "[button.lock]"})
	}
	if p.Teach == "" && slices.ContainsFunc(p.Gestures, func(g Gesture) bool { return len(g.Teachable) > 0 }) {
		p.fault(source.Problem{Message: "a remote with a teachable gesture says how it is taught", Expected: "`teach`",
			Example: `teach = "Hold both buttons until the lamp goes out, then give the gesture."`})
	}
	p.checkPlaces()
	for i, g := range p.Gestures {
		p.checkButtons(g, buttons)
		for _, other := range p.Gestures[:i] {
			if g.sameHands(other) {
				p.fault(source.Problem{Message: fmt.Sprintf("gestures %s and %s are the same presses", other.ID, g.ID),
					Expected: "gestures that hands can tell apart", Also: []source.Pos{p.Doc.Where("gesture", other.ID)}}, "gesture", g.ID)
			}
		}
		for j, n := range g.Teachable {
			if slices.Contains(g.Teachable[:j], n) {
				p.fault(source.Problem{Message: fmt.Sprintf("channel %d stands twice", n), Expected: "each channel once"},
					"gesture", g.ID, "teachable", fmt.Sprint(j))
			}
		}
	}
}

// checkPlaces: two buttons of a drawing cannot lie on each other.
func (p *Profile) checkPlaces() {
	for i, b := range p.Buttons {
		for _, other := range p.Buttons[:i] {
			if b.Row == other.Row && b.Col == other.Col {
				p.fault(source.Problem{Message: fmt.Sprintf("buttons %s and %s lie on each other", other.Name, b.Name),
					Expected: "a place for each button", Also: []source.Pos{p.Doc.Where("button", other.Name, "row")}}, "button", b.Name, "row")
			}
		}
	}
}

func (p *Profile) checkButtons(g Gesture, buttons []string) {
	for i, b := range g.Buttons {
		at := []string{"gesture", g.ID, "buttons", fmt.Sprint(i)}
		if !slices.Contains(buttons, b) {
			p.fault(noPart("button", b, buttons), at...)
		} else if slices.Contains(g.Buttons[:i], b) {
			p.fault(source.Problem{Message: fmt.Sprintf("button %s stands twice", b), Expected: "each button once; `presses` counts the presses"}, at...)
		}
	}
	if len(g.Buttons) == 0 {
		p.fault(source.Problem{Message: "a gesture presses at least one button", Example: `buttons = ["lock"]`}, "gesture", g.ID, "buttons")
	}
}

// sameHands reports whether two gestures are the same presses; two holds of one
// button that differ by less than a second count as the same.
func (g Gesture) sameHands(other Gesture) bool {
	a, b := slices.Clone(g.Buttons), slices.Clone(other.Buttons)
	slices.Sort(a)
	slices.Sort(b)
	held := g.HoldSeconds > 0 && other.HoldSeconds > 0 && max(g.HoldSeconds, other.HoldSeconds)-min(g.HoldSeconds, other.HoldSeconds) < 1
	return slices.Equal(a, b) && g.Presses == other.Presses && (g.HoldSeconds == other.HoldSeconds || held)
}
