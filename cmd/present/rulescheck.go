package present

import (
	"fmt"
	"slices"
	"strings"

	"asleft/rules/derive"
	"asleft/rules/proof"
)

// RulesCheckView is what `asleft check --rules` says of a rule base as a whole.
type RulesCheckView struct {
	Schema string     `json:"schema"` // asleft/rules-check/1
	Good   bool       `json:"good"`
	Rules  int        `json:"rules"`
	Facts  int        `json:"facts"`
	Flaws  []FlawView `json:"flaws,omitempty"`
	Gaps   []GapView  `json:"gaps,omitempty"`
	Open   []string   `json:"not-decided,omitempty"`
	Notes  []FlawView `json:"notes,omitempty"`
	Proved string     `json:"proved,omitempty"`
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
	Device   string   `json:"device"`
	Instance string   `json:"instance,omitempty"`
	Install  []string `json:"install"`
	Settings []string `json:"settings,omitempty"`
	Job      string   `json:"job,omitempty"`
	Ran      bool     `json:"job-gets-a-card,omitempty"`
}

// RulesCheck makes the view of a report.
func RulesCheck(r *proof.Report) RulesCheckView {
	v := RulesCheckView{Schema: "asleft/rules-check/1", Good: r.Good(), Rules: r.Rules, Facts: r.Facts, Open: r.Proof.GaveUp}
	for _, f := range r.Flaws {
		v.Flaws = append(v.Flaws, flawView(f))
	}
	for _, f := range r.Notes {
		v.Notes = append(v.Notes, flawView(f))
	}
	for _, g := range r.Proof.Gaps {
		v.Gaps = append(v.Gaps, GapView{
			Clause: g.Unsafe.ID, Why: g.Unsafe.Why, Source: g.Unsafe.Source, Device: g.Device, Instance: g.Instance,
			Install: assigned(g.Facts), Settings: assigned(g.Settings), Job: g.Job, Ran: g.Ran,
		})
	}
	if r.Good() {
		v.Proved = fmt.Sprintf("No unsafe install gets a keying card: %d cases over %d shapes of devices.", r.Proof.Cases, r.Proof.Devices)
	}
	return v
}

func flawView(f derive.Flaw) FlawView {
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
	verdict := Section{}
	if v.Good {
		verdict.Add(Text{Plain, "Good: every rule can fire, none is shadowed everywhere, none of one level disagree, no setting is left undecided."}, Text{Plain, v.Proved})
	} else {
		verdict.Add(Text{Danger, fmt.Sprintf("NOT GOOD: %d to mend, %d unsafe installs that get a keying card, %d not decided.", len(v.Flaws), len(v.Gaps), len(v.Open))})
	}
	p.Sections = append(p.Sections, verdict)
	for _, g := range v.Gaps {
		p.Sections = append(p.Sections, g.section())
	}
	if len(v.Open) > 0 {
		p.Sections = append(p.Sections, Section{Title: "Not decided within the limit", Blocks: []Block{List{Tone: Notice, Items: v.Open}}})
	}
	for _, f := range v.Flaws {
		p.Sections = append(p.Sections, f.section())
	}
	if len(v.Notes) > 0 {
		p.Sections = append(p.Sections, notes(v.Notes))
	}
	return p
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
	s := Section{Title: strings.TrimSpace("gap: "+g.Clause+" "+g.Instance) + " on " + g.Device}
	s.Add(Text{Danger, "An unsafe install gets a keying card. " + g.Why + " (" + g.Source + ")"})
	if g.Job != "" {
		s.Add(Text{Plain, "As a job file, to be run with 'asleft sheet':"}, List{Items: strings.Split(strings.TrimSpace(g.Job), "\n")})
	}
	s.Add(Text{Plain, "The install:"}, List{Items: g.Install})
	if len(g.Settings) > 0 {
		s.Add(Text{Plain, "Settings that it may come to:"}, List{Items: g.Settings})
	}
	return s
}
