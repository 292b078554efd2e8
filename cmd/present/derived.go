package present

import (
	"fmt"
	"strings"

	"asleft/config/setting"
	"asleft/rules"
	"asleft/rules/derive"
)

// DerivedView is what `asleft derive` shows: the settings with their reasons, what is refused,
// what is missing. `asleft sheet` shows the same and more.
type DerivedView struct {
	Schema         string        `json:"schema"` // asleft/derived/1
	Job            JobView       `json:"job"`
	Start          string        `json:"remote-start"`
	Gate           GateView      `json:"card"`
	Contradictions []FindingView `json:"contradictions,omitempty"`
	Refusals       []FindingView `json:"refusals,omitempty"`
	Missing        []MissingView `json:"missing,omitempty"`
	Cautions       []FindingView `json:"cautions"`
	Leading        []SettingView `json:"leading"`   // the five that decide most, one row per instance
	ToSet          []SettingView `json:"to-set"`    // the others that differ from the factory value
	ByHand         []SettingView `json:"by-hand"`   // straps, dials, cable, taught
	ToLeave        []SettingView `json:"to-leave"`  // the factory value is right
	Without        []SettingView `json:"no-option"` // fixed by the device, not applicable, or not on it
	NotMet         []NotMetView  `json:"not-met,omitempty"`
	WhatIf         *WhatIfView   `json:"what-if,omitempty"`
}

// WhatIfView is what tried facts and wishes change against the job as it is written.
type WhatIfView struct {
	Tried  []string    `json:"tried"`
	Before string      `json:"remote-start-as-written"`
	Shifts []ShiftView `json:"changes"`
}

// ShiftView is one setting that comes out differently.
type ShiftView struct {
	Device  string `json:"device"`
	Setting string `json:"setting"`
	From    string `json:"from"`
	To      string `json:"to"`
	Why     string `json:"why,omitempty"`
}

// Tried adds what the tried facts change.
func (v *DerivedView) Tried(tried []string, o, asWritten *rules.Outcome) {
	w := &WhatIfView{Tried: tried, Before: string(asWritten.Derived.Start)}
	for _, s := range o.Shifts(asWritten) {
		before, after := settingView(s.Before), settingView(s.After)
		row := ShiftView{after.Device, after.Setting, "not there", "not there", after.reason()}
		if after.Setting == "" {
			row.Device, row.Setting, row.Why = before.Device, before.Setting, ""
		} else {
			row.To = after.Shown()
		}
		if before.Setting != "" {
			row.From = before.Shown()
		}
		w.Shifts = append(w.Shifts, row)
	}
	v.WhatIf = w
}

func (w *WhatIfView) section(start string) Section {
	s := Section{Title: "What would change with " + strings.Join(w.Tried, ", ")}
	s.Add(Text{Plain, fmt.Sprintf("Remote start: %s as written, %s with it.", startLine(w.Before), startLine(start))})
	g := Grid{Head: []string{"setting", "as written", "with it", "why"}}
	for _, r := range w.Shifts {
		g.Rows = append(g.Rows, []string{r.Setting, r.From, r.To, r.Why})
	}
	s.Add(g)
	if len(w.Shifts) == 0 {
		s.Add(Text{Plain, "No setting changes."})
	}
	return s
}

// JobView identifies the job.
type JobView struct {
	File     string            `json:"file"`
	Title    string            `json:"title"`
	Vehicle  string            `json:"vehicle"`
	Year     int               `json:"year,omitempty"`
	Identity map[string]string `json:"identity,omitempty"`
	Taken    string            `json:"taken,omitempty"`
	By       string            `json:"by,omitempty"`
	Shop     string            `json:"shop,omitempty"`
	Place    string            `json:"place,omitempty"`
	Devices  []DeviceView      `json:"devices"`
	Warnings []string          `json:"warnings,omitempty"`
	RuleBase string            `json:"rule-base"`
	Tool     string            `json:"tool"`
	Printed  string            `json:"printed"`
	Code     string            `json:"record-code,omitempty"` // newest checkpoint of the record, in words
}

