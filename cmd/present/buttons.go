package present

import (
	"fmt"
	"strings"

	"asleft/config/source"
	"asleft/rules"
	"asleft/rules/assign"
)

// ButtonsView is the button plan: what to press for which function, with the parts it takes.
type ButtonsView struct {
	Schema     string      `json:"schema"` // asleft/buttons/1
	Job        JobView     `json:"job"`
	Rows       []RowView   `json:"rows"`
	NotReached []MissView  `json:"not-reached,omitempty"`
	Refused    []NoButton  `json:"refused,omitempty"`
	Teach      []TeachView `json:"to-teach,omitempty"`
	Parts      []PartView  `json:"parts,omitempty"`
	Cost       CostView    `json:"cost"`
	Notes      []string    `json:"notes,omitempty"`
}

// RowView is one function on one remote.
type RowView struct {
	Function   string   `json:"function"`
	Words      string   `json:"words"`
	Remote     string   `json:"remote"`
	For        string   `json:"for,omitempty"`
	Gesture    string   `json:"gesture"`
	Press      string   `json:"press"`
	Hold       bool     `json:"hold-to-run,omitempty"`
	Channel    int      `json:"channel"`
	Teach      bool     `json:"teach,omitempty"`
	Outputs    []string `json:"outputs,omitempty"`
	Lines      []string `json:"lines,omitempty"`
	Conditions []string `json:"conditions,omitempty"`
	Guard      string   `json:"guard,omitempty"`
	Signed     string   `json:"signed,omitempty"`
	ToSign     bool     `json:"to-sign,omitempty"`
	Use        string   `json:"use,omitempty"`
	Because    string   `json:"because,omitempty"`
}

// TeachView is a remote with gestures that have to be taught their channels.
type TeachView struct {
	Remote   string        `json:"remote"`
	How      string        `json:"how"`
	Gestures []TaughtPress `json:"gestures"`
}

// TaughtPress is one gesture with the channel it is taught.
type TaughtPress struct {
	Gesture string `json:"gesture"`
	Press   string `json:"press"`
	Channel int    `json:"channel"`
	Words   string `json:"words"`
}

// MissView is a function that cannot be had on a remote.
type MissView struct {
	Function string `json:"function"`
	Words    string `json:"words"`
	Remote   string `json:"remote"`
	Reason   string `json:"reason"`
	Change   string `json:"smallest-change,omitempty"`
}

// NoButton is a function that gets no button at all.
type NoButton struct {
	Function string `json:"function"`
	Words    string `json:"words"`
	Rule     string `json:"rule"`
	Reason   string `json:"reason"`
	Cure     string `json:"cure,omitempty"`
	Source   string `json:"source,omitempty"`
}

// PartView is a relay or diode with both its ends.
type PartView struct {
	ID        string         `json:"id"`
	Kind      string         `json:"kind"`
	Recipe    string         `json:"recipe"`
	Title     string         `json:"title"`
	Function  string         `json:"function"`
	Terminals []TerminalView `json:"terminals"`
	Coil      string         `json:"coil,omitempty"`
	Contact   string         `json:"contact,omitempty"`
	Protect   string         `json:"suppression,omitempty"`
	Notes     []string       `json:"notes,omitempty"`

	figure Figure
}

// TerminalView is one end of a part.
type TerminalView struct {
	Mark string  `json:"mark"`
	To   string  `json:"to"`
	Fuse float64 `json:"fuse-amperes,omitempty"`
	Note string  `json:"note,omitempty"`
}

// CostView is what plans are compared by, in this order.
type CostView struct {
	NotReached int `json:"not-reached"`
	ToSign     int `json:"to-sign"`
	Lacking    int `json:"lacking"`
	Relays     int `json:"relays"`
	Diodes     int `json:"diodes"`
	Unlike     int `json:"unlike-gestures"`
	Effort     int `json:"effort"`
	Options    int `json:"options"`
}

// Buttons makes the view of an outcome's button plan.
func Buttons(o *rules.Outcome, s Stamp) ButtonsView {
	v := ButtonsView{Schema: "asleft/buttons/1", Job: jobView(o, s), Cost: CostView(o.Plan.Cost), Notes: o.Plan.Notes}
	for _, r := range o.Plan.Rows {
		v.Rows = append(v.Rows, RowView{
			r.Function, r.Words, r.Remote, r.For, r.Gesture, r.Press, r.Hold, r.Channel, r.Teach,
			r.Outputs, r.Lines, r.Conditions, r.Guard, r.Signed, r.ToSign, r.Use, r.Because,
		})
	}
	v.Teach = toTeach(o)
	for _, m := range o.Plan.NotReached {
		v.NotReached = append(v.NotReached, MissView{m.Function, m.Words, m.Remote, m.Reason, m.Change})
	}
	for _, r := range o.Plan.Refused {
		v.Refused = append(v.Refused, NoButton{r.Function, r.Words, r.Rule, r.Reason, r.Cure, r.Source})
	}
	for _, p := range o.Plan.Parts {
		v.Parts = append(v.Parts, partView(p))
	}
	return v
}

// toTeach lists what has to be taught on each remote, in the words of its papers.
func toTeach(o *rules.Outcome) []TeachView {
	var out []TeachView
	for _, d := range o.Devices {
		t := TeachView{Remote: d.Name, How: d.Profile.Teach}
		for _, r := range o.Plan.Rows {
			if r.Teach && r.Remote == d.Name {
				t.Gestures = append(t.Gestures, TaughtPress{r.Gesture, r.Press, r.Channel, r.Words})
			}
		}
		if len(t.Gestures) > 0 {
			out = append(out, t)
		}
	}
	return out
}

