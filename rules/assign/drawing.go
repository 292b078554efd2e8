package assign

import (
	"fmt"
	"strings"
)

// Drawing is a part as a picture, free of any drawing language: a box with wires on both sides. On
// the left is what drives the part, on the right what it works.
type Drawing struct {
	ID, Title   string
	Kind        string // "relay" or "diode"
	Left, Right []Wire
	BandLeft    bool // of a diode: the band is on the left
}

// Wire is one conductor from a terminal of the part to its far end.
type Wire struct {
	Mark string  // terminal, "86"
	Role string  // coil, common, make, break, anode, band
	To   string  // far end
	Fuse float64 // amperes, 0 without
	Note string
}

// roles of terminals, ISO 7588-1.
var roles = map[string]string{"85": "coil", "86": "coil", "30": "common", "87": "make", "87a": "break", "anode": "anode", "band": "band"}

// Drawing gives the part as a picture.
func (p *Part) Drawing() Drawing {
	d := Drawing{ID: p.ID, Title: p.Title, Kind: p.Kind}
	for _, t := range p.Terminals {
		w := Wire{Mark: t.Mark, Role: roles[t.Mark], To: t.To, Fuse: t.Fuse, Note: t.Note}
		left := w.Role == "coil"
		if p.Kind == "diode" {
			left = strings.HasPrefix(t.To, "controller output")
		}
		if left {
			d.Left = append(d.Left, w)
			d.BandLeft = d.BandLeft || w.Role == "band"
		} else {
			d.Right = append(d.Right, w)
		}
	}
	return d
}

// label is a wire's far end in words.
func (w Wire) label() string {
	s := w.To
	if w.Fuse > 0 {
		s += " [fuse " + seconds(w.Fuse) + " A]"
	}
	if w.Note != "" {
		s += ", " + w.Note
	}
	return s
}

// Text draws the part in lines of 72 columns at most, with plain characters only, and says under
// it what has to be known: coil load, contact, suppression, notes.
func (p *Part) Text() []string {
	lines := wrap(p.ID+"  "+p.Title+" ("+p.Type+")", 72)
	d := p.Drawing()
	if p.Kind == "diode" {
		lines = append(lines, d.diode()...)
	} else {
		lines = append(lines, d.relay()...)
	}
	for _, fact := range p.facts() {
		for i, l := range wrap(fact, 68) {
			lead := "  - "
			if i > 0 {
				lead = "    "
			}
			lines = append(lines, lead+l)
		}
	}
	return lines
}

const side = 24 // columns for what is written beside a box

func (d *Drawing) relay() []string {
	edge := strings.Repeat(" ", side+5) + "+------------+"
	lines := []string{edge}
	for i := range max(len(d.Left), len(d.Right)) {
		var left, right []string
		leftMark, rightMark, leftWire, rightWire := "", "", "   ", ""
		if i < len(d.Left) {
			left, leftMark, leftWire = wrap(d.Left[i].label(), side), d.Left[i].Mark, " --"
		}
		if i < len(d.Right) {
			right, rightMark, rightWire = wrap(d.Right[i].label(), side), d.Right[i].Mark, "-- "
		}
		for k := range max(len(left), len(right), 1) {
			l, r := at(left, k), at(right, k)
			if k > 0 {
				leftMark, rightMark, leftWire, rightWire = "", "", "   ", ""
				if r != "" {
					rightWire = "   "
				}
			}
			lines = append(lines, strings.TrimRight(fmt.Sprintf("  %*s%s| %-4s  %4s |%s%s", side, l, leftWire, leftMark, rightMark, rightWire, r), " "))
		}
	}
	return append(lines, edge)
}

func (d *Drawing) diode() []string {
	symbol := "[anode >| band]"
	if d.BandLeft {
		symbol = "[band |< anode]"
	}
	left, right := wrap(d.Left[0].label(), side), wrap(d.Right[0].label(), side)
	var lines []string
	for k := range max(len(left), len(right)) {
		format, middle := "  %*s --%s-- %s", symbol
		if k > 0 {
			format, middle = "  %*s   %s   %s", strings.Repeat(" ", len(symbol))
		}
		lines = append(lines, strings.TrimRight(fmt.Sprintf(format, side, at(left, k), middle, at(right, k)), " "))
	}
	return lines
}

func at(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return ""
}

// current is a rating in the unit in which it is spoken of.
func current(milliamps int) string {
	if milliamps > 1000 {
		return seconds(float64(milliamps)/1000) + " A"
	}
	return fmt.Sprintf("%d mA", milliamps)
}

// facts says what has to be known about the part.
func (p *Part) facts() []string {
	var out []string
	switch c := p.Coil; {
	case p.Kind != "relay":
	case c.Rating > 0 && c.Share > c.Milliamps:
		out = append(out, fmt.Sprintf("coil %s ohm: %d mA at worst, with the others on this output %d mA; the output may carry %s", seconds(c.Ohms), c.Milliamps, c.Share, current(c.Rating)))
	case c.Rating > 0:
		out = append(out, fmt.Sprintf("coil %s ohm: %d mA at worst; the output may carry %s", seconds(c.Ohms), c.Milliamps, current(c.Rating)))
	default:
		out = append(out, fmt.Sprintf("coil %s ohm: %d mA at worst", seconds(c.Ohms), c.Milliamps))
	}
	if c := p.Contact; c.Rating > 0 {
		which := "make"
		if c.Break {
			which = "break"
		}
		load := "current of the line not measured"
		if c.Amps > 0 {
			load = seconds(c.Amps) + " A"
		}
		out = append(out, fmt.Sprintf("%s contact: %s, may carry %s A at 85 C", which, load, seconds(c.Rating)))
	}
	if s := p.Suppression; s.Kind != "" && s.Kind != "none" {
		out = append(out, fmt.Sprintf("across the coil: %s, band to %s; it lets go in %d to %d ms (common practice, no source)",
			strings.ReplaceAll(s.Kind, "-", " "), s.Band, s.ReleaseMS[0], s.ReleaseMS[1]))
	}
	return append(out, p.Notes...)
}

// wrap breaks text at blanks into lines of width columns; longer words are cut.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		for len([]rune(word)) > width {
			if line != "" {
				lines, line = append(lines, line), ""
			}
			r := []rune(word)
			lines, word = append(lines, string(r[:width])), string(r[width:])
		}
		if line != "" && len([]rune(line))+1+len([]rune(word)) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