// GateView says whether a keying card exists.
type GateView struct {
	Exists         bool     `json:"exists"`
	Because        []string `json:"because,omitempty"`
	NotForHandover bool     `json:"not-for-handover,omitempty"`
}

// Stamp is what every output says about its making: the tool's version and the day, from the one clock.
type Stamp struct {
	Tool    string
	Printed string // day, "2026-11-25"
	Code    string // newest checkpoint of the record in words, "" without a record
}

// Derived makes the view of an outcome's settings.
func Derived(o *rules.Outcome, s Stamp) DerivedView {
	v := DerivedView{
		Schema: "asleft/derived/1", Job: jobView(o, s), Start: string(o.Derived.Start),
		Gate:           GateView{o.Gate.Open, o.Gate.Because, o.Gate.NotHandover},
		Contradictions: findingViews(o.Derived.Contradictions), Refusals: findingViews(o.Derived.Refusals),
		Missing: missingViews(o.Derived.Missing), Cautions: findingViews(o.Derived.Cautions),
		NotMet: notMetViews(o.Derived.NotMet),
	}
	used := inUse(o)
	for _, s := range o.Derived.Settings {
		row := settingView(s)
		switch {
		case leads(row.Setting) && s.Action != derive.Absent && s.Kind != derive.NotApplicable && used(row.Setting):
			v.Leading = append(v.Leading, row)
		case s.Action == derive.Set:
			v.ToSet = append(v.ToSet, row)
		case s.Action == derive.Strap, s.Action == derive.Dial, s.Action == derive.Cable, s.Action == derive.Learned:
			v.ByHand = append(v.ByHand, row)
		case s.Action == derive.Leave:
			v.ToLeave = append(v.ToLeave, row)
		case s.Action == derive.Absent && (strings.HasPrefix(row.Setting, "aux.") || strings.HasPrefix(row.Setting, "state-output.")):
			// an output that is no such output
		default:
			v.Without = append(v.Without, row)
		}
	}
	return v
}

// inUse tells of the five settings which instances this job uses: gestures and outputs of the button
// plan, feeds that do something.
func inUse(o *rules.Outcome) func(name string) bool {
	used := map[string]bool{}
	for _, r := range o.Plan.Rows {
		used[setting.Instance("remote.R.gesture.G", r.Remote, r.Gesture)] = true
		for _, output := range r.Outputs {
			used[setting.Instance("aux.N.behaviour", output)] = true
		}
	}
	for _, s := range o.Derived.Settings {
		if strings.HasPrefix(s.Key.Setting, "feed.") && s.Value != "off" {
			used[s.Key.Setting] = true
		}
	}
	return func(name string) bool {
		plan := strings.HasPrefix(name, "remote.") || strings.HasPrefix(name, "aux.") || strings.HasPrefix(name, "feed.")
		return !plan || used[name]
	}
}

func jobView(o *rules.Outcome, s Stamp) JobView {
	j := o.Job
	v := JobView{
		File: j.Doc.Name(), Title: j.Title, Vehicle: j.Vehicle.Label, Year: j.Vehicle.Year,
		Identity: j.Vehicle.Identity, Taken: j.Taken, By: j.By, Place: j.Place.Name,
		Devices: deviceLines(o), RuleBase: short(o.RuleBase), Tool: s.Tool, Printed: s.Printed, Code: s.Code,
	}
	if o.Policy != nil {
		v.Shop = o.Policy.Shop
	}
	for _, w := range j.Warnings {
		v.Warnings = append(v.Warnings, fmt.Sprintf("%s: %s", w.Pos, w.Message))
	}
	return v
}

// short keeps as much of a digest as people compare by eye.
func short(digest string) string { return digest[:min(12, len(digest))] }

// Page shows the settings: refusals and cautions first, then the five, then the rest.
func (v DerivedView) Page() Page {
	p := Page{Title: v.Job.Title, Marks: v.Job.marks()}
	p.Sections = append(p.Sections, v.Job.section(v.Start, v.Gate))
	if v.WhatIf != nil {
		p.Sections = append(p.Sections, v.WhatIf.section(v.Start))
	}
	p.Sections = append(p.Sections, v.findings()...)
	return Page{Title: p.Title, Marks: p.Marks, Sections: append(p.Sections, v.settings(true)...)}
}

