package keying

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Observation is what a person says to have seen or heard: signals in order, each with what was noticed of it.
// An Observation without signals is 'nothing was to be seen'.
type Observation []Noticed

// Noticed is one signal as a person noticed it. By and Colour are "" when they were not said.
type Noticed struct {
	By, Colour string
	Count      int
	Steady     bool
}

// The words of observations.
var (
	noticedBy      = map[string]string{"led": "led", "light": "led", "horn": "horn", "siren": "siren", "chirp": "siren", "lamps": "lamps", "lamp": "lamps"}
	noticedColours = []string{"red", "green", "amber", "blue", "white", "yellow"}
)

// ParseAnswer reads an observation: "5", "5 2" (two counts in a row), "led 5, horn 2", "led 3 green",
// "steady", "nothing". An empty text is an error: an observation has no default.
func ParseAnswer(text string) (Observation, error) {
	text = strings.ToLower(strings.TrimSpace(text))
	switch text {
	case "":
		return nil, fmt.Errorf("say what was seen: a number, steady, or nothing")
	case "nothing", "none", "no", "dark":
		return Observation{}, nil
	}
	var out Observation
	for _, part := range strings.Split(text, ",") {
		var n Noticed
		said := false
		for _, word := range strings.Fields(part) {
			by, isPath := noticedBy[word]
			count, err := strconv.Atoi(word)
			switch {
			case isPath || said && (err == nil || word == "steady"):
				if said {
					out = append(out, n)
					n, said = Noticed{}, false
				}
				if isPath {
					n.By = by
				} else if err == nil {
					n.Count, said = count, true
				} else {
					n.Steady, said = true, true
				}
			case word == "steady":
				n.Steady, said = true, true
			case err == nil && count >= 1 && count <= 99:
				n.Count, said = count, true
			case slices.Contains(noticedColours, word):
				n.Colour = word
			default:
				return nil, fmt.Errorf("%q is not understood: say a number, steady, or nothing; led, horn, siren or lamps before it", word)
			}
		}
		if !said {
			return nil, fmt.Errorf("%q has no number", strings.TrimSpace(part))
		}
		out = append(out, n)
	}
	return out, nil
}

// String is the observation as ParseAnswer reads it.
func (o Observation) String() string {
	if len(o) == 0 {
		return "nothing"
	}
	parts := make([]string, len(o))
	for i, n := range o {
		fields := []string{}
		if n.By != "" {
			fields = append(fields, n.By)
		}
		if n.Steady {
			fields = append(fields, "steady")
		} else {
			fields = append(fields, strconv.Itoa(n.Count))
		}
		if n.Colour != "" {
			fields = append(fields, n.Colour)
		}
		parts[i] = strings.Join(fields, " ")
	}
	return strings.Join(parts, ", ")
}

// fits tells whether an answer as it can be seen agrees with an observation, and which count stands for a value that
// was open, 0 none. Fewer signals than the device gave fit when they are the first ones; who says
// only 'lamps 2' has not seen the LED before it.
func (o Observation) fits(seen Answer) (open int, ok bool) {
	if len(o) == 0 {
		return 0, len(seen) == 0
	}
	if len(o) > len(seen) {
		return 0, false
	}
	for i, n := range o {
		s := seen[i]
		switch {
		case n.By != "" && n.By != s.By, n.Colour != "" && s.Colour != "" && n.Colour != s.Colour:
			return 0, false
		case s.Of != "" && !n.Steady:
			open = n.Count
		case n.Steady != s.Steady, !n.Steady && n.Count != s.Count:
			return 0, false
		}
	}
	return open, true
}

// settle gives a configuration the value that an observation says, when the answer left it open.
func (m *Machine) settle(c Configuration, option, count int) (Configuration, bool) {
	if count == 0 || option < 0 || c.Working[option] >= 0 {
		return c, true
	}
	if count > len(m.Options[option].Values) {
		return c, false
	}
	c = c.Clone()
	if c.Stored[option] < 0 && m.direct {
		c.Stored[option] = int8(count - 1)
	}
	c.Working[option] = int8(count - 1)
	return c, true
}
