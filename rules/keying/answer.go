package keying

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Signal is one part of an answer: a path with a number of flashes or chirps, or steady.
type Signal struct {
	By     string // led, horn, siren, lamps
	Colour string // of the LED; "" where it has one
	Count  int
	Steady bool
	Of     string // in a Move: "value" stands for the place of the option's value
}

// Answer is what a device shows after an input, in order; empty is nothing.
type Answer []Signal

// String is the answer in one line, as ParseAnswer reads it: "led 3 green, horn 2", "nothing".
func (a Answer) String() string {
	if len(a) == 0 {
		return "nothing"
	}
	parts := make([]string, len(a))
	for i, s := range a {
		parts[i] = s.String()
	}
	return strings.Join(parts, ", ")
}

// String is one signal: "led 3 green".
func (s Signal) String() string {
	text := s.By + " "
	switch {
	case s.Of != "":
		text += s.Of
	case s.Steady:
		text += "steady"
	default:
		text += strconv.Itoa(s.Count)
	}
	if s.Colour != "" {
		text += " " + s.Colour
	}
	return text
}

// Equal reports whether two answers look and sound the same.
func (a Answer) Equal(b Answer) bool { return slices.Equal(a, b) }

// Seen is the part of the answer that comes over the wired paths.
func (a Answer) Seen(wired []string) Answer {
	var seen Answer
	for _, s := range a {
		if slices.Contains(wired, s.By) {
			seen = append(seen, s)
		}
	}
	return seen
}

// Text is the answer in words for a card.
func (a Answer) Text(acknowledge bool) string {
	if len(a) == 0 {
		return "nothing"
	}
	parts := make([]string, len(a))
	for i, s := range a {
		parts[i] = s.text()
	}
	text := strings.Join(parts, ", then ")
	if acknowledge && a[0].By == "led" && !a[0].Steady {
		text = "a short flash (not counted), then " + text
	}
	return text
}

// path names the path with its colour: "green LED".
func (s Signal) path() string {
	name, _ := pathWords(s.By)
	if s.Colour != "" {
		name = s.Colour + " " + name
	}
	return name
}

func (s Signal) text() string {
	name := s.path()
	_, unit := pathWords(s.By)
	switch {
	case s.Steady:
		return name + ": steady"
	case s.Of != "":
		return fmt.Sprintf("%s: as many %s as the place of its present value", name, plural(unit))
	}
	if s.Count != 1 {
		unit = plural(unit)
	}
	return fmt.Sprintf("%s: %s %s", name, countWords(s.Count), unit)
}

func plural(unit string) string {
	if unit == "flash" {
		return "flashes"
	}
	return unit + "s"
}

// open tells whether a value in the answer is not known beforehand.
func (a Answer) open() bool {
	return slices.ContainsFunc(a, func(s Signal) bool { return s.Of != "" })
}

func pathWords(by string) (name, unit string) {
	switch by {
	case "led":
		return "LED", "flash"
	case "lamps":
		return "lamps", "flash"
	}
	return by, "sound"
}

// countWords writes a count; above ten it is grouped in fives, as people miscount.
func countWords(n int) string {
	if n <= 10 {
		return strconv.Itoa(n)
	}
	groups := make([]string, 0, n/5+1)
	for left := n; left > 0; left -= 5 {
		groups = append(groups, strconv.Itoa(min(5, left)))
	}
	return fmt.Sprintf("%d (%s)", n, strings.Join(groups, "+"))
}

// answer resolves the signals of a move in the configuration that it leads to; a value that is not
// known stays open.
func (m *Machine) answer(c Configuration, move Move) Answer {
	var a Answer
	for _, s := range move.Shows {
		if m.silenced(c, s.By) {
			continue
		}
		if s.Of == "value" && c.Working[move.Option] >= 0 {
			s.Count, s.Of = int(c.Working[move.Option])+1, ""
		}
		a = append(a, s)
	}
	return a
}

// silenced reports whether a stored value switches the path off.
func (m *Machine) silenced(c Configuration, by string) bool {
	for i, v := range c.Stored {
		if v >= 0 && slices.Contains(m.Options[i].Values[v].Silences, by) {
			return true
		}
	}
	return false
}

// mayBeSilenced reports whether an option whose value is not known could switch the path off.
func (m *Machine) mayBeSilenced(c Configuration, by string) bool {
	for i, v := range c.Stored {
		if v >= 0 {
			continue
		}
		if slices.ContainsFunc(m.Options[i].Values, func(x Value) bool { return slices.Contains(x.Silences, by) }) {
			return true
		}
	}
	return false
}

// seconds is how long the answer lasts.
func (m *Machine) seconds(a Answer) float64 {
	total := 0.0
	for _, s := range m.Strip(a) {
		total += s.Seconds
	}
	return total
}

// Strip draws the answer in time: the gap before it, the acknowledging flash, then each
// signal; after each five of a count above ten the dark is twice as long.
func (m *Machine) Strip(a Answer) []Segment {
	if len(a) == 0 {
		return nil
	}
	t := m.timing
	size := 3
	for _, s := range a {
		size += 2 * max(s.Count, 1)
	}
	strip := append(make([]Segment, 0, size), Segment{Seconds: t.Gap})
	if t.Acknowledge && a[0].By == "led" && !a[0].Steady {
		strip = append(strip, Segment{By: "led", Colour: a[0].Colour, On: true, Ack: true, Seconds: t.On / 2}, Segment{Seconds: t.Gap})
	}
	for i, s := range a {
		if i > 0 {
			strip = append(strip, Segment{Seconds: t.Gap})
		}
		if s.Steady {
			strip = append(strip, Segment{By: s.By, Colour: s.Colour, On: true, Seconds: t.Long})
			continue
		}
		for n := 1; n <= s.Count; n++ {
			strip = append(strip, Segment{By: s.By, Colour: s.Colour, On: true, Seconds: t.On})
			if n < s.Count {
				dark := t.Off
				if s.Count > 10 && n%5 == 0 {
					dark *= 2
				}
				strip = append(strip, Segment{Seconds: dark})
			}
		}
	}
	return strip
}

// parseSignal reads the response text of a profile ("led number green").
func parseSignal(text string) (Signal, bool) {
	f := strings.Fields(text)
	if len(f) < 2 || f[0] == "nothing" {
		return Signal{}, false
	}
	s := Signal{By: f[0]}
	switch f[1] {
	case "number", "value":
		s.Of = f[1]
	case "steady":
		s.Steady = true
	default:
		n, err := strconv.Atoi(f[1])
		if err != nil {
			return Signal{}, false
		}
		s.Count = n
	}
	if len(f) > 2 {
		s.Colour = f[2]
	}
	return s, true
}

func parseSignals(texts []string) []Signal {
	var out []Signal
	for _, t := range texts {
		if s, ok := parseSignal(t); ok {
			out = append(out, s)
		}
	}
	return out
}