// marks are printed on every page: who made the sheet from what.
func (j JobView) marks() []string {
	marks := []string{fmt.Sprintf("%s, printed %s by asleft %s, rule base %s", j.Vehicle, j.Printed, j.Tool, j.RuleBase)}
	var invented []string
	for _, d := range j.Devices {
		if d.Invented {
			invented = append(invented, d.Profile)
		}
	}
	if len(invented) > 0 {
		marks = append(marks, "Made with invented demo devices ("+strings.Join(invented, ", ")+"): not for a real vehicle.")
	}
	return marks
}

// witness is the record's code on a page that has no section about the job.
func (j JobView) witness() []Section {
	if j.Code == "" {
		return nil
	}
	s := Section{Title: "The record when this was printed"}
	s.Add(codeBlock(j.Code))
	return []Section{s}
}

func (j JobView) section(start string, gate GateView) Section {
	s := Section{Title: "Identity"}
	g := Grid{}
	add := func(name, value string) {
		if value != "" {
			g.Rows = append(g.Rows, []string{name, value})
		}
	}
	vehicle := j.Vehicle
	if j.Year > 0 {
		vehicle = fmt.Sprintf("%s, %d", vehicle, j.Year)
	}
	add("vehicle", vehicle)
	for _, name := range []string{"fleet-number", "plate", "stock-number", "vin"} {
		add(strings.ReplaceAll(name, "-", " "), j.Identity[name])
	}
	add("described", strings.TrimSpace(j.Taken+" "+j.By))
	add("shop", j.Shop)
	add("place", j.Place)
	for _, d := range j.Devices {
		add(d.Name, d.Label)
	}
	add("remote start", startLine(start))
	if !gate.Exists {
		add("keying card", "none: "+strings.Join(gate.Because, "; "))
	} else if gate.NotForHandover {
		add("keying card", "yes, NOT FOR HANDOVER until the tests have passed")
	}
	s.Add(g)
	if j.Code != "" {
		s.Add(codeBlock(j.Code))
	}
	if len(j.Warnings) > 0 {
		s.Add(List{Tone: Notice, Items: prefixed("Look again: ", j.Warnings)})
	}
	return s
}

func startLine(start string) string {
	if words, ok := startWords[derive.Outcome(start)]; ok {
		return words
	}
	return start
}

func prefixed(prefix string, items []string) []string {
	out := make([]string, len(items))
	for i, s := range items {
		out[i] = prefix + s
	}
	return out
}

// findings are contradictions, refusals, what is missing, and cautions.
func (v DerivedView) findings() []Section {
	var out []Section
	if len(v.Contradictions) > 0 {
		s := Section{Title: "Contradictions"}
		for _, f := range v.Contradictions {
			addFinding(&s, "These cannot hold together", f)
		}
		out = append(out, s)
	}
	if len(v.Refusals) > 0 {
		s := Section{Title: "Refused"}
		for _, f := range v.Refusals {
			addFinding(&s, "REFUSED: "+f.Scope, f)
		}
		out = append(out, s)
	}
	if len(v.Missing) > 0 {
		out = append(out, missingSection(v.Missing))
	}
	if len(v.Cautions) > 0 {
		s := Section{Title: "Cautions"}
		var items []string
		for _, f := range v.Cautions {
			items = append(items, f.Why)
		}
		s.Add(List{Tone: Danger, Items: items})
		out = append(out, s)
	}
	return out
}

func addFinding(s *Section, lead string, f FindingView) {
	text := lead
	if f.Open {
		text = strings.Replace(lead, "REFUSED", "OPEN, refused if the missing fact is the worst", 1)
	}
	if f.Why != "" {
		text += ". " + f.Why
	}
	s.Add(Text{Danger, text})
	var items []string
	for _, r := range f.Rules {
		items = append(items, ruleLine(r))
	}
	for _, x := range f.Facts {
		items = append(items, factLine(x))
	}
	if f.Rule != "" {
		items = append(items, "rule: "+f.Rule+" ("+f.Source+")")
	}
	if f.Cure != "" {
		items = append(items, "what would cure it: "+f.Cure)
	}
	s.Add(List{Items: items})
}

