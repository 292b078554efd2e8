package present

import (
	"fmt"
	"strings"

	"asleft/rules"
	"asleft/rules/keying"
)

// KeyView is the keying of a job: one card a device, in the order of work.
type KeyView struct {
	Schema string     `json:"schema"` // asleft/keying/1
	Job    JobView    `json:"job"`
	Gate   GateView   `json:"card"`
	From   string     `json:"from"` // factory, or the as-found file
	Cards  []CardView `json:"cards"`
	Work   []string   `json:"order-of-work,omitempty"`
}

// CardView is the keying card of one device.
type CardView struct {
	Device      string      `json:"device"`
	Label       string      `json:"label"`
	Preparation []string    `json:"preparation"`
	Cautions    []string    `json:"cautions,omitempty"`
	Entry       []StepView  `json:"entry"`
	Groups      []GroupView `json:"groups"`
	Exit        []StepView  `json:"exit"`
	Check       []StepView  `json:"closing-check,omitempty"`
	Blind       string      `json:"unseen,omitempty"`
	Presses     int         `json:"presses"`
	Seconds     float64     `json:"seconds"`
	InOrder     int         `json:"presses-walking-in-order"`
	Proved      bool        `json:"proved-fewest"`
	ByHand      []HandView  `json:"by-hand,omitempty"`
	Remaining   []LeftView  `json:"remaining,omitempty"`
}

// GroupView is what is done to one option.
type GroupView struct {
	Option   string       `json:"option"`
	Title    string       `json:"title"`
	Bank     int          `json:"bank"`
	Item     int          `json:"item"`
	From     string       `json:"from,omitempty"`
	To       string       `json:"to"`
	Settings []ChangeView `json:"settings"`
	Silences []string     `json:"silences,omitempty"`
	Moves    []string     `json:"moves,omitempty"`
	Steps    []StepView   `json:"steps"`
}

// ChangeView is one setting that a group changes.
type ChangeView struct {
	Setting string `json:"setting"`
	From    string `json:"from,omitempty"`
	To      string `json:"to"`
}

// StepView is one thing hands do, and the answer to it.
type StepView struct {
	Hands     string      `json:"hands"`
	Inputs    string      `json:"inputs"`
	Until     bool        `json:"until,omitempty"`
	Most      int         `json:"at-most,omitempty"`
	Expect    string      `json:"expect"`
	Seen      bool        `json:"seen"`
	Exact     string      `json:"answer,omitempty"`
	Limit     float64     `json:"begin-within-seconds,omitempty"`
	Otherwise string      `json:"otherwise,omitempty"`
	Strip     []PieceView `json:"strip,omitempty"`
}

// PieceView is a stretch of a response in time.
type PieceView struct {
	By      string  `json:"by,omitempty"`
	Colour  string  `json:"colour,omitempty"`
	On      bool    `json:"on"`
	Ack     bool    `json:"acknowledges,omitempty"`
	Seconds float64 `json:"seconds"`
}

// HandView is an option that is set without keying.
type HandView struct {
	Option string `json:"option"`
	Title  string `json:"title"`
	How    string `json:"how"`
	To     string `json:"to"`
	Text   string `json:"text"`
}

// LeftView is a required setting that the card cannot bring about.
type LeftView struct {
	Setting string `json:"setting"`
	Want    string `json:"want"`
	Why     string `json:"why"`
	How     string `json:"how,omitempty"`
}

// Key makes the view of an outcome's cards.
func Key(o *rules.Outcome, from string, s Stamp) KeyView {
	v := KeyView{Schema: "asleft/keying/1", Job: jobView(o, s), Gate: GateView{o.Gate.Open, o.Gate.Because, o.Gate.NotHandover}, From: from, Work: o.Work}
	for _, c := range o.Cards {
		v.Cards = append(v.Cards, cardView(c))
	}
	return v
}

func cardView(c keying.Card) CardView {
	v := CardView{
		Device: c.Device, Label: c.Label, Preparation: c.Preparation, Cautions: c.Cautions,
		Entry: stepViews(c.Entry), Exit: stepViews(c.Exit), Check: stepViews(c.Check), Blind: c.Blind,
		Presses: c.Presses, Seconds: c.Seconds, InOrder: c.InOrder, Proved: c.Proved,
	}
	for _, g := range c.Groups {
		group := GroupView{g.Option, g.Title, g.Bank, g.Item, g.From, g.To, nil, g.Silences, g.Moves, stepViews(g.Steps)}
		for _, ch := range g.Settings {
			group.Settings = append(group.Settings, ChangeView{ch.Setting, string(ch.From), string(ch.To)})
		}
		v.Groups = append(v.Groups, group)
	}
	for _, list := range [][]keying.ByHand{c.Straps, c.Cable, c.Learned} {
		for _, h := range list {
			v.ByHand = append(v.ByHand, HandView{h.Option, h.Title, h.How, h.To, h.Text})
		}
	}
	for _, r := range c.Remaining {
		v.Remaining = append(v.Remaining, LeftView{r.Setting, string(r.Want), r.Why, r.How})
	}
	return v
}

func stepViews(steps []keying.Step) []StepView {
	var out []StepView
	for _, s := range steps {
		v := StepView{
			Hands: s.Hands, Inputs: s.Inputs, Until: s.Until, Expect: s.Expect.Text, Seen: s.Expect.Seen,
			Exact: s.Expect.Exact, Limit: s.Limit, Otherwise: s.Otherwise,
		}
		if s.Until {
			v.Most = s.Most
		}
		for _, p := range s.Expect.Strip {
			v.Strip = append(v.Strip, PieceView(p))
		}
		out = append(out, v)
	}
	return out
}

