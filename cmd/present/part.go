package present

import (
	"fmt"

	"asleft/rules/assign"
)

// partFigure draws a relay or a diode with its ends. Terminals stand at the place where a
// plug-in relay's symbol has them: coil left, contacts right.
func partFigure(p assign.Part) Figure {
	f := Figure{Caption: fmt.Sprintf("%s (%s): %s", p.ID, p.Kind, p.Title)}
	if p.Kind == "diode" {
		f.Shapes = diodeDrawing(p)
	} else {
		f.Shapes = relayDrawing(p)
	}
	return f
}

func diodeDrawing(p assign.Part) Drawing {
	d := Drawing{Width: 150, Height: 12}
	d.Lines = []Line{
		{Points: [][2]float64{{50, 6}, {70, 6}}},
		{Points: [][2]float64{{70, 3}, {70, 9}, {78, 6}, {70, 3}}},
		{Points: [][2]float64{{78, 6}, {98, 6}}},
	}
	d.Boxes = []Box{{X: 77.4, Y: 3, W: 1.2, H: 6, Filled: true}}
	for _, t := range p.Terminals {
		if t.Mark == "anode" {
			d.Labels = append(d.Labels, Label{48, 7, "end", t.To})
		} else {
			d.Labels = append(d.Labels, Label{100, 7, "start", t.To})
		}
	}
	d.Labels = append(d.Labels, Label{78, 2, "middle", "band"})
	return d
}

func relayDrawing(p assign.Part) Drawing {
	d := Drawing{Width: 150, Height: 34}
	d.Boxes = []Box{{X: 50, Y: 2, W: 50, H: 30}, {X: 58, Y: 13, W: 8, H: 8}}
	d.Lines = []Line{
		{Points: [][2]float64{{50, 8}, {62, 8}, {62, 13}}},              // 86
		{Points: [][2]float64{{62, 21}, {62, 26}, {50, 26}}},            // 85
		{Points: [][2]float64{{66, 17}, {84, 17}}, Dashed: true},        // armature
		{Points: [][2]float64{{100, 26}, {84, 26}, {84, 20}, {88, 13}}}, // 30 and the moving contact at rest on 87a
		{Points: [][2]float64{{100, 8}, {90, 8}, {90, 12}}},             // 87a
		{Points: [][2]float64{{100, 17}, {92, 17}, {92, 15}}},           // 87
	}
	places := map[string]Label{
		"86": {48, 9, "end", ""}, "85": {48, 27, "end", ""},
		"30": {102, 27, "start", ""}, "87a": {102, 9, "start", ""}, "87": {102, 18, "start", ""},
	}
	marks := map[string]Label{
		"86": {52, 7, "start", "86"}, "85": {52, 30, "start", "85"},
		"30": {98, 30, "end", "30"}, "87a": {98, 7, "end", "87a"}, "87": {98, 21, "end", "87"},
	}
	for _, t := range p.Terminals {
		if place, ok := places[t.Mark]; ok {
			place.Text = t.To
			if t.Fuse > 0 {
				place.Text += fmt.Sprintf(", fuse %g A", t.Fuse)
			}
			d.Labels = append(d.Labels, marks[t.Mark], place)
		}
	}
	return d
}
