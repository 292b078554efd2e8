package profile

import (
	"fmt"
	"math"

	"asleft/config/source"
)

// readRemote reads what remotes have.
func readRemote(root *source.Table, p *Profile) {
	p.Cell = root.Text("cell", source.Required(`cell = "CR2032"`))
	p.WeakSign = root.Text("weak-sign", source.Example(`weak-sign = "its lamp stays dark"`))
	p.Teach = root.Text("teach", source.Example(`teach = "Hold both buttons until the lamp goes out, then give the gesture."`))
	for _, t := range root.Each("button") {
		p.Buttons = append(p.Buttons, Button{
			Name: checkedName(t),
			Mark: t.Text("mark", source.Required(`mark = "L"`)),
			Row:  t.Whole("row", 1, 20, source.Required("row = 1")),
			Col:  t.Whole("column", 1, 20, source.Required("column = 1")),
		})
		t.Close()
	}
	for _, t := range root.Each("gesture") {
		p.Gestures = append(p.Gestures, readGesture(t))
	}
}

func readGesture(t *source.Table) Gesture {
	g := Gesture{
		ID:          checkedName(t),
		Buttons:     t.Texts("buttons", source.Required(`buttons = ["lock"]`)),
		Presses:     t.Whole("presses", 1, 2, source.Required("presses = 1")),
		HoldSeconds: t.Number("hold-seconds", 0.5, 10, source.Example("hold-seconds = 2")),
		Ease:        t.Whole("ease", 1, 20, source.Required("ease = 1")),
		Channel:     t.Whole("channel", 1, 99, source.Example("channel = 8")),
		Taken:       t.Word("taken-for", takenFor, source.Example(`taken-for = "lock"`)),
	}
	for _, n := range t.Numbers("teachable", 1, 99, source.Example("teachable = [8, 9]")) {
		if n != math.Trunc(n) {
			t.Fault("teachable", source.Problem{Message: "a channel is a whole number", Expected: "1 to 99", Found: fmt.Sprint(n)})
		}
		g.Teachable = append(g.Teachable, int(n))
	}
	if t.Has("channel") == t.Has("teachable") {
		t.Fault("", source.Problem{Message: "a gesture either sends a fixed channel or can be taught one",
			Expected: "one of `channel` and `teachable`", Example: "teachable = [8, 9]"})
	}
	if g.Presses == 2 && g.HoldSeconds > 0 {
		t.Fault("hold-seconds", source.Problem{Message: "two presses are not held", Expected: "presses = 1, or no hold"})
	}
	if g.Taken != "" && len(g.Teachable) > 0 {
		t.Fault("taken-for", source.Problem{Message: "a gesture that is taken has a fixed channel", Expected: "`channel`, or no `taken-for`", Found: g.Taken})
	}
	t.Close()
	return g
}
