package present

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"asleft/rules"
	"asleft/rules/assign"
)

// Plan is the button plan as the record keeps it: what the desk needs to answer which button opens
// which door, and nothing secret.
type Plan struct {
	Schema string    `json:"schema"` // asleft/plan/1
	Side   string    `json:"driving-side,omitempty"`
	Rows   []PlanRow `json:"rows"`
	Missed []PlanRow `json:"not-reached,omitempty"`
	None   []PlanRow `json:"refused,omitempty"`
	Alone  []PlanRow `json:"at-start,omitempty"` // what comes on by itself at remote start; Reason says when, or why not
	Own    []PlanRow `json:"own,omitempty"`      // by which the remotes themselves lock, unlock, start, stop and call for help
}

// PlanRow is one function on one remote.
type PlanRow struct {
	Function   string   `json:"function"`
	Words      []string `json:"words"` // the owner's, the first is shown
	Does       string   `json:"does,omitempty"`
	Remote     string   `json:"remote,omitempty"`
	For        string   `json:"for,omitempty"`
	Press      string   `json:"press,omitempty"`
	Hold       bool     `json:"hold,omitempty"`
	Conditions []string `json:"conditions,omitempty"`
	Channel    int      `json:"channel,omitempty"`
	Gesture    string   `json:"gesture,omitempty"`
	Teach      bool     `json:"teach,omitempty"`
	Reason     string   `json:"reason,omitempty"`
	Shows      string   `json:"shows,omitempty"` // what is seen or heard
	Kinds      []string `json:"kinds,omitempty"` // of a remote's own gesture: chord, double, hold
	Cannot     string   `json:"user-cannot,omitempty"`
}

// PlanOf takes the plan out of an outcome. Whole is the outcome of the same job with its remote start,
// where this one is derived without; else the same.
func PlanOf(o, whole *rules.Outcome) Plan {
	p := Plan{Schema: "asleft/plan/1", Side: o.Job.Vehicle.DrivingSide}
	words, does := map[string][]string{}, map[string]string{}
	for _, f := range o.Job.Functions {
		words[f.Name], does[f.Name] = f.Words, f.Does
	}
	spoken := func(name, shown string) []string {
		list := []string{shown}
		for _, w := range words[name] {
			if w != shown {
				list = append(list, w)
			}
		}
		return list
	}
	for _, r := range o.Plan.Rows {
		p.Rows = append(p.Rows, PlanRow{
			Function: r.Function, Words: spoken(r.Function, r.Words), Does: does[r.Function], Remote: r.Remote, For: r.For,
			Press: r.Press, Hold: r.Hold, Conditions: r.Conditions, Channel: r.Channel, Gesture: r.Gesture, Teach: r.Teach,
			Shows: o.Shows(),
		})
	}
	for _, m := range o.Plan.NotReached {
		p.Missed = append(p.Missed, PlanRow{Function: m.Function, Words: spoken(m.Function, m.Words), Does: does[m.Function], Remote: m.Remote, Reason: m.Reason})
	}
	for _, r := range o.Plan.Refused {
		p.None = append(p.None, PlanRow{Function: r.Function, Words: spoken(r.Function, r.Words), Does: does[r.Function], Reason: r.Reason})
	}
	p.Alone = atStart(o, whole, spoken)
	shows := map[string]string{"lock": o.Shows(), "unlock": o.Shows(), "start": o.Shows()} // what confirms these; of the others nothing is told
	for _, own := range o.Own(whole) {
		p.Own = append(p.Own, PlanRow{
			Function: own.Does, Words: []string{own.Does}, Remote: own.Remote, For: own.For, Press: own.Press, Gesture: own.Gesture,
			Channel: own.Channel, Kinds: own.Kinds, Cannot: own.Cannot, Reason: own.Why, Shows: shows[own.Does],
		})
	}
	return p
}

// atStart lists the functions that come on by themselves at remote start, those that the plan could give an output.
func atStart(o, whole *rules.Outcome, spoken func(name, shown string) []string) []PlanRow {
	var out []PlanRow
	noStart := o.NoStart(whole)
	for _, f := range o.Job.Functions {
		lost := slices.ContainsFunc(o.Plan.NotReached, func(m assign.Miss) bool { return m.Function == f.Name && m.Remote == assign.AtStart })
		refused := slices.ContainsFunc(o.Plan.Refused, func(r assign.Refusal) bool { return r.Function == f.Name })
		if f.AtStart != "on" || lost || refused {
			continue
		}
		says := "on by itself at a remote start"
		if f.HasBelow {
			says += fmt.Sprintf(", below %g C", f.Below)
		}
		if noStart != "" {
			says = "never on by itself: " + noStart
		}
		out = append(out, PlanRow{Function: f.Name, Words: spoken(f.Name, f.OwnersWords()), Does: f.Does, Reason: says})
	}
	return out
}

// Canonical is the plan's bytes: keys in the order of the type, no white space.
func (p Plan) Canonical() []byte {
	data, err := json.Marshal(p)
	if err != nil {
		panic(fmt.Sprintf("a plan is text and numbers: %v", err))
	}
	return data
}

// ParsePlan reads a plan back.
func ParsePlan(data []byte) (Plan, error) {
	var p Plan
	if err := json.Unmarshal(data, &p); err != nil {
		return p, fmt.Errorf("the plan in the record cannot be read: %w", err)
	}
	if p.Schema != "asleft/plan/1" {
		return p, fmt.Errorf("the plan in the record has the form %q, which this version does not know", p.Schema)
	}
	return p, nil
}

// spoken is the row as it is said at the desk: one line.
func (r PlanRow) spoken() string {
	text := fmt.Sprintf("%s: on the %s remote %s", capital(r.Words[0]), r.Remote, r.Press)
	if r.Hold && !strings.Contains(r.Press, "only while held") {
		text += ", and keep holding: it stops when you let go"
	}
	if len(r.Conditions) > 0 {
		text += "; only when " + strings.Join(r.Conditions, ", ")
	}
	if r.Shows != "" {
		text += "; " + r.Shows
	}
	return text + "."
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// functions lists what the plan speaks about, for matching words.
func (p Plan) functions() []assign.Named {
	var out []assign.Named
	seen := map[string]bool{}
	for _, rows := range [][]PlanRow{p.Rows, p.Missed, p.None, p.Alone} {
		for _, r := range rows {
			if !seen[r.Function] {
				seen[r.Function] = true
				out = append(out, assign.Named{Name: r.Function, Words: r.Words, Does: r.Does})
			}
		}
	}
	for _, use := range assign.OwnUses {
		if !seen[use] {
			out = append(out, assign.Named{Name: use, Words: []string{use}})
		}
	}
	return out
}
