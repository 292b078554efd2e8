package present

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"asleft/config/record"
	"asleft/config/setting"
	"asleft/config/source"
)

// WrittenView tells what was written to the record.
type WrittenView struct {
	Schema     string `json:"schema"` // asleft/written/1
	Kind       string `json:"kind"`
	Vehicle    string `json:"vehicle"`
	Entry      string `json:"entry"`
	Number     int64  `json:"number"`
	At         string `json:"at"`
	By         string `json:"by"`
	Again      bool   `json:"already-there,omitempty"`
	ClockBack  int64  `json:"clock-back-seconds,omitempty"`
	Checkpoint string `json:"checkpoint"`
}

// Written makes the view of a receipt.
func Written(r record.Receipt) WrittenView {
	return WrittenView{
		Schema: "asleft/written/1", Kind: string(r.Kind), Vehicle: r.Subject.String(), Entry: r.Identity.String(),
		Number: r.N, At: stampTime(r.Entry), By: r.By, Again: r.Again, ClockBack: r.ClockBack,
		Checkpoint: checkpointWords(r.Checkpoint.Head),
	}
}

func checkpointWords(h record.Head) string {
	return source.Counted(h.Size, "entry", "entries") + ", root " + short(h.Root.String())
}

// Page says it in a few lines.
func (v WrittenView) Page() Page {
	s := Section{}
	verb := "Recorded"
	if v.Again {
		verb = "Already recorded"
	}
	s.Add(Text{Plain, fmt.Sprintf("%s: %s, entry %d, by %s at %s.", verb, strings.ReplaceAll(v.Kind, "-", " "), v.Number, v.By, v.At)})
	s.Add(Text{Quiet, "Vehicle " + v.Vehicle + "; the record now has " + v.Checkpoint + "."})
	if v.ClockBack > 0 {
		s.Add(Text{Notice, fmt.Sprintf("The clock ran %d s behind the entry before: set it. The order of entries does not depend on it.", v.ClockBack)})
	}
	return Page{Sections: []Section{s}}
}

// stampTime is the writer's local time of an entry.
func stampTime(e record.Entry) string { return e.Local().Format("2006-01-02 15:04 -0700") }

// StateView is a vehicle's settings as left, with their past.
type StateView struct {
	Schema   string        `json:"schema"` // asleft/state/1
	Vehicle  string        `json:"vehicle"`
	Label    string        `json:"label"`
	At       string        `json:"at,omitempty"`
	Left     string        `json:"left,omitempty"` // when, by whom
	Settings []PresentView `json:"settings"`
	States   []StateLine   `json:"states,omitempty"`
	Off      []string      `json:"off,omitempty"`
	Warnings []string      `json:"warnings,omitempty"`
	Doubts   Doubts        `json:"does-not-verify,omitempty"`
}

// PresentView is one setting as left.
type PresentView struct {
	Device  string `json:"device"`
	Setting string `json:"setting"`
	Value   string `json:"value"`
	Origin  string `json:"origin,omitempty"`
	Since   string `json:"since"`
	By      string `json:"by"`
	Why     string `json:"why,omitempty"`
	Before  string `json:"before,omitempty"`
}

// StateLine is a state that is no setting.
type StateLine struct {
	Device string `json:"device"`
	State  string `json:"state"`
	Value  string `json:"value"`
	Since  string `json:"since"`
	By     string `json:"by"`
	From   string `json:"from"` // the kind of entry that brought it
}

// State makes the view of a state.
func State(s *record.State, label string) StateView {
	v := StateView{Schema: "asleft/state/1", Vehicle: s.Vehicle.String(), Label: label}
	if !s.At.IsZero() {
		v.At = s.At.Format(time.RFC3339)
	}
	if s.Left != nil {
		v.Left = stampTime(s.Left.Entry) + " by " + s.Left.By
		v.Off = s.Left.Off()
	}
	if s.Concurrent {
		v.Warnings = append(v.Warnings, "two as-left entries were written without knowing of each other: look at both")
	}
	for _, p := range s.Settings {
		v.Settings = append(v.Settings, PresentView{
			p.Device, p.Setting, readingWords(p.Reading), string(p.Origin),
			p.Local.Format("2006-01-02 15:04"), p.By, p.Why, string(p.Before),
		})
	}
	slices.SortStableFunc(v.Settings, func(a, b PresentView) int { return setting.Compare(a.Setting, b.Setting) }) // the five first, whatever the device
	for _, r := range s.States {
		value := string(r.Value)
		if r.Status != setting.StatusKnown {
			value = string(r.Status)
		}
		v.States = append(v.States, StateLine{r.Device, r.State, value, r.Local.Format("2006-01-02 15:04"), r.By, string(r.From)})
	}
	return v
}

func readingWords(r setting.Reading) string {
	if r.Status == setting.StatusKnown {
		return string(r.Value)
	}
	return strings.ReplaceAll(string(r.Status), "-", " ")
}

// Page shows the settings as left, the five first.
func (v StateView) Page() Page {
	p := Page{Title: "As left: " + v.Label}
	s := Section{}
	v.Doubts.say(&s)
	if v.At != "" {
		s.Add(Text{Notice, "As it was at " + v.At + ", not as it is now."})
	}
	if v.Left == "" {
		s.Add(Text{Notice, "Nothing was recorded as left" + map[bool]string{true: " yet.", false: " by then."}[v.At == ""]})
	} else {
		s.Add(Text{Plain, "Newest as-left entry: " + v.Left})
	}
	for _, w := range v.Warnings {
		s.Add(Text{Danger, w})
	}
	if len(v.Off) > 0 {
		s.Add(Text{Danger, "Set off or refused: " + offWords(v.Off) + "."})
	}
	s.Add(v.settings())
	p.Sections = append(p.Sections, s)
	if len(v.States) > 0 {
		states := Section{Title: "States"}
		g := Grid{Head: []string{"device", "state", "value", "read", "by", "from"}}
		for _, r := range v.States {
			g.Rows = append(g.Rows, []string{r.Device, r.State, r.Value, r.Since, r.By, hyphens(r.From)})
		}
		states.Add(g)
		p.Sections = append(p.Sections, states)
	}
	return p
}

// settings is the table of the settings, with why where anybody said so.
func (v StateView) settings() Grid {
	g := Grid{Head: []string{"device", "setting", "value", "before", "since", "by", "from"}}
	said := slices.ContainsFunc(v.Settings, func(r PresentView) bool { return r.Why != "" })
	if said {
		g.Head = append(g.Head, "why")
	}
	for _, r := range v.Settings {
		row := []string{r.Device, r.Setting, r.Value, r.Before, r.Since, r.By, r.Origin}
		if said {
			row = append(row, r.Why)
		}
		g.Rows = append(g.Rows, row)
	}
	return g
}
