package assign

import (
	"slices"

	"asleft/config/setting"
)

// setup is how an output is set to work a function.
type setup struct {
	values  map[string]setting.Value // by property: "behaviour", "seconds", ...
	matters map[string]string        // property -> why, for those that the function asks for
	changed []string                 // ids of options that leave the factory value
	series  []string                 // interlocks that neither the job nor the output provides: a contact in series
	lacks   []string                 // things worth having that the output cannot do, in plain words
	reason  string                   // why the output cannot work the function at all; empty when it can
}

// want is what a function asks of an output, for one way of behaving.
type want struct {
	f          *Function
	behaviour  setting.Value
	conditions []string // interlocks that the output or a contact has to provide
	disarms    bool     // "disarmed" is provided by disarming first
	sleeps     bool     // the output cannot disarm first: zones have to sleep while it works
}

// behaviours that can work f, the best first.
func (f *Function) behaviours() []setting.Value {
	switch f.Keeps {
	case "hold-to-run":
		return []setting.Value{"follows-button"}
	case "maintained":
		return []setting.Value{"latched", "timed"}
	}
	return []setting.Value{"pulse"}
}

// openConditions are the interlocks of f that are not joined yet. What only ever works by a remote
// start needs no proof that the engine runs.
func (f *Function) openConditions() []string {
	var open []string
	for _, c := range f.When {
		if slices.Contains(f.Joined, c) || c == "running" && f.AtStart && len(f.On) == 0 {
			continue
		}
		open = append(open, c)
	}
	return open
}

// unmeasured is why no output can be chosen for a line of which only the place is known.
const unmeasured = "nobody has measured yet what its line wants, ground or +"

// setupFor finds the best setting of output o for f: fewest contacts in series, then fewest
// things lacking, then fewest options away from the factory value, then the device's own order.
func setupFor(f *Function, o *Output) setup {
	if o.Busy != "" {
		return setup{reason: "it is joined to " + o.Busy}
	}
	if f.Active == "" && len(f.Lines) > 0 {
		return setup{reason: unmeasured}
	}
	var best setup
	found := false
	open := f.openConditions()
	for _, b := range f.behaviours() {
		for _, disarms := range []bool{false, true} {
			if disarms && !slices.Contains(open, "disarmed") {
				continue
			}
			s := (&want{f: f, behaviour: b, conditions: open, disarms: disarms}).setup(o)
			switch {
			case s.reason == "" && (!found || s.less(&best)):
				best, found = s, true
			case !found && best.reason == "":
				best = s
			}
		}
	}
	return best
}

func (s *setup) less(t *setup) bool {
	for _, d := range [][2]int{{len(s.series), len(t.series)}, {len(s.lacks), len(t.lacks)}, {len(s.changed), len(t.changed)}} {
		if d[0] != d[1] {
			return d[0] < d[1]
		}
	}
	return false
}

// setup chooses each option of o by itself: every property stands in one option only.
func (w *want) setup(o *Output) setup {
	s := setup{values: map[string]setting.Value{}, matters: map[string]string{}}
	w.sleeps = !o.can("disarm-first", "on")
	if reason := w.refuses(o.Fixed); reason != "" {
		return setup{reason: reason}
	}
	for _, p := range properties {
		if v, ok := o.Fixed[p]; ok {
			s.values[p] = v
		}
	}
	for _, option := range o.Options {
		best, score, reason := -1, [3]int{}, ""
		for i, values := range option.Values {
			if r := w.refuses(values); r != "" {
				reason = r
				continue
			}
			try := [3]int{len(w.uncovered(values)), w.misses(values), 0}
			if i != option.Factory {
				try[2] = 1
			}
			if best < 0 || slices.Compare(try[:], score[:]) < 0 {
				best, score = i, try
			}
		}
		if best < 0 {
			return setup{reason: reason}
		}
		for _, p := range properties {
			if v, ok := option.Values[best][p]; ok {
				s.values[p] = v
			}
		}
		if best != option.Factory {
			s.changed = append(s.changed, option.ID)
		}
	}
	return w.complete(s)
}

