package present

import (
	"fmt"
	"sort"
	"strings"

	"asleft/config/job"
	"asleft/rules"
)

// SheetView is the whole job sheet, the main job of asleft.
type SheetView struct {
	Schema   string        `json:"schema"` // asleft/sheet/1
	Derived  DerivedView   `json:"derived"`
	Keying   KeyView       `json:"keying"`
	Buttons  ButtonsView   `json:"buttons"`
	Tests    []TestView    `json:"tests"`
	Circuits []CircuitView `json:"circuits"`
}

// CircuitView is a measured conductor and the role that follows from its readings.
type CircuitView struct {
	Name    string             `json:"name"`
	Role    string             `json:"role"`
	Because string             `json:"because"`
	Volts   map[string]float64 `json:"volts"`
	Battery map[string]float64 `json:"battery-volts"`
	Fuse    float64            `json:"fuse-amperes,omitempty"`
	Feed    string             `json:"feed,omitempty"`    // which feed is joined to it
	Through string             `json:"through,omitempty"` // "relay" where not the feed's own contact carries it
}

// Sheet makes the view of the whole job; from names where the keying starts, "the factory settings".
func Sheet(o *rules.Outcome, from string, s Stamp) SheetView {
	v := SheetView{
		Schema: "asleft/sheet/1", Derived: Derived(o, s), Keying: Key(o, from, s), Buttons: Buttons(o, s),
		Tests: byPhase(testViews(o.Derived.Tests)),
	}
	for _, c := range o.Job.Circuits {
		v.Circuits = append(v.Circuits, circuitView(c, o.Job.Feeds))
	}
	return v
}

func circuitView(c job.Circuit, feeds []job.FeedJoin) CircuitView {
	v := CircuitView{Name: c.Name, Role: c.Role, Because: c.Because, Fuse: c.Fuse, Volts: map[string]float64{}, Battery: map[string]float64{}}
	for _, position := range sortedKeys(c.Volts) {
		v.Volts[position] = c.Volts[position].Volts
		v.Battery[position] = c.Volts[position].Battery
	}
	for _, f := range feeds {
		if f.Circuit == c.Name {
			v.Feed = f.Feed
			if f.Through == "relay" {
				v.Through = f.Through
			}
		}
	}
	return v
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// Page puts the sheet in the order of reading: identity; refusals and cautions; the five; settings
// to set; settings left; then keying card, button plan, parts, tests, circuits.
func (v SheetView) Page() Page {
	p := Page{Title: v.Derived.Job.Title, Marks: v.Derived.Job.marks()}
	p.Sections = append(p.Sections, v.Derived.Job.section(v.Derived.Start, v.Derived.Gate))
	p.Sections = append(p.Sections, v.Derived.findings()...)
	p.Sections = append(p.Sections, v.Derived.settings(false)...)
	if v.Keying.Gate.Exists {
		p.Sections = append(append(p.Sections, v.Keying.work()), v.Keying.sections()...)
	} else {
		s := Section{Title: "No keying card"}
		s.Add(List{Tone: Danger, Items: v.Keying.Gate.Because})
		p.Sections = append(p.Sections, s)
	}
	p.Sections = append(p.Sections, v.Buttons.sections()...)
	p.Sections = append(p.Sections, testSection(v.Tests), circuitSection(v.Circuits))
	return p
}

func testSection(tests []TestView) Section {
	s := Section{Title: fmt.Sprintf("Tests before handover (%d)", len(tests)), Break: true}
	s.Add(Text{Danger, "A test marked ! has no waiver: failed or not done, what it protects is set off and recorded so."})
	s.Add(Text{Plain, "First show that the feeds rise on a start gesture; then the refusals with a meter on the unplugged starter output, so that none passes by accident; then plug it in; live tests last."})
	g := Grid{Head: []string{"", "", "test", "how, and what must happen", "reading"}}
	for _, t := range tests {
		mark := ""
		if t.Critical {
			mark = "!"
		}
		done := "[ ]"
		if t.Done {
			done = "[x]"
		}
		g.Rows = append(g.Rows, []string{done, mark, t.ID, t.How + " MUST: " + t.Expected, t.Reading})
	}
	s.Add(g)
	return s
}

func circuitSection(circuits []CircuitView) Section {
	s := Section{Title: fmt.Sprintf("Measured circuits (%d)", len(circuits))}
	g := Grid{Head: []string{"conductor", "volts of battery volts", "role", "because", "feed"}}
	for _, c := range circuits {
		var volts []string
		for _, position := range positions {
			if v, read := c.Volts[position]; read {
				volts = append(volts, fmt.Sprintf("%s %.1f/%.1f", strings.ToUpper(position), v, c.Battery[position]))
			}
		}
		g.Rows = append(g.Rows, []string{c.Name, strings.Join(volts, ", "), c.Role, c.Because, c.Feed + lead(" through a ", c.Through)})
	}
	s.Add(g)
	return s
}

// positions of an ignition switch, then the power states of a car with a start button.
var positions = []string{"out", "off", "asleep", "awake", "acc", "run", "on", "crank", "ready"}