// Page shows the keying alone.
func (v KeyView) Page() Page {
	p := Page{Title: "Keying card: " + v.Job.Vehicle, Marks: v.Job.marks()}
	if !v.Gate.Exists {
		s := Section{Title: "No keying card"}
		s.Add(List{Tone: Danger, Items: v.Gate.Because})
		p.Sections = append(p.Sections, s)
		return p
	}
	p.Sections = append(p.Sections, v.sections()...)
	return p
}

func (v KeyView) sections() []Section {
	var out []Section
	for i, c := range v.Cards {
		s := Section{Title: fmt.Sprintf("Keying card: %s, %s", c.Device, c.Label), Break: i == 0}
		if v.Gate.NotForHandover {
			s.Add(Text{Danger, "NOT FOR HANDOVER: tests are left to be passed."})
		}
		c.addTo(&s, v.From)
		out = append(out, s)
	}
	if len(v.Work) > 0 {
		s := Section{Title: "Order of work"}
		s.Add(List{Numbered: true, Items: v.Work})
		out = append([]Section{s}, out...)
	}
	return out
}

func (c CardView) addTo(s *Section, from string) {
	s.Add(Text{Plain, c.tally(from)})
	s.Add(List{Tone: Danger, Items: c.Cautions})
	if len(c.Groups) > 0 {
		s.Add(Text{Plain, "Before the first press:"}, List{Numbered: true, Items: c.Preparation})
		steps := Grid{Head: []string{"", "do", "expect", "if it differs"}}
		n := 0
		add := func(list []StepView) {
			for _, step := range list {
				n++
				steps.Rows = append(steps.Rows, []string{fmt.Sprint(n), step.words(), step.answer(), step.Otherwise})
			}
		}
		s.Add(Text{Plain, "Enter"})
		steps.Rows = nil
		add(c.Entry)
		s.Add(steps)
		addStrips(s, c.Entry)
		for _, g := range c.Groups {
			s.Add(Text{Plain, g.heading()})
			steps = Grid{}
			add(g.Steps)
			s.Add(steps)
			addStrips(s, g.Steps)
			if len(g.Silences) > 0 {
				s.Add(Text{Notice, "From here on nothing more comes by " + strings.Join(g.Silences, ", ") + "."})
			}
			if len(g.Moves) > 0 {
				s.Add(Text{Notice, "Moves with it: " + strings.Join(g.Moves, ", ") + "."})
			}
		}
		s.Add(Text{Plain, "Leave"})
		steps = Grid{}
		add(c.Exit)
		s.Add(steps)
		if len(c.Check) > 0 {
			s.Add(Text{Plain, "Closing check: reads back, stores nothing"})
			steps = Grid{}
			add(c.Check)
			s.Add(steps)
		}
		if c.Blind != "" {
			s.Add(Text{Notice, c.Blind})
		}
	}
	for _, h := range c.ByHand {
		s.Add(Text{Plain, "By hand: " + h.Text})
	}
	for _, r := range c.Remaining {
		s.Add(Text{Notice, strings.TrimSpace(fmt.Sprintf("Cannot be keyed here: %s = %s. %s %s", r.Setting, r.Want, r.Why, r.How))})
	}
}

// tally says how long the card is, and what walking the options in order would have cost.
func (c CardView) tally(from string) string {
	if len(c.Groups) == 0 {
		return "Nothing to key: every option already stands right, starting from " + from + "."
	}
	text := fmt.Sprintf("From %s: %d options to change, %d presses, about %.0f s", from, len(c.Groups), c.Presses, c.Seconds)
	if c.Proved {
		text += "; no safe card has fewer"
	}
	if c.InOrder > c.Presses {
		text += fmt.Sprintf(" (walking the options in order: %d presses)", c.InOrder)
	}
	return text + "."
}

func (g GroupView) heading() string {
	from := g.From
	if from == "" {
		from = "unknown"
	}
	var settings []string
	for _, ch := range g.Settings {
		settings = append(settings, ch.Setting+" = "+ch.To)
	}
	return fmt.Sprintf("Bank %d item %d, %s: %s to %s (%s)", g.Bank, g.Item, g.Title, from, g.To, strings.Join(settings, ", "))
}

func (s StepView) words() string {
	if s.Limit > 0 {
		return fmt.Sprintf("%s (begin within %g s)", s.Hands, s.Limit)
	}
	return s.Hands
}

func (s StepView) answer() string {
	if !s.Seen && s.Expect != "" {
		return "not to be seen in this job: " + s.Expect
	}
	return s.Expect
}

// addStrips draws the responses that can be seen.
func addStrips(s *Section, steps []StepView) {
	for _, step := range steps {
		if !step.Seen || len(step.Strip) == 0 {
			continue
		}
		strip := Strip{}
		for _, p := range step.Strip {
			mark := ""
			if p.On {
				mark = pieceMark(p)
			}
			strip.Pieces = append(strip.Pieces, Piece{p.Seconds, p.On, mark})
		}
		s.Add(strip)
	}
}

// pieceMark is the letter drawn in a strip: a for an acknowledging flash, else by what and in which colour.
func pieceMark(p PieceView) string {
	switch {
	case p.Ack:
		return "a"
	case p.Colour != "":
		return strings.ToUpper(p.Colour[:1])
	case p.By != "":
		return strings.ToUpper(p.By[:1])
	default:
		return "#"
	}
}
