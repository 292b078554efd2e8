package derive_test

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
)

// chance makes random files out of the demo files: what is drawn is text, which nobody has to be able to read.
type chance struct{ *rand.Rand }

func (r chance) of(p float64) bool { return r.Float64() < p }

func (r chance) one(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[r.IntN(len(list))]
}

// some draws each member with the same chance.
func (r chance) some(list []string, p float64) []string {
	return slices.DeleteFunc(slices.Clone(list), func(string) bool { return !r.of(p) })
}

var (
	tableLine = regexp.MustCompile(`^\[([a-z-]+)(?:\.(?:"([^"]*)"|([a-z0-9-]+)))?(?:\..*)?\]\s*$`)
	wordLine  = regexp.MustCompile(`^([a-z0-9-]+) = "([a-z0-9-]+)"\s*$`)
	listLine  = regexp.MustCompile(`^([a-z0-9-]+) = \[(.*)\]\s*$`)
	voltsLine = regexp.MustCompile(`^volts = \{(.*)\}\s*$`)
)

// section is a table of a file with its lines.
type section struct {
	kind, name string
	lines      []string
}

// sections takes a file apart; the first one stands before all tables.
func sections(text string) []section {
	out := []section{{}}
	for _, line := range strings.Split(text, "\n") {
		if m := tableLine.FindStringSubmatch(line); m != nil {
			out = append(out, section{kind: m[1], name: m[2] + m[3]})
		}
		last := &out[len(out)-1]
		last.lines = append(last.lines, line)
	}
	return out
}

func joined(list []section) string {
	var b strings.Builder
	for _, s := range list {
		b.WriteString(strings.Join(s.lines, "\n") + "\n")
	}
	return b.String()
}

// words that a job can say under some keys; "unknown" is the same as nothing said.
var words = map[string][]string{
	"gearbox": {"automatic", "automated-manual", "manual", "direct", "unknown"}, "parking-lock": {"mechanical", "by-wire", "none", "unknown"},
	"fuel":          {"petrol", "diesel", "gas-lpg", "gas-cng", "hybrid-petrol", "hybrid-diesel", "electric", "unknown"},
	"start-control": {"blade-key", "slot", "knob-without-key", "button", "unknown"}, "crank-by": {"controller", "vehicle", "unknown"},
	"immobiliser": {"none", "resistor-key", "transponder", "proximity", "code", "unknown"}, "alternator": {"plain", "controlled", "unknown"},
	"work-equipment": {"none", "electric", "engine-driven", "hydraulic", "unknown"}, "parked": {"open-air", "closed-space", "street", "unknown"},
	"unlock-steps": {"yes", "no", "owner-set", "unknown"}, "coldest": {"above-minus-20", "below-minus-20", "unknown"},
	"release": {"none", "link-keys", "link-code", "resistor", "loop-key", "fob-box"}, "start-path": {"feeds", "link", "button-line", "none"},
	"circuit": {"negative-pulse", "positive-pulse", "reversal", "ladder", "pneumatic", "key-cylinder", "link", "none", "unknown"},
	"drive":   {"positive", "positive-two-circuits", "negative-switch", "ladder-switch", "link", "unknown"}, "bulbs": {"filament", "led", "unknown"},
	"disarm-by": {"unlock", "key-cylinder", "disarm-line", "link", "unknown"}, "fitted": {"yes", "no", "unknown"},
	"source": {"link", "wire"}, "covers": {"p-only", "p-and-n", "unknown"}, "active": {"ground", "battery", "open-circuit", "ladder", "unknown"},
	"kind":     {"tach-line", "coil-on-plug", "injector", "alternator", "crank-wheel", "speed", "running", "unknown"},
	"taken-at": {"pedal-switch", "lamp-line", "body-unit", "lever", "dome", "latch", "selector", "range-switch", "unknown"},
	"seen-by":  {"door", "boot"}, "does": {"boot", "side-door", "ramp", "window", "roof", "heated-seat", "platform-lift", "panic", "rear-glass"},
	"direction": {"open", "close", "toggle", "on"}, "keeps": {"pulse", "maintained", "hold-to-run", "unknown"},
	"side":      {"key-side", "starter-side", "upstream-of-interlock", "downstream-of-interlock", "unknown"},
	"read-with": {"meter", "lamp-5w", "min-max", "lamp-5w-and-min-max"}, "alarm-lamps": {"any", "indicators", "unknown"},
	"link": {"serial", "discrete", "none", "unknown"},
}

