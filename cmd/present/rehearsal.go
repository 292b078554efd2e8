package present

import (
	"fmt"
	"strings"

	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules"
	"asleft/rules/keying"
)

// RehearsalView is what typed inputs bring about on a device on the desk.
type RehearsalView struct {
	Schema string      `json:"schema"` // asleft/rehearsal/1
	Device string      `json:"device"`
	Label  string      `json:"label"`
	Events []EventLine `json:"events"`

	invented bool
}

// EventLine is one input and what followed.
type EventLine struct {
	Seconds float64  `json:"seconds"`
	Input   string   `json:"input"`
	Answers []string `json:"answers,omitempty"`
	Ignored bool     `json:"ignored,omitempty"`
	Stands  string   `json:"stands"`
}

// Rehearsal makes the view.
func Rehearsal(p *profile.Profile, events []keying.Event) RehearsalView {
	v := RehearsalView{Schema: "asleft/rehearsal/1", Device: p.ID, Label: p.Label, invented: p.Invented}
	for _, e := range events {
		line := EventLine{Seconds: e.Seconds, Input: e.Input.String(), Ignored: e.Ignored, Stands: e.Words}
		for _, answer := range e.Answers {
			line.Answers = append(line.Answers, answer.Text(true))
		}
		v.Events = append(v.Events, line)
	}
	return v
}

// Page lists the events.
func (v RehearsalView) Page() Page {
	p := Page{Title: "Rehearsal: " + v.Label}
	if v.invented {
		p.Marks = []string{"An invented demo device: not for a real vehicle."}
	}
	g := Grid{Head: []string{"s", "input", "answer", "then"}}
	for _, e := range v.Events {
		answer := strings.Join(e.Answers, "; ")
		if e.Ignored {
			answer = "means nothing here"
		}
		g.Rows = append(g.Rows, []string{fmt.Sprintf("%.1f", e.Seconds), e.Input, answer, e.Stands})
	}
	p.Sections = []Section{{Blocks: []Block{g}}}
	return p
}

// ReadOutView is how to see what the devices of a job hold.
type ReadOutView struct {
	Schema  string            `json:"schema"` // asleft/read-out/1
	Job     JobView           `json:"job"`
	Devices []ReadOutOfDevice `json:"devices"`
}

// ReadOutOfDevice is the read-out of one device.
type ReadOutOfDevice struct {
	Device      string     `json:"device"`
	Label       string     `json:"label"`
	Preparation []string   `json:"preparation,omitempty"`
	Entry       []StepView `json:"entry,omitempty"`
	Asks        []AskView  `json:"asks,omitempty"`
	Exit        []StepView `json:"exit,omitempty"`
	Presses     int        `json:"presses"`
	Seconds     float64    `json:"seconds"`
	Hidden      []string   `json:"hidden,omitempty"`
}

// AskView is one option whose value is read.
type AskView struct {
	Option string     `json:"option"`
	Title  string     `json:"title"`
	Values []string   `json:"values"`
	Steps  []StepView `json:"steps"`
}

// ReadOut makes the view.
func ReadOut(o *rules.Outcome, plans []keying.ReadOut, s Stamp) ReadOutView {
	v := ReadOutView{Schema: "asleft/read-out/1", Job: jobView(o, s)}
	for _, r := range plans {
		d := ReadOutOfDevice{
			Device: r.Device, Label: r.Label, Preparation: r.Preparation, Entry: stepViews(r.Entry), Exit: stepViews(r.Exit),
			Presses: r.Presses, Seconds: r.Seconds, Hidden: r.Hidden,
		}
		for _, q := range r.Asks {
			d.Asks = append(d.Asks, AskView{q.Option, q.Title, q.Values, stepViews(q.Steps)})
		}
		v.Devices = append(v.Devices, d)
	}
	return v
}

// Page lists the steps; the last answer of each option is its value.
func (v ReadOutView) Page() Page {
	p := Page{Title: "Read-out: " + v.Job.Vehicle, Marks: v.Job.marks()}
	for _, d := range v.Devices {
		s := Section{Title: d.Device + ", " + d.Label, Break: true}
		if len(d.Asks) == 0 {
			s.Add(Text{Plain, "The device shows none of its settings in this job."})
			p.Sections = append(p.Sections, s)
			continue
		}
		s.Add(Text{Plain, fmt.Sprintf("%d presses, about %.0f s; nothing is changed.", d.Presses, d.Seconds)})
		s.Add(List{Numbered: true, Items: d.Preparation})
		table := stepTable{grid: Grid{Head: []string{"", "do", "shows", "write down"}, Strips: map[int]Strip{}}}
		table.add(d.Entry, "enter")
		for _, q := range d.Asks {
			table.add(q.Steps, q.Title+": "+countedValues(q.Values))
		}
		table.add(d.Exit, "leave")
		s.Add(table.grid)
		if len(d.Hidden) > 0 {
			s.Add(Text{Notice, "Not shown by the device in this job: " + strings.Join(d.Hidden, ", ") + "."})
		}
		p.Sections = append(p.Sections, s)
	}
	return p
}

func countedValues(values []string) string {
	parts := make([]string, len(values))
	for i, v := range values {
		parts[i] = fmt.Sprintf("%d = %s", i+1, v)
	}
	return strings.Join(parts, ", ")
}

// Question is what is asked at one option of a read-out, in lines: entry before the first.
func Question(r keying.ReadOut, i int) []string {
	var lines []string
	say := func(steps []keying.Step) {
		for _, s := range steps {
			lines = append(lines, clean(s.Hands))
		}
	}
	if i == 0 {
		lines = append(lines, clean(r.Device+": "+r.Label))
		say(r.Entry)
	}
	q := r.Asks[i]
	say(q.Steps)
	return append(lines, clean(fmt.Sprintf("%s: how many? (%s, or unseen)", q.Title, countedValues(q.Values))))
}

// FoundFile is an as-found file being made: asleft/found/1.
type FoundFile struct {
	Vehicle, Taken, By string
	devices            strings.Builder
}

// Add writes what one device was read to hold.
func (f *FoundFile) Add(device string, s setting.Snapshot) {
	var unknown []string
	fmt.Fprintf(&f.devices, "\n[device.%s.read]\n", device)
	for _, r := range s.Readings {
		if r.Status == setting.StatusKnown {
			fmt.Fprintf(&f.devices, "%q = %q\n", r.Setting, string(r.Value))
		} else {
			unknown = append(unknown, fmt.Sprintf("%q", r.Setting))
		}
	}
	if len(unknown) > 0 {
		fmt.Fprintf(&f.devices, "\n[device.%s]\nunknown = [%s]\n", device, strings.Join(unknown, ", "))
	}
}

// String is the file.
func (f *FoundFile) String() string {
	return fmt.Sprintf("schema = \"asleft/found/1\"\nvehicle = %q\ntaken = %s\nby = %q\n%s", f.Vehicle, f.Taken, f.By, f.devices.String())
}
