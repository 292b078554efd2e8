package present

import (
	"fmt"
	"slices"
	"strings"

	"asleft/rules/proof"
)

// RulesCheckView is what `asleft check --rules` says of a rule base as a whole.
type RulesCheckView struct {
	Schema string     `json:"schema"` // asleft/rules-check/1
	Good   bool       `json:"good"`
	Rules  int        `json:"rules"`
	Facts  int        `json:"facts"`
	Proof  ProofView  `json:"proof"`
	Flaws  []FlawView `json:"flaws,omitempty"`
	Gaps   []GapView  `json:"gaps,omitempty"`
	Notes  []FlawView `json:"notes,omitempty"`
}

// ProofView says what was looked at.
type ProofView struct {
	Clauses int      `json:"clauses"`
	Cases   int      `json:"cases"`
	Shapes  []string `json:"devices"`
	Open    []string `json:"not-decided,omitempty"`
}

// FlawView is one thing to mend, with an install that shows it.
type FlawView struct {
	Kind    string   `json:"kind"`
	Rules   []string `json:"rules,omitempty"`
	Subject string   `json:"subject,omitempty"`
	Says    string   `json:"says"`
	At      string   `json:"at,omitempty"`
	Witness []string `json:"witness,omitempty"`
}

// GapView is an unsafe install that gets a keying card.
type GapView struct {
	Clause   string   `json:"clause"`
	Why      string   `json:"why"`
	Source   string   `json:"source"`
	Instance string   `json:"instance,omitempty"`
	Shapes   []string `json:"devices"`
	Install  []string `json:"install"` // facts that are not as they are where nobody says anything
	Unsaid   []string `json:"not-said,omitempty"`
	Settings []string `json:"settings,omitempty"`
	Job      string   `json:"job,omitempty"`
}

// RulesCheck makes the view of a report.
func RulesCheck(r *proof.Report) RulesCheckView {
	v := RulesCheckView{Schema: "asleft/rules-check/1", Good: r.Good(), Rules: r.Rules, Facts: r.Facts}
	v.Proof = ProofView{Clauses: r.Proof.Clauses, Cases: r.Proof.Cases, Shapes: r.Proof.Shapes, Open: r.Proof.GaveUp}
	for _, f := range r.Flaws {
		v.Flaws = append(v.Flaws, flawView(f))
	}
	for _, f := range r.Notes {
		v.Notes = append(v.Notes, flawView(f))
	}
	for _, g := range r.Proof.Gaps {
		v.Gaps = append(v.Gaps, GapView{
			Clause: g.Clause.ID, Why: g.Clause.Why, Source: g.Clause.Source, Instance: g.Instance, Shapes: g.Shapes,
			Install: assigned(g.Telling), Unsaid: g.Unsaid, Settings: assigned(g.Settings), Job: g.Job,
		})
	}
	return v
}

func flawView(f proof.Flaw) FlawView {
	v := FlawView{Kind: string(f.Kind), Rules: f.Rules, Subject: f.Subject, Says: f.Says, Witness: f.Witness}
	if f.Pos.File != "" {
		v.At = f.Pos.String()
	}
	return v
}

// assigned writes name = value, sorted.
func assigned(m map[string]string) []string {
	var out []string
	for name, value := range m {
		out = append(out, name+" = "+value)
	}
	slices.Sort(out)
	return out
}

// Page says what to mend first, then what was proved, then what is only to be known.
func (v RulesCheckView) Page() Page {
	p := Page{Title: fmt.Sprintf("Rule base: %d rules over %d kinds of fact", v.Rules, v.Facts)}
	p.Sections = append(p.Sections, v.verdict())
	for _, g := range v.Gaps {
		p.Sections = append(p.Sections, g.section())
	}
	if len(v.Proof.Open) > 0 {
		p.Sections = append(p.Sections, Section{Title: "Not decided within the limit", Blocks: []Block{List{Tone: Notice, Items: v.Proof.Open}}})
	}
	for _, f := range v.Flaws {
		p.Sections = append(p.Sections, f.section())
	}
	if len(v.Notes) > 0 {
		p.Sections = append(p.Sections, notes(v.Notes))
	}
	return p
}

// verdict says whether all is well, and what was looked at.
func (v RulesCheckView) verdict() Section {
	s := Section{}
	if len(v.Flaws) == 0 {
		s.Add(Text{Plain, "Every rule can fire, none is shadowed everywhere, none of one level disagree, no setting is left undecided."})
	} else {
		s.Add(Text{Danger, fmt.Sprintf("NOT GOOD: %d to mend.", len(v.Flaws))})
	}
	looked := fmt.Sprintf("%d clauses of safety, %d cases, %d devices", v.Proof.Clauses, v.Proof.Cases, len(v.Proof.Shapes))
	switch {
	case len(v.Gaps) > 0:
		s.Add(Text{Danger, fmt.Sprintf("NOT SAFE: %d clauses of safety are broken by an install that gets a keying card (%s).", len(v.Gaps), looked)})
	case len(v.Proof.Open) > 0:
		s.Add(Text{Danger, fmt.Sprintf("NOT PROVED: %d cases were not decided (%s).", len(v.Proof.Open), looked)})
	default:
		s.Add(Text{Plain, "Proved: no install that breaks a clause of safety gets a keying card (" + looked + ")."})
	}
	return s
}

func notes(list []FlawView) Section {
	var items []string
	for _, f := range list {
		items = append(items, f.Says)
	}
	return Section{Title: "To be known", Blocks: []Block{List{Tone: Quiet, Items: items}}}
}

func (f FlawView) section() Section {
	s := Section{Title: f.Kind + ": " + strings.Join(append(slices.Clone(f.Rules), f.Subject), " ")}
	s.Add(Text{Notice, f.Says})
	if f.At != "" {
		s.Add(Text{Quiet, "at " + f.At})
	}
	if len(f.Witness) > 0 {
		s.Add(Text{Plain, "An install that shows it:"}, List{Items: f.Witness})
	}
	return s
}

func (g GapView) section() Section {
	s := Section{Title: strings.TrimSpace("broken: " + g.Clause + " " + g.Instance)}
	s.Add(Text{Danger, "An unsafe install gets a keying card. " + g.Why + " (" + g.Source + ")"})
	s.Add(Text{Plain, "On: " + strings.Join(g.Shapes, "; ")})
	s.Add(Text{Plain, "The install, as it is (what it does not name is as where nobody says anything):"}, List{Items: g.Install})
	if len(g.Unsaid) > 0 {
		s.Add(Text{Notice, "The job does not say: " + strings.Join(g.Unsaid, ", ")})
	}
	if len(g.Settings) > 0 {
		s.Add(Text{Plain, "What the device may hold after the card:"}, List{Items: g.Settings})
	}
	if g.Job == "" {
		s.Add(Text{Quiet, "No job file was found that shows it; set these facts in a job of your own."})
		return s
	}
	s.Add(Text{Plain, "A job file that a card is made for; save it and run 'asleft sheet' on it:"}, List{Items: strings.Split(strings.TrimSpace(g.Job), "\n")})
	return s
}
