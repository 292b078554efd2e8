package present

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"asleft/config/record"
	"asleft/config/setting"
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

// Taught is what the record says about gestures beyond the plan.
type Taught struct {
	Keyed  setting.Snapshot  // as the cards were followed: a gesture that had to be taught was taught
	Works  map[string]bool   // by function, shown to work by its test
	Failed []string          // what a failed safety test protects: "function:ramp"
	Open   []string          // what a safety test protects that is not passed: "remote-start"
	Left   []setting.Reading // as left: what a remote's own gesture needs and does follows from it
	Valet  bool              // a device is in valet, where alarm and remote start are off
}

// Which makes the answer from what the record has. Words is what the customer said; empty asks for
// everything. No gesture is given for what was set off or refused, none at all while a safety
// complaint is open or a safety test of the function has failed, and a record that does not verify says so first.
func Which(a *record.Answer, label string, words []string, t Taught) (WhichView, error) {
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
	for _, other := range a.Rivals {
		v.Warnings = append(v.Warnings, rivalWords(other))
	}
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
	v.answer(plan, a.Off, words, t)
	return v, nil
}

func (v *WhichView) answer(plan Plan, off, words []string, t Taught) {
	wanted := assign.Match(strings.Join(words, " "), plan.functions(), plan.Side)
	if v.Asks = wanted.Ask; v.Asks != "" {
		return // a door told on a guess is the wrong door for half of those who ask
	}
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
				v.Answers = append(v.Answers, told(r, off, t))
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
		for _, r := range plan.Alone {
			if r.Function == name {
				v.Answers = append(v.Answers, alone(r, off, t))
			}
		}
		v.Answers = append(v.Answers, plan.own(name, off, len(words) > 0, t)...)
	}
	v.Warnings = append(v.Warnings, t.beforeStart(v.Answers)...)
}

// told is the line of a row, without its gesture when the function was set off or failed its test.
func told(r PlanRow, off []string, t Taught) AnswerView {
	if slices.Contains(off, "function:"+r.Function) {
		return AnswerView{r.Function, r.Remote, capital(r.Words[0]) + ": set off, no button is told.", false}
	}
	if slices.Contains(t.Failed, "function:"+r.Function) {
		return AnswerView{r.Function, r.Remote, capital(r.Words[0]) + ": a safety test of it failed, no button is told.", false}
	}
	line := r.spoken()
	if r.Teach && !t.Works[r.Function] {
		line += map[bool]string{true: " Taught, but not yet shown to work.", false: " To be taught: not yet shown to work."}[t.keyed(r)]
	}
	return AnswerView{r.Function, r.Remote, line, true}
}

// keyed reports whether the row's gesture was taught by a card that was followed to its end.
func (t Taught) keyed(r PlanRow) bool {
	name := setting.Instance("remote.R.gesture.G", r.Remote, r.Gesture)
	for _, got := range t.Keyed.Readings {
		if got.Setting == name && got.Status == setting.StatusKnown {
			return string(got.Value) == strconv.Itoa(r.Channel)
		}
	}
	return false
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