// lists are the words of which a job can name several.
var lists = map[string][]string{
	"left-inside": {"adults", "children", "wheelchair-users", "pets"}, "set-off-by": {"unlock", "start", "boot"},
	"armed-again-after": {"lock", "after-start", "after-stop", "after-boot"}, "wired": {"led", "button", "horn", "siren", "lamps", "sensor", "antenna", "starter-interrupt"},
	"joined": {"park", "parking-brake", "engine-off", "running", "door-open", "doors-closed", "disarmed"},
	"when":   {"park", "parking-brake", "engine-off", "running", "door-open", "doors-closed", "disarmed"},
}

// numbers are what a job can count or measure.
var numbers = map[string][]string{
	"nominal-volts": {"12", "12", "12", "24"}, "cylinders": {"3", "4", "6", "8"}, "keys-presented": {"0", "1", "2"}, "batteries": {"1", "2"},
	"idle-minutes": {"1", "3", "5", "10", "15"}, "starts-per-hour": {"1", "2", "4"}, "alarm-seconds": {"[20, 25]", "[25, 30]", "[25, 60]"},
	"alarm-rest-seconds": {"5", "10", "20"}, "pulses": {"0.5", "1", "2", "3"}, "settle-seconds": {"0", "20", "45"}, "fuse-amperes": {"5", "15", "25", "40"},
	"amperes": {"2", "9", "30"}, "counts": {"[1]", "[2]", "[1, 2]"}, "seconds": {"[0.3, 0.8]", "[0.5, 1]", "[2.5, 4]"},
	"cold-start-rest-volts": {"12.4"}, "cold-start-3s-volts": {"12.5", "13.2", "13.9"}, "cold-start-60s-volts": {"12.4", "13.2", "14"},
}

// line says something else where it says something that the tables above know.
func (r chance) line(line string) string {
	if m := wordLine.FindStringSubmatch(line); m != nil {
		if list := words[m[1]]; slices.Contains(list, m[2]) {
			return fmt.Sprintf("%s = %q", m[1], r.one(list))
		}
		if m[2] == "yes" || m[2] == "no" {
			return fmt.Sprintf("%s = %q", m[1], r.one([]string{"yes", "no", "yes", "no", "unknown"}))
		}
	}
	if m := voltsLine.FindStringSubmatch(line); m != nil && strings.Contains(line, "crank") {
		return r.volts()
	}
	key, _, _ := strings.Cut(line, " = ")
	if list := lists[key]; list != nil && listLine.MatchString(line) {
		if some := r.some(list, 0.3); len(some) > 0 {
			return fmt.Sprintf("%s = [%s]", key, quoted(some))
		}
	}
	if list := numbers[key]; list != nil {
		return key + " = " + r.one(list)
	}
	return line
}

func quoted(list []string) string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = fmt.Sprintf("%q", s)
	}
	return strings.Join(out, ", ")
}

// patterns are the readings that a conductor can have, on as 1.
var patterns = []string{"11111", "01111", "00011", "00111", "00110", "00010", "00001", "00000"}