func ruleLine(r RuleView) string {
	text := r.Says
	if text == "" {
		text = r.Rule
	} else if r.Rule != "" {
		text += ", by " + r.Rule
	}
	if at := r.At.String(); at != "" {
		text += " (" + at + ")"
	}
	return text
}

func factLine(f FactView) string {
	text := "fact: " + f.Name + " is " + f.Value
	if f.Assumed {
		text += ", assumed the worst because nobody said"
	}
	if at := f.At.String(); at != "" && !f.Assumed {
		text += " (" + at + ")"
	}
	return text
}

func missingSection(all []MissingView) Section {
	s := Section{Title: "Facts that are missing"}
	g := Grid{Head: []string{"fact", "how to find out", "what depends on it"}}
	for _, m := range all {
		name := m.Fact
		if m.Safety {
			name += " (safety)"
		}
		g.Rows = append(g.Rows, []string{name, m.Measure, strings.Join(m.Settles, ", ")})
	}
	s.Add(g)
	return s
}

// settings are the tables of settings. The sheet only names those without an option: nobody can
// do anything about them.
func (v DerivedView) settings(whole bool) []Section {
	var out []Section
	add := func(title string, rows []SettingView) {
		if len(rows) == 0 {
			return
		}
		g := Grid{Head: []string{"setting", "value", "do", "why"}}
		for _, r := range rows {
			g.Rows = append(g.Rows, []string{v.named(r), r.Shown(), doWords(r), r.reason()})
		}
		out = append(out, Section{Title: title, Blocks: []Block{g}})
	}
	add("The five that decide most", v.Leading)
	add(fmt.Sprintf("Settings to set (%d)", len(v.ToSet)), v.ToSet)
	add(fmt.Sprintf("To set by hand (%d)", len(v.ByHand)), v.ByHand)
	add(fmt.Sprintf("Settings left as the factory has them (%d)", len(v.ToLeave)), v.ToLeave)
	title := fmt.Sprintf("Without an option, or not applicable (%d)", len(v.Without))
	if whole {
		add(title, v.Without)
	} else if len(v.Without) > 0 {
		out = append(out, Section{Title: title, Blocks: []Block{Text{Quiet, v.paragraph(v.Without)}}})
	}
	if len(v.NotMet) > 0 {
		s := Section{Title: "Not met"}
		var items []string
		for _, n := range v.NotMet {
			items = append(items, ruleLine(n.RuleView)+": "+n.Because)
		}
		s.Add(List{Tone: Notice, Items: items})
		out = append(out, s)
	}
	return out
}

// paragraph names settings with their values in one paragraph.
func (v DerivedView) paragraph(rows []SettingView) string {
	var parts []string
	for _, r := range rows {
		if r.Kind != string(derive.NotApplicable) {
			parts = append(parts, v.named(r)+" "+r.Shown())
		}
	}
	return "The devices work so: " + strings.Join(parts, "; ") + ". 'asleft derive' says why, and what is not applicable."
}

// named gives a setting's name, with its device where the job has several that can be set.
func (v DerivedView) named(r SettingView) string {
	if r.Device == "controller" || r.Device == "" || strings.HasPrefix(r.Setting, "remote.") {
		return r.Setting
	}
	return r.Setting + " [" + r.Device + "]"
}

// doWords says what the technician does about a setting.
func doWords(r SettingView) string {
	switch derive.Action(r.Action) {
	case derive.Set:
		if r.Factory == r.Value {
			return "stays " + r.Value + " in option " + r.Option
		}
		return "set: was " + r.Factory
	case derive.Leave:
		return "leave"
	case derive.Strap, derive.Dial, derive.Cable:
		return "by " + r.Action + " to " + r.Position
	case derive.Learned:
		return "teach"
	case derive.Fixed:
		return "works so"
	default:
		return "-"
	}
}