// can reports whether a property of the output can have the value.
func (o *Output) can(property string, v setting.Value) bool {
	return o.Fixed[property] == v || slices.ContainsFunc(o.Options, func(option OutputOption) bool {
		return slices.ContainsFunc(option.Values, func(values map[string]setting.Value) bool { return values[property] == v })
	})
}

// complete looks at the whole: properties that must be there, interlocks left, things lacking.
func (w *want) complete(s setup) setup {
	if s.values["behaviour"] == "" {
		return setup{reason: "its behaviour is not in the profile"}
	}
	if w.timed() && w.f.MaxSeconds > 0 && s.values["seconds"] == "" {
		return setup{reason: "how long its pulse lasts is not in the profile"}
	}
	if w.f.AtStart && s.values["at-start"] != "on" {
		return setup{reason: "it cannot work by itself at remote start"}
	}
	for _, c := range w.uncovered(s.values) {
		switch {
		case c == "disarmed" && w.disarms && s.values["disarm-first"] == "on":
		case c == "disarmed":
			return setup{reason: "it cannot see to it that the alarm is off"}
		default:
			s.series = append(s.series, c)
		}
	}
	s.matters = w.reasons(s.values)
	s.lacks = w.lacking(s.values)
	return s
}

// properties of an output, in the order of listings.
var properties = []string{"behaviour", "seconds", "count", "when", "disarm-first", "unlock-first", "bypass-zones", "ends-with", "at-start", "at-start.below"}

func (w *want) timed() bool { return w.behaviour == "pulse" || w.behaviour == "timed" }

// refuses says why a set of values cannot work the function; "" when it can.
func (w *want) refuses(values map[string]setting.Value) string {
	f := w.f
	for _, p := range properties {
		v, ok := values[p]
		if !ok {
			continue
		}
		switch p {
		case "behaviour":
			if v != w.behaviour {
				return "it cannot behave as " + string(w.behaviour)
			}
		case "seconds":
			if n, number := v.Number(); w.timed() && f.MaxSeconds > 0 && number && (n < f.MinSeconds || n > f.MaxSeconds) {
				return "it has no length between " + seconds(f.MinSeconds) + " and " + seconds(f.MaxSeconds) + " s"
			}
		case "count":
			if w.behaviour == "pulse" && v != setting.Number(float64(max(f.Count, 1))) {
				return "it cannot give the pulses that the line counts"
			}
		case "when":
			for _, c := range v.Words() {
				if !slices.Contains(f.When, c) {
					return "it works only with " + plain(c)
				}
			}
		case "disarm-first":
			if w.disarms && v != "on" {
				return "it cannot disarm first"
			}
		case "at-start":
			if (v == "on") != f.AtStart {
				return "at remote start it is " + string(v)
			}
		}
	}
	return ""
}

// uncovered are the interlocks that these values leave to somebody else. For a part under the
// safety guard a setting does not count: its interlocks stand in series.
func (w *want) uncovered(values map[string]setting.Value) []string {
	var open []string
	words := values["when"].Words()
	for _, c := range w.conditions {
		if slices.Contains(words, c) && (!w.f.safety() || c == "disarmed") {
			continue
		}
		open = append(open, c)
	}
	return open
}

// wishes are values worth having without being needed.
func (w *want) wishes() map[string]setting.Value {
	f := w.f
	wish := map[string]setting.Value{}
	if slices.Contains(openings, f.Does) && (w.disarms || !slices.Contains(f.When, "disarmed")) {
		wish["disarm-first"] = "on"
	}
	if wish["disarm-first"] != "" && w.sleeps {
		wish["bypass-zones"] = "on"
	}
	if f.Moves && slices.Contains(openings, f.Does) {
		wish["unlock-first"] = "on"
	}
	if f.AtStart && f.HasBelow {
		wish["at-start.below"] = setting.Number(f.Below)
	}
	return wish
}

func (w *want) misses(values map[string]setting.Value) int {
	n := 0
	wish := w.wishes()
	for _, p := range properties {
		if v, ok := values[p]; ok && wish[p] != "" && wish[p] != v {
			n++
		}
	}
	return n
}