// volts writes readings of one of the patterns near the limits of on and off, and now and then a logic line, a data line or a line
// that keeps its power.
func (r chance) volts() string {
	p, battery := patterns[r.IntN(len(patterns))], []float64{12.6, 12.6, 12.5, 12.4, 10.2}
	other := r.IntN(12)
	more := ""
	var out []string
	for i, pos := range []string{"out", "off", "acc", "run", "crank"} {
		v := []float64{0, 0.1, 0.3, 0.5}[r.IntN(4)]
		if p[i] == '1' {
			v = battery[i] - []float64{0, 0.1, 0.4, 1.4, 1.5}[r.IntN(5)]
		}
		switch other {
		case 0:
			v = 4.5 + float64(r.IntN(11))/10
		case 1:
			v = 1.5 + float64(r.IntN(21))/10
		case 2:
			if i == 0 {
				v, more = 12.5, []string{"\nretained = true", "\nretained = true\nasleep = { volts = 0.0, battery = 12.6 }"}[r.IntN(2)]
			}
		}
		out = append(out, fmt.Sprintf("%s = %.1f", pos, v))
	}
	return "volts = { " + strings.Join(out, ", ") + " }" + more
}

// job is a demo job with other words, other devices, other joins and other wishes.
func (r chance) job(base string, w *world) string {
	list := sections(base)
	change := []float64{0.02, 0.08, 0.25}[r.IntN(3)]
	if !w.fits(list) || r.of(0.5) {
		list = r.devices(list, w)
	}
	for k := range list {
		for i, line := range list[k].lines {
			switch {
			case strings.HasPrefix(line, "start = "):
				list[k].lines[i] = fmt.Sprintf("start = %v", r.of(0.9))
			case r.of(change) && !strings.HasPrefix(line, "battery"):
				list[k].lines[i] = r.line(line)
			}
		}
	}
	list = slices.DeleteFunc(list, func(s section) bool {
		return s.kind == "wish" && r.of(0.4) || s.kind == "place" && r.of(0.2) || s.kind == "signal" && r.of(change/2)
	})
	return joined(append(list, r.wishes(w)...))
}

// fits reports whether a job has the devices of the world already.
func (w *world) fits(list []section) bool {
	have := map[string]bool{}
	for _, s := range list {
		for _, line := range s.lines {
			if m := wordLine.FindStringSubmatch(line); s.kind == "device" && m != nil && m[1] == "profile" {
				have[m[2]] = true
			}
		}
	}
	return have[w.controller] && have[w.module] == (w.module != "") && len(have) == map[bool]int{true: 1, false: 2}[w.module == ""]
}

// devices puts the controller and module of the world in, and joins them at random.
func (r chance) devices(list []section, w *world) []section {
	p := w.profiles[w.controller]
	var circuits []string
	for _, s := range list {
		if s.kind == "circuit" {
			circuits = append(circuits, s.name)
		}
	}
	list = slices.DeleteFunc(list, func(s section) bool { return s.kind == "device" || s.kind == "feed" || s.kind == "output" })
	for k := range list {
		list[k].lines = slices.DeleteFunc(list[k].lines, func(line string) bool { return strings.HasPrefix(line, "output = ") })
		for i, line := range list[k].lines {
			if list[k].kind == "signal" && strings.HasPrefix(line, "input = ") {
				list[k].lines[i] = ""
				for _, in := range r.some(p.keys("input"), 0.8) {
					if p.str("input", in, "signal") == list[k].name {
						list[k].lines[i] = fmt.Sprintf("input = %q", in)
					}
				}
			}
		}
	}
	add := func(format string, args ...any) {
		list = append(list, section{lines: strings.Split(fmt.Sprintf(format, args...), "\n")})
	}
	add("[device.controller]\nprofile = %q\nlink = \"none\"\nwired = [%s]\n", w.controller, quoted(r.some(lists["wired"], 0.6)))
	if w.module != "" {
		add("[device.module]\nprofile = %q\nlink = %q\nlink-to = \"controller\"\n", w.module, r.one([]string{"serial", "serial", "discrete", "none", "unknown"}))
	}
	for _, f := range r.some(p.keys("feed"), 0.7) {
		add("[feed.%s]\nconductor = %q\nside = %q\n", f, r.one(circuits), r.one(words["side"]))
		if r.of(0.1) {
			add("[feed.more]\nfeed = %q\nconductor = %q\n", f, r.one(circuits))
			return append(list, r.outputs(p)...)
		}
	}
	return append(list, r.outputs(p)...)
}

