package present

import (
	"strconv"
	"strings"

	"asleft/config/setting"
)

// SettingsView is the vocabulary as `asleft settings` shows it.
type SettingsView struct {
	Schema   string       `json:"schema"` // asleft/settings/1
	Settings []FamilyView `json:"settings"`
	States   []FamilyView `json:"states"`
}

// FamilyView is one line of the vocabulary.
type FamilyView struct {
	Name      string   `json:"name"`
	Title     string   `json:"title"`
	Kind      string   `json:"kind"`
	Words     []string `json:"words,omitempty"`
	Unit      string   `json:"unit,omitempty"`
	Values    string   `json:"values"` // in words
	Leads     bool     `json:"leads,omitempty"`
	DecidedBy string   `json:"decided-by,omitempty"`
	WhenWrong string   `json:"when-wrong,omitempty"`
}

// Settings makes the view of the whole vocabulary.
func Settings() SettingsView {
	v := SettingsView{Schema: "asleft/settings/1"}
	for _, f := range setting.Families() {
		v.Settings = append(v.Settings, familyView(f))
	}
	for _, s := range setting.States() {
		v.States = append(v.States, FamilyView{
			Name: s.Name, Title: s.Title, Kind: string(s.Kind), Words: s.Words, Unit: s.Unit,
			Values: s.Expected(), WhenWrong: s.WhenWrong,
		})
	}
	return v
}

// SettingsOf narrows the vocabulary to one family, or one state.
func SettingsOf(name string) (SettingsView, bool) {
	v := SettingsView{Schema: "asleft/settings/1"}
	all := Settings()
	for _, s := range all.States {
		if s.Name == name {
			v.States = []FamilyView{s}
			return v, true
		}
	}
	for _, f := range setting.Families() {
		if _, fits := f.Parts(name); fits || f.Pattern == name {
			v.Settings = []FamilyView{familyView(f)}
			return v, true
		}
	}
	return v, false
}

func familyView(f setting.Family) FamilyView {
	return FamilyView{
		Name: f.Pattern, Title: f.Title, Kind: string(f.Kind), Words: f.Words, Unit: f.Unit,
		Values: f.Expected(), Leads: f.Leads, DecidedBy: f.DecidedBy, WhenWrong: f.WhenWrong,
	}
}

// Page lists the vocabulary; with one family it explains it.
func (v SettingsView) Page() Page {
	if len(v.Settings)+len(v.States) == 1 {
		return explainFamily(append(v.Settings, v.States...)[0], len(v.States) == 1)
	}
	settings := Section{Title: "Settings (" + strconv.Itoa(len(v.Settings)) + "); the first five decide most"}
	rows := Grid{Head: []string{"setting", "what it is", "values"}}
	for _, f := range v.Settings {
		rows.Rows = append(rows.Rows, []string{f.Name, f.Title, f.Values})
	}
	settings.Add(rows, Text{Quiet, "NAME, N, R and G stand for a name: a feed, an output, a remote, a gesture. asleft settings NAME explains one."})
	states := Section{Title: "States: never keyed, always recorded"}
	srows := Grid{Head: []string{"state", "what it is", "values"}}
	for _, f := range v.States {
		srows.Rows = append(srows.Rows, []string{f.Name, f.Title, f.Values})
	}
	states.Add(srows)
	return Page{Sections: []Section{settings, states}}
}

func explainFamily(f FamilyView, state bool) Page {
	s := Section{Title: f.Name}
	rows := [][]string{{"what it is", f.Title}, {"values", f.Values}}
	if f.Unit != "" && !strings.Contains(f.Values, f.Unit) {
		rows = append(rows, []string{"unit", f.Unit})
	}
	if f.DecidedBy != "" {
		rows = append(rows, []string{"decided by", f.DecidedBy})
	}
	if f.WhenWrong != "" {
		rows = append(rows, []string{"when wrong", f.WhenWrong})
	}
	if state {
		rows = append(rows, []string{"kind", "a state: never keyed, always recorded as found and as left"})
	}
	s.Add(Grid{Rows: rows})
	return Page{Sections: []Section{s}}
}
