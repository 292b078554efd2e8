package present

import (
	"fmt"

	"asleft/rules/assign"
)

// partFigure draws a relay or a diode with both its ends: what drives it on the left, what it works
// on the right. Its text form is the plan's own.
func partFigure(p assign.Part, v PartView) Figure {
	f := Figure{
		Caption: fmt.Sprintf("%s: %s", p.ID, p.Title), Lines: p.Text(),
		Notes: append(nonEmpty(lead("coil: ", v.Coil), lead("contact: ", v.Contact), lead("suppression: ", v.Protect)), p.Notes...),
	}
	d := p.Drawing()
	if d.Kind == "diode" {
		f.Shapes = diodeDrawing(d)
	} else {
		f.Shapes = relayDrawing(d)
	}
	return f
}

// Geometry of a part's drawing, in millimetres.
const (
	drawingWidth = 170.0
	boxLeft      = 70.0
	boxWidth     = 30.0
	wireLength   = 8.0
	rowHeight    = 6.0
)

func relayDrawing(d assign.Drawing) Drawing {
	rows := float64(max(len(d.Left), len(d.Right)))
	out := Drawing{Width: drawingWidth, Height: rows*rowHeight + 4}
	out.Boxes = []Box{{X: boxLeft, Y: 1, W: boxWidth, H: rows*rowHeight + 2}}
	for i, w := range d.Left {
		y := 2 + rowHeight*(float64(i)+0.5)
		out.Lines = append(out.Lines, Line{Points: [][2]float64{{boxLeft - wireLength, y}, {boxLeft, y}}})
		out.Labels = append(out.Labels,
			Label{boxLeft + 1, y + 1, "start", w.Mark + " " + w.Role},
			Label{boxLeft - wireLength - 1, y + 1, "end", wireWords(w)})
	}
	right := boxLeft + boxWidth
	for i, w := range d.Right {
		y := 2 + rowHeight*(float64(i)+0.5)
		out.Lines = append(out.Lines, Line{Points: [][2]float64{{right, y}, {right + wireLength, y}}})
		out.Labels = append(out.Labels,
			Label{right - 1, y + 1, "end", w.Role + " " + w.Mark},
			Label{right + wireLength + 1, y + 1, "start", wireWords(w)})
	}
	return out
}

// diodeDrawing draws the symbol with its bar, the band, to the side that has it.
func diodeDrawing(d assign.Drawing) Drawing {
	out := Drawing{Width: drawingWidth, Height: 10}
	const y, middle = 5.0, boxLeft + boxWidth/2
	tip, tail := middle+3, middle-3
	if d.BandLeft {
		tip, tail = tail, tip
	}
	out.Lines = []Line{
		{Points: [][2]float64{{boxLeft - wireLength, y}, {min(tip, tail), y}}},
		{Points: [][2]float64{{tail, y - 2.5}, {tail, y + 2.5}, {tip, y}, {tail, y - 2.5}}},
		{Points: [][2]float64{{max(tip, tail), y}, {boxLeft + boxWidth + wireLength, y}}},
	}
	out.Boxes = []Box{{X: tip - 0.5, Y: y - 2.5, W: 1, H: 5, Filled: true}}
	out.Labels = []Label{{tip, y - 3, "middle", "band"}}
	if len(d.Left) > 0 {
		out.Labels = append(out.Labels, Label{boxLeft - wireLength - 1, y + 1, "end", wireWords(d.Left[0])})
	}
	if len(d.Right) > 0 {
		out.Labels = append(out.Labels, Label{boxLeft + boxWidth + wireLength + 1, y + 1, "start", wireWords(d.Right[0])})
	}
	return out
}

// wireWords is the far end of a wire, with its fuse.
func wireWords(w assign.Wire) string {
	if w.Fuse > 0 {
		return fmt.Sprintf("%s, fuse %g A", w.To, w.Fuse)
	}
	return w.To
}
