package present

import (
	"fmt"
	"slices"
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
	Purpose     string      `json:"purpose,omitempty"`
	Later       string      `json:"later,omitempty"` // when it is keyed, where not at once
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

func cardView(c rules.Card) CardView {
	v := CardView{
		Device: c.Device, Purpose: c.Purpose, Later: c.Later, Label: c.Label, Preparation: c.Preparation, Cautions: c.Cautions,
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
			if !changes(h) {
				continue
			}
			v.ByHand = append(v.ByHand, HandView{h.Option, h.Title, h.How, h.To, h.Text})
		}
	}
	for _, r := range c.Remaining {
		v.Remaining = append(v.Remaining, LeftView{r.Setting, string(r.Want), r.Why, r.How})
	}
	return v
}

// changes reports whether something by hand is left to do: what already stands right is no work.
func changes(h keying.ByHand) bool {
	for _, c := range h.Settings {
		if c.From != c.To {
			return true
		}
	}
	return len(h.Settings) == 0
}

func stepViews(steps []keying.Step) []StepView {
	out := slices.Grow([]StepView(nil), len(steps))
	for _, s := range steps {
		v := StepView{
			Hands: s.Hands, Inputs: s.Inputs, Until: s.Until, Expect: s.Expect.Text, Seen: s.Expect.Seen,
			Exact: s.Expect.Exact, Limit: s.Limit, Otherwise: s.Otherwise,
		}
		if s.Until {
			v.Most = s.Most
		}
		v.Strip = slices.Grow(v.Strip, len(s.Expect.Strip))
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
	p.Sections = slices.Concat(p.Sections, v.sections(), []Section{v.work()}, v.Job.witness())
	return p
}

func (v KeyView) sections() []Section {
	var out []Section
	for i, c := range v.Cards {
		s := Section{Title: fmt.Sprintf("Keying card: %s, %s", c.Device, c.Label), Break: true}
		from := v.From
		if i > 0 && v.Cards[i-1].Device == c.Device {
			from = "what the card before left"
		}
		if c.Purpose != "" {
			s.Add(Text{Plain, "This card " + c.Purpose + "; the next one follows at once."})
		}
		if c.Later != "" {
			s.Title = fmt.Sprintf("Later keying card: %s, %s", c.Device, c.Label)
			s.Add(Text{Danger, "Keyed " + c.Later + "."})
		}
		if v.Gate.NotForHandover {
			s.Add(Text{Danger, "NOT FOR HANDOVER: tests are left to be passed."})
		}
		c.addTo(&s, from)
		out = append(out, s)
	}
	return out
}

// work is the order of the whole work.
func (v KeyView) work() Section {
	s := Section{Title: "Order of work"}
	s.Add(List{Numbered: true, Items: v.Work})
	return s
}

func (c CardView) addTo(s *Section, from string) {
	s.Add(Text{Plain, c.tally(from)})
	if len(c.Groups) > 0 {
		s.Add(Text{Plain, "Before the first press:"}, List{Numbered: true, Items: c.Preparation})
		if len(c.Cautions) > 0 {
			s.Add(List{Tone: Danger, Items: c.Cautions})
		}
		sayings := c.sayings()
		s.Add(List{Items: sayings.rules()})
		card := stepTable{sayings: sayings, grid: Grid{Head: []string{"", "do", "sets", "expect"}, Strips: map[int]Strip{}}}
		card.add(c.Entry, "enter")
		for _, g := range c.Groups {
			card.group(g)
		}
		card.add(c.Exit, "leave")
		s.Add(card.grid)
		for _, g := range c.Groups {
			if len(g.Silences) > 0 {
				s.Add(Text{Notice, fmt.Sprintf("After %s nothing more comes by %s.", g.sets(), strings.Join(g.Silences, ", "))})
			}
			if len(g.Moves) > 0 {
				s.Add(Text{Notice, fmt.Sprintf("With %s moves: %s.", g.sets(), strings.Join(g.Moves, ", "))})
			}
		}
		if c.Blind != "" {
			s.Add(Text{Notice, c.Blind})
		}
	}
	for _, h := range c.ByHand {
		s.Add(Text{Plain, "By hand: " + h.Text})
	}
	for _, r := range c.Remaining {
		s.Add(Text{Notice, fmt.Sprintf("Cannot be keyed here: %s = %s: %s. Instead: %s.", r.Setting, r.Want, r.Why, r.How)})
	}
	c.addCheck(s)
}

// addCheck shows the closing check, which reads back and stores nothing.
func (c CardView) addCheck(s *Section) {
	if len(c.Check) == 0 {
		return
	}
	s.Add(Text{Plain, "Closing check, reads back and stores nothing:"})
	check := stepTable{sayings: c.sayings(), grid: Grid{Head: []string{"", "do", "expect"}, Strips: map[int]Strip{}}, plain: true}
	check.add(c.Check, "")
	s.Add(check.grid)
}

// sayings are what holds for nearly every step, said once above the steps: how soon a step has to
// begin, and what to do when the answer differs.
type sayings struct {
	limit     float64
	otherwise string // with counts left out
}

func (c CardView) sayings() sayings {
	limits, texts := map[float64]int{}, map[string]int{}
	var say sayings
	steps := append([]StepView{}, c.Exit...)
	for _, g := range c.Groups {
		steps = append(steps, g.Steps...)
	}
	for _, s := range steps {
		limits[s.Limit]++
		text := withoutCounts(s.Otherwise)
		texts[text]++
		if s.Limit > 0 && limits[s.Limit] > limits[say.limit] || say.limit == 0 {
			say.limit = s.Limit
		}
		if text != "" && (say.otherwise == "" || texts[text] > texts[say.otherwise]) {
			say.otherwise = text
		}
	}
	return say
}

// withoutCounts says "expected" where a saying names the count itself, so that sayings of different counts are one.
func withoutCounts(text string) string {
	const before = "Another count than "
	var b strings.Builder
	for {
		head, rest, found := strings.Cut(text, before)
		b.WriteString(head)
		if !found {
			return b.String()
		}
		b.WriteString(before)
		if text = strings.TrimLeft(rest, "0123456789"); text != rest {
			b.WriteString("expected")
		}
	}
}

func (s sayings) rules() []string {
	var out []string
	if s.limit > 0 {
		out = append(out, fmt.Sprintf("Begin each step within %g s of the one before, unless it says otherwise.", s.limit))
	}
	if s.otherwise != "" {
		out = append(out, s.otherwise)
	}
	return out
}

// stepTable lays steps out as one table.
type stepTable struct {
	sayings sayings
	grid    Grid
	plain   bool // without the column of what is set
}

// group adds the steps of one option: first the way to it, then the press that changes it.
func (t *stepTable) group(g GroupView) {
	for i, s := range g.Steps {
		sets := fmt.Sprintf("to %s, %s", g.place(), g.Title)
		if i == len(g.Steps)-1 {
			sets = g.sets()
			if len(g.Steps) == 1 {
				sets = g.place() + ": " + sets
			}
		}
		t.add([]StepView{s}, sets)
	}
}

func (t *stepTable) add(steps []StepView, sets string) {
	for _, s := range steps {
		do := s.Hands
		if s.Limit > 0 && s.Limit != t.sayings.limit {
			do += fmt.Sprintf(" Begin within %g s.", s.Limit)
		}
		expect := s.answer()
		if text := withoutCounts(s.Otherwise); text != "" && text != t.sayings.otherwise {
			expect += ". " + s.Otherwise
		}
		row := []string{fmt.Sprint(len(t.grid.Rows) + 1), do, sets, capital(expect)}
		if t.plain {
			row = []string{row[0], do, capital(expect)}
		}
		if s.Seen && len(s.Strip) > 0 {
			t.grid.Strips[len(t.grid.Rows)] = strip(s.Strip)
		}
		t.grid.Rows = append(t.grid.Rows, row)
	}
}

// tally says how long the card is, and what walking the options in order would have cost.
func (c CardView) tally(from string) string {
	if len(c.Groups) == 0 && len(c.Remaining) > 0 {
		return "Nothing on this card can be keyed: see below what is missing."
	}
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

// place is where the option stands: bank and item.
func (g GroupView) place() string { return fmt.Sprintf("bank %d item %d", g.Bank, g.Item) }

// sets is what the group brings about.
func (g GroupView) sets() string {
	var settings []string
	for _, ch := range g.Settings {
		if ch.From != ch.To {
			settings = append(settings, ch.Setting+" = "+ch.To)
		}
	}
	return strings.Join(settings, ", ")
}

func (s StepView) answer() string {
	if !s.Seen && s.Expect != "" {
		return "not to be seen in this job: " + s.Expect
	}
	return s.Expect
}

// strip is a response as it is drawn.
func strip(pieces []PieceView) Strip {
	out := Strip{Pieces: slices.Grow([]Piece(nil), len(pieces))}
	for _, p := range pieces {
		mark := ""
		if p.On {
			mark = pieceMark(p)
		}
		out.Pieces = append(out.Pieces, Piece{p.Seconds, p.On, mark})
	}
	return out
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
