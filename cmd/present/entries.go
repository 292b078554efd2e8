package present

import (
	"slices"
	"strconv"

	"asleft/config/record"
)

// LogView is a vehicle's entries in order.
type LogView struct {
	Schema  string      `json:"schema"` // asleft/log/1
	Label   string      `json:"label"`  // of the vehicle; "" for the entries about the record as a whole
	Entries []EntryView `json:"entries"`
	Doubts  Doubts      `json:"does-not-verify,omitempty"`
}

// EntryView is one entry.
type EntryView struct {
	Number      int64             `json:"number"`
	Book        string            `json:"book"`
	Entry       string            `json:"entry"`
	Kind        string            `json:"kind"`
	At          string            `json:"at"`
	By          string            `json:"by"`
	Machine     string            `json:"machine"`
	Tool        string            `json:"tool"`
	Reason      string            `json:"reason,omitempty"`
	Points      string            `json:"points-to,omitempty"`
	CorrectedBy string            `json:"corrected-by,omitempty"` // the newest entry that puts it right
	Changes     int               `json:"changes,omitempty"`      // settings that it speaks of
	First       int               `json:"first-stated,omitempty"` // those of them of which no value was known before
	Overrides   int               `json:"overrides,omitempty"`
	Personal    []string          `json:"personal,omitempty"` // fields only
	Secrets     []string          `json:"secrets,omitempty"`  // fields only
	Opened      map[string]string `json:"personal-values,omitempty"`
	Data        map[string]string `json:"data,omitempty"`
	Concurrent  int               `json:"concurrent-with,omitempty"`
	ClockBack   int64             `json:"clock-back-seconds,omitempty"`
}

// Log makes the view of a history; personal are values that were opened, to be told with the entries
// that brought them.
func Log(h *record.History, label string, personal []record.Value) LogView {
	v := LogView{Schema: "asleft/log/1", Label: label}
	text := map[record.Digest]string{}
	for _, p := range personal {
		text[p.Commitment] = p.Text
	}
	corrected := map[record.ID]string{}
	for i := range h.Items {
		if x := &h.Items[i]; x.Kind == record.Corrected {
			corrected[x.Points] = x.Identity.String()
		}
	}
	for i := range h.Items {
		e := entryView(&h.Items[i])
		e.CorrectedBy = corrected[h.Items[i].Identity]
		for field, commitment := range h.Items[i].Personal {
			if value, opens := text[commitment]; opens {
				if e.Opened == nil {
					e.Opened = map[string]string{}
				}
				e.Opened[field] = value
			}
		}
		v.Entries = append(v.Entries, e)
	}
	return v
}

func entryView(x *record.Item) EntryView {
	e := EntryView{
		Number: x.N, Book: x.Book, Entry: x.Identity.String(), Kind: string(x.Kind), At: stampTime(x.Entry), By: x.By,
		Machine: x.Machine, Tool: x.Tool, Reason: x.Reason, Changes: len(x.Changes), Data: x.Data,
		Personal: sortedKeys(x.Personal), Secrets: sortedKeys(x.Secrets),
		Concurrent: len(x.Concurrent), ClockBack: x.ClockBack,
	}
	if !x.Points.IsZero() {
		e.Points = x.Points.String()
	}
	for _, c := range x.Changes {
		if c.Override {
			e.Overrides++
		}
		if c.From == "" {
			e.First++
		}
	}
	return e
}

// Page lists the entries. An entry is named by the first digits of its number, which commands take.
func (v LogView) Page() Page {
	s := Section{Title: "Entries: " + v.Label}
	if v.Label == "" {
		s.Title = "Entries about the record as a whole"
	}
	v.Doubts.say(&s)
	if len(v.Entries) == 0 {
		s.Add(Text{Quiet, "None yet."})
	}
	s.Add(v.table())
	return Page{Sections: []Section{s}}
}

// table is the entries, with the machine where they were written on several.
func (v LogView) table() Grid {
	several := slices.ContainsFunc(v.Entries, func(e EntryView) bool { return e.Machine != v.Entries[0].Machine })
	g := Grid{Head: []string{"n", "entry", "when", "by", "what", "says"}}
	if several {
		g.Head = slices.Insert(g.Head, 4, "on")
	}
	for _, e := range v.Entries {
		row := []string{strconv.FormatInt(e.Number, 10), e.Entry[:8], e.At, e.By, e.Kind, e.says()}
		if several {
			row = slices.Insert(row, 4, e.Machine)
		}
		g.Rows = append(g.Rows, row)
	}
	return g
}