func (r chance) outputs(p *tree) []section {
	var out []section
	for i, o := range r.some(p.keys("output"), 0.6) {
		out = append(out, section{lines: []string{fmt.Sprintf("[output.%s]\nline = \"c20-%02d\"\n", o, i+1)}})
	}
	return out
}

// wishes asks for values that options have, and for some that the vocabulary has and the device has not.
func (r chance) wishes(w *world) []section {
	groups := readGroups(w.controller, w.profiles[w.controller])
	var out []section
	for i := range r.IntN(6) {
		g := groups[r.IntN(len(groups))]
		at := r.IntN(len(g.settings))
		s, v := g.settings[at], g.choices[r.IntN(len(g.choices))][at]
		if f, ok := family(s); ok && r.of(0.2) && len(f.Words) > 0 && f.Kind == "word" {
			v = r.one(f.Words)
		}
		if v != "" {
			out = append(out, section{lines: []string{fmt.Sprintf("[wish.drawn-%d]\nsetting = %q\nvalue = %q\n", i, s, v)}})
		}
		if i == 0 && r.of(0.3) && v != "" {
			out = append(out, section{lines: []string{fmt.Sprintf("[wish.drawn-again]\nsetting = %q\nvalue = %q\n", s, orWord(g.choices[r.IntN(len(g.choices))][at], v))}})
		}
	}
	return out
}

func orWord(v, other string) string {
	if v == "" {
		return other
	}
	return v
}

// demands draws what a button plan could need.
func (r chance) demands(job *tree, w *world) []demand {
	out := []demand{}
	var groups []*group
	for _, d := range job.keys("device") {
		id := job.str("device", d, "profile")
		if w.profiles[id].str("kind") == "controller" && d == "controller" {
			groups = append(groups, readGroups(id, w.profiles[id])...)
		}
	}
	for _, name := range job.keys("remote") {
		id := job.str("remote", name, "profile")
		groups = append(groups, gestures(id, name, w.profiles[id])...)
	}
	groups = slices.DeleteFunc(groups, func(g *group) bool { return !ofPlan(g.settings[0]) })
	for range r.IntN(9) {
		if len(groups) == 0 {
			break
		}
		g := groups[r.IntN(len(groups))]
		at, device := r.IntN(len(g.settings)), "controller"
		if g.remote != "" {
			device = g.remote
		}
		if v := g.choices[r.IntN(len(g.choices))][at]; v != "" && ofPlan(g.settings[at]) {
			out = append(out, demand{device, g.settings[at], v})
		}
	}
	return out
}

// profile is a demo profile of which some options, values, factory settings, roles and links are otherwise.
func (r chance) profile(text string) string {
	list := sections(text)
	list = slices.DeleteFunc(list, func(s section) bool { return s.kind == "option" && s.name != "" && r.of(0.08) })
	for k, s := range list {
		for i, line := range s.lines {
			m := listLine.FindStringSubmatch(line)
			switch {
			case m == nil || !r.of(0.3):
			case s.kind == "option" && m[1] == "values", s.kind == "feed" && m[1] == "roles", s.kind == "link", s.kind == "input" && m[1] == "active":
				some := r.some(strings.Split(m[2], ", "), 0.7)
				if len(some) == 0 {
					continue
				}
				list[k].lines[i] = m[1] + " = [" + strings.Join(some, ", ") + "]"
				if m[1] == "values" {
					refit(list[k].lines, r.one(some))
				}
			}
		}
		if s.kind == "fixed" {
			list[k].lines = slices.DeleteFunc(s.lines, func(line string) bool { return strings.HasPrefix(line, `"`) && r.of(0.1) })
		}
	}
	return joined(list)
}

// refit puts the factory setting to a value that is left.
func refit(lines []string, value string) {
	for i, line := range lines {
		if strings.HasPrefix(line, "factory = ") {
			lines[i] = "factory = " + value
		}
	}
}