func partView(p assign.Part) PartView {
	v := PartView{ID: p.ID, Kind: p.Kind, Recipe: p.Recipe, Title: p.Title, Function: p.Function, Notes: p.Notes}
	for _, t := range p.Terminals {
		v.Terminals = append(v.Terminals, TerminalView(t))
	}
	if p.Coil.Milliamps > 0 {
		v.Coil = fmt.Sprintf("%g ohm, at most %d mA", p.Coil.Ohms, p.Coil.Milliamps)
		if p.Coil.Rating > 0 {
			v.Coil += fmt.Sprintf("; the output carries %d of %d mA", p.Coil.Share, p.Coil.Rating)
		}
	}
	if p.Contact.Rating > 0 {
		which := "make"
		if p.Contact.Break {
			which = "break"
		}
		v.Contact = fmt.Sprintf("%g A of %g A (%s contact)", p.Contact.Amps, p.Contact.Rating, which)
		if p.Contact.Amps == 0 {
			v.Contact = fmt.Sprintf("current not measured; it may carry %g A (%s contact)", p.Contact.Rating, which)
		}
	}
	if p.Suppression.Kind != "" && p.Suppression.Kind != "none" {
		v.Protect = fmt.Sprintf("%s, band to %s; releases in %d to %d ms (common practice, no source)",
			strings.ReplaceAll(p.Suppression.Kind, "-", " "), p.Suppression.Band, p.Suppression.ReleaseMS[0], p.Suppression.ReleaseMS[1])
	}
	v.figure = partFigure(p, v)
	return v
}

// Page shows the plan on its own.
func (v ButtonsView) Page() Page {
	return Page{Title: "Button plan: " + v.Job.Vehicle, Marks: v.Job.marks(), Sections: append(v.sections(), v.Job.witness()...)}
}

// sections are the plan's parts as the sheet shows them too.
func (v ButtonsView) sections() []Section {
	plan := Section{Title: "Button plan"}
	if len(v.Rows) == 0 {
		plan.Add(Text{Quiet, "No function has a button."})
	}
	g := Grid{Head: []string{"function", "remote", "press", "only when", "channel", "works"}}
	for _, r := range v.Rows {
		g.Rows = append(g.Rows, []string{r.Words, remoteWords(r), r.Press + holdWords(r), strings.Join(r.Conditions, ", "), channelWords(r), worksWords(r)})
	}
	plan.Add(g)
	for _, r := range v.Rows {
		if r.ToSign {
			plan.Add(Text{Notice, fmt.Sprintf("%s on %s is an easy gesture and nobody signed for it: get it signed, or take it off.", r.Words, r.Remote)})
		}
	}
	for _, n := range v.Notes {
		plan.Add(Text{Quiet, n})
	}
	out := []Section{}
	if len(v.Refused) > 0 {
		s := Section{Title: "Functions refused"}
		for _, r := range v.Refused {
			s.Add(Text{Danger, "REFUSED: " + r.Words + ". " + r.Reason})
			s.Add(List{Items: nonEmpty("rule: "+r.Rule+" ("+r.Source+")", lead("what would cure it: ", r.Cure))})
		}
		out = append(out, s)
	}
	out = append(out, plan)
	if len(v.Teach) > 0 {
		out = append(out, v.teaching())
	}
	if len(v.NotReached) > 0 {
		s := Section{Title: "Asked for and not to be had"}
		for _, m := range v.NotReached {
			s.Add(Text{Notice, fmt.Sprintf("%s on %s: %s", m.Words, m.Remote, m.Reason)})
			if m.Change != "" {
				s.Add(List{Items: []string{"smallest change: " + m.Change}})
			}
		}
		out = append(out, s)
	}
	if len(v.Parts) > 0 {
		out = append(out, v.parts())
	}
	return out
}

func (v ButtonsView) teaching() Section {
	s := Section{Title: "To teach the remotes"}
	for _, t := range v.Teach {
		s.Add(Text{Plain, t.Remote + ": " + t.How})
		var items []string
		for _, g := range t.Gestures {
			items = append(items, fmt.Sprintf("channel %d: %s (%s)", g.Channel, g.Press, g.Words))
		}
		s.Add(List{Items: items})
	}
	return s
}

func (v ButtonsView) parts() Section {
	s := Section{Title: fmt.Sprintf("Parts (%s, %s)", source.Counted(int64(v.Cost.Relays), "relay", "relays"), source.Counted(int64(v.Cost.Diodes), "diode", "diodes"))}
	s.Add(Text{Quiet, "Relay terminals as printed on plug-in relays (ISO 7588-1): 85 and 86 coil, 30 common, 87 make, 87a break."})
	for _, p := range v.Parts {
		s.Add(p.figure)
	}
	return s
}

func remoteWords(r RowView) string {
	if r.For != "" {
		return r.Remote + " (" + r.For + ")"
	}
	return r.Remote
}

func holdWords(r RowView) string {
	if r.Hold && !strings.Contains(r.Press, "only while held") {
		return "; it works only as long as you hold"
	}
	return ""
}

func channelWords(r RowView) string {
	if r.Teach {
		return fmt.Sprintf("%d, teach it", r.Channel)
	}
	return fmt.Sprint(r.Channel)
}

func worksWords(r RowView) string {
	if len(r.Outputs) == 0 {
		return "fixed action"
	}
	text := "output " + strings.Join(r.Outputs, "+")
	if len(r.Lines) > 0 {
		text += " to " + strings.Join(r.Lines, ", ")
	}
	return text
}

// lead puts words before a text, and nothing before nothing.
func lead(words, text string) string {
	if text == "" {
		return ""
	}
	return words + text
}

func nonEmpty(items ...string) []string {
	var out []string
	for _, s := range items {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}
