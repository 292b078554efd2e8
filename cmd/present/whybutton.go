package present

import (
	"fmt"
	"strings"

	"asleft/rules/assign"
)

// WhyButtonView explains the place of one function in the button plan.
type WhyButtonView struct {
	Schema   string     `json:"schema"` // asleft/why-button/1
	Function string     `json:"function"`
	Words    string     `json:"words"`
	Rows     []string   `json:"buttons,omitempty"`
	Misses   []MissView `json:"not-reached,omitempty"`
	Refused  *NoButton  `json:"refused,omitempty"`
	Outputs  []LookedAt `json:"outputs,omitempty"`
	Gestures []LookedAt `json:"gestures,omitempty"`
	Wishes   []string   `json:"wishes,omitempty"`
	Next     *NextBest  `json:"next-best,omitempty"`
}

// LookedAt is one output or gesture that was looked at.
type LookedAt struct {
	Remote string `json:"remote,omitempty"`
	Name   string `json:"name"`
	Press  string `json:"press,omitempty"`
	Taken  bool   `json:"taken,omitempty"`
	Text   string `json:"says"`
}

// NextBest is the best plan in which the function sits elsewhere.
type NextBest struct {
	Rows  []string `json:"buttons,omitempty"`
	Worse string   `json:"worse"`
	None  bool     `json:"none,omitempty"`
	Doubt string   `json:"doubt,omitempty"`
}

// WhyButton makes the view of an explanation.
func WhyButton(e assign.Explanation) WhyButtonView {
	v := WhyButtonView{Schema: "asleft/why-button/1", Function: e.Function, Words: e.Words, Rows: rowLines(e.Rows), Wishes: e.Wishes}
	for _, m := range e.Misses {
		v.Misses = append(v.Misses, MissView{m.Function, m.Words, m.Remote, m.Reason, m.Change})
	}
	if r := e.Refused; r != nil {
		v.Refused = &NoButton{r.Function, r.Words, r.Rule, r.Reason, r.Cure, r.Source}
		return v
	}
	for _, o := range e.Outputs {
		v.Outputs = append(v.Outputs, LookedAt(o))
	}
	for _, g := range e.Gestures {
		v.Gestures = append(v.Gestures, LookedAt(g))
	}
	v.Next = &NextBest{rowLines(e.Next.Rows), e.Next.Worse, e.Next.None, e.Next.Doubt}
	return v
}

func rowLines(rows []assign.Row) []string {
	var out []string
	for _, r := range rows {
		line := fmt.Sprintf("%s: %s (%s), channel %d", r.Remote, r.Press, r.Gesture, r.Channel)
		if len(r.Outputs) > 0 {
			line += ", output " + strings.Join(r.Outputs, "+")
		}
		out = append(out, line+lead(". ", r.Because))
	}
	return out
}

// Page tells why.
func (v WhyButtonView) Page() Page {
	p := Page{Title: capital(v.Words) + ": why this button"}
	s := Section{Title: "Now"}
	s.Add(List{Items: v.Rows})
	for _, m := range v.Misses {
		s.Add(Text{Notice, fmt.Sprintf("Not on %s: %s. %s", m.Remote, m.Reason, m.Change)})
	}
	if r := v.Refused; r != nil {
		s.Add(Text{Danger, "REFUSED. " + r.Reason}, List{Items: nonEmpty("rule: "+r.Rule+" ("+r.Source+")", lead("what would cure it: ", r.Cure))})
		return Page{Title: p.Title, Sections: []Section{s}}
	}
	p.Sections = append(p.Sections, s)
	if n := v.Next; n != nil {
		s := Section{Title: "The next best plan"}
		if n.None {
			s.Add(Text{Plain, "There is no other place for it."})
		} else {
			s.Add(Text{Plain, "In it: " + n.Worse + "."}, List{Items: n.Rows})
		}
		if n.Doubt != "" {
			s.Add(Text{Notice, capital(n.Doubt) + "."})
		}
		p.Sections = append(p.Sections, s)
	}
	if len(v.Wishes) > 0 {
		p.Sections = append(p.Sections, Section{Title: "What the wishes forbid", Blocks: []Block{List{Items: v.Wishes}}})
	}
	outputs := Grid{Head: []string{"output", "", "says"}}
	for _, o := range v.Outputs {
		outputs.Rows = append(outputs.Rows, []string{o.Name, taken(o), o.Text})
	}
	gestures := Grid{Head: []string{"remote", "gesture", "", "says"}}
	for _, g := range v.Gestures {
		gestures.Rows = append(gestures.Rows, []string{g.Remote, g.Press, taken(g), g.Text})
	}
	p.Sections = append(p.Sections,
		Section{Title: "Outputs looked at", Blocks: []Block{outputs}},
		Section{Title: "Gestures looked at", Blocks: []Block{gestures}})
	return p
}

func taken(l LookedAt) string {
	if l.Taken {
		return "taken"
	}
	return ""
}
