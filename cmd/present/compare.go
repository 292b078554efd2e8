package present

import (
	"slices"
	"strings"

	"asleft/config/setting"
)

// CompareView sets side by side what is required today, what was left, and what was found now.
type CompareView struct {
	Schema  string       `json:"schema"` // asleft/compare/1
	Vehicle string       `json:"vehicle"`
	Columns []string     `json:"columns"`
	Rows    []CompareRow `json:"differences"`
	Notes   []string     `json:"notes,omitempty"`
}

// CompareRow is one setting that is not the same everywhere.
type CompareRow struct {
	Device  string   `json:"device"`
	Setting string   `json:"setting"`
	Values  []string `json:"values"` // one a column, "" when that column does not speak of it
	Guess   string   `json:"may-be,omitempty"`
}

// Column is one snapshot with its name.
type Column struct {
	Name     string // "required today", "as left", "found now"
	Snapshot setting.Snapshot
}

// Compare makes the view. Only values that are known count: an unknown is no difference.
func Compare(vehicle string, columns []Column, notes []string) CompareView {
	v := CompareView{Schema: "asleft/compare/1", Vehicle: vehicle, Notes: notes}
	keys := map[setting.Key]bool{}
	var order []setting.Key
	for _, c := range columns {
		v.Columns = append(v.Columns, c.Name)
		for _, r := range c.Snapshot.Readings {
			if !keys[r.Key] {
				keys[r.Key] = true
				order = append(order, r.Key)
			}
		}
	}
	sortKeys(order)
	for _, key := range order {
		row := CompareRow{Device: key.Device, Setting: key.Setting}
		distinct := map[string]bool{}
		for _, c := range columns {
			value := ""
			if r, ok := c.Snapshot.Get(key); ok && r.Status == setting.StatusKnown {
				value = string(r.Value)
				distinct[value] = true
			}
			row.Values = append(row.Values, value)
		}
		if len(distinct) > 1 {
			row.Guess = guess(columns, row.Values)
			v.Rows = append(v.Rows, row)
		}
	}
	return v
}

// guess says why a value may differ, from where it differs.
func guess(columns []Column, values []string) string {
	at := map[string]string{}
	for i, c := range columns {
		at[c.Name] = values[i]
	}
	required, left, found := at["required today"], at["as left"], at["found now"]
	var out []string
	if required != "" && left != "" && required != left {
		out = append(out, "the job or the rules changed since, or it was overridden")
	}
	if left != "" && found != "" && left != found {
		out = append(out, "somebody's hand, a replaced device, or lost power")
	}
	if left == "" && required != "" && found != "" && required != found {
		out = append(out, "not set as required")
	}
	return strings.Join(out, "; ")
}

// Page lists the differences, the five settings first.
func (v CompareView) Page() Page {
	s := Section{Title: "Compared: " + v.Vehicle}
	for _, n := range v.Notes {
		s.Add(Text{Quiet, n})
	}
	if len(v.Rows) == 0 {
		s.Add(Text{Plain, "No difference between " + strings.Join(v.Columns, ", ") + "."})
		return Page{Sections: []Section{s}}
	}
	g := Grid{Head: append(append([]string{"device", "setting"}, v.Columns...), "why it may be")}
	for _, r := range v.Rows {
		g.Rows = append(g.Rows, append(append([]string{r.Device, r.Setting}, r.Values...), r.Guess))
	}
	s.Add(g)
	return Page{Sections: []Section{s}}
}

func sortKeys(keys []setting.Key) { slices.SortFunc(keys, setting.CompareKeys) }
