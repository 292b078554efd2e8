package present

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/record"
	"asleft/rules/assign"
)

// WhichView answers the desk's question: which button opens which door.
type WhichView struct {
	Schema   string       `json:"schema"` // asleft/which/1
	Vehicle  string       `json:"vehicle"`
	Asked    string       `json:"asked,omitempty"`
	Verifies string       `json:"record"`
	Left     string       `json:"as-left,omitempty"`
	Answers  []AnswerView `json:"answers"`
	Warnings []string     `json:"warnings,omitempty"`
	Asks     string       `json:"asks,omitempty"` // a question back
	Fits     bool         `json:"fits"`
}

// AnswerView is one line: one function on one remote.
type AnswerView struct {
	Function string `json:"function"`
	Remote   string `json:"remote,omitempty"`
	Line     string `json:"line"`
	Given    bool   `json:"gesture-given"`
}

// Which makes the answer from what the record has. Words is what the customer said; empty asks for
// everything. No gesture is given for what was set off or refused, none at all while a safety
// complaint is open, and a record that does not verify says so first.
// Shown tells which functions were shown to work since, so that a gesture which had to be taught
// is known to be taught.
func Which(a *record.Answer, label string, words []string, shown map[string]bool) (WhichView, error) {
	v := WhichView{Schema: "asleft/which/1", Vehicle: label, Asked: strings.Join(words, " "), Verifies: string(a.Report.Outcome)}
	switch a.Report.Outcome {
	case record.Flawed:
		v.Warnings = append(v.Warnings, "THE RECORD DOES NOT VERIFY: do not rely on this answer; run 'asleft record verify'.")
	case record.Unwitnessed:
		v.Warnings = append(v.Warnings, "The record verifies, but no witness outside it shows that nothing is gone at its end.")
	}
	if a.Left == nil {
		v.Warnings = append(v.Warnings, "Nothing was recorded as left: no button can be told.")
		return v, nil
	}
	v.Left = stampTime(a.Left.Entry) + " by " + a.Left.By
	if a.Complaint != nil {
		v.Warnings = append(v.Warnings, "A SAFETY COMPLAINT IS OPEN ("+a.Complaint.Data["complaint"]+"): no button is told until it is closed.")
		return v, nil
	}
	if a.Plan == nil {
		v.Warnings = append(v.Warnings, "The newest as-left entry has no button plan.")
		return v, nil
	}
	plan, err := ParsePlan(a.Plan)
	if err != nil {
		return v, err
	}
	v.answer(plan, a.Off, words, shown)
	return v, nil
}

func (v *WhichView) answer(plan Plan, off, words []string, shown map[string]bool) {
	wanted := assign.Match(strings.Join(words, " "), plan.functions(), plan.Side)
	v.Asks = wanted.Ask
	if wanted.Read != "" {
		v.Warnings = append(v.Warnings, "Read as: "+wanted.Read+".")
	}
	v.Fits = len(wanted.Names) > 0
	if len(wanted.Names) > 1 && len(words) > 0 {
		v.Warnings = append(v.Warnings, fmt.Sprintf("The question fits %d functions.", len(wanted.Names)))
	}
	for _, name := range wanted.Names {
		for _, r := range plan.Rows {
			if r.Function == name {
				v.Answers = append(v.Answers, told(r, off, shown))
			}
		}
		for _, r := range plan.Missed {
			if r.Function == name {
				v.Answers = append(v.Answers, AnswerView{name, r.Remote, fmt.Sprintf("%s: promised, but not to be had on the %s remote: %s", capital(r.Words[0]), r.Remote, r.Reason), false})
			}
		}
		for _, r := range plan.None {
			if r.Function == name {
				v.Answers = append(v.Answers, AnswerView{name, "", fmt.Sprintf("%s: no button, refused. %s", capital(r.Words[0]), r.Reason), false})
			}
		}
	}
}

// told is the line of a row, without its gesture when the function was set off.
func told(r PlanRow, off []string, shown map[string]bool) AnswerView {
	if slices.Contains(off, r.Function) || slices.Contains(off, "function:"+r.Function) {
		return AnswerView{r.Function, r.Remote, capital(r.Words[0]) + ": set off, no button is told.", false}
	}
	line := r.spoken()
	if r.Teach && !shown[r.Function] {
		line += " Promised; not recorded as taught and shown to work yet."
	}
	return AnswerView{r.Function, r.Remote, line, true}
}

// Page is one line for each remote; warnings first.
func (v WhichView) Page() Page {
	s := Section{}
	for _, w := range v.Warnings {
		s.Add(Text{Danger, w})
	}
	if v.Asks != "" {
		s.Add(Text{Notice, v.Asks})
	}
	for _, a := range v.Answers {
		s.Add(Text{Plain, a.Line})
	}
	if len(v.Answers) == 0 && v.Asks == "" && len(v.Warnings) == 0 {
		s.Add(Text{Plain, fmt.Sprintf("No function of %s fits %q.", v.Vehicle, v.Asked)})
	}
	return Page{Sections: []Section{s}}
}
