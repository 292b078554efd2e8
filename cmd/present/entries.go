package present

import (
	"strconv"

	"asleft/config/record"
)

// LogView is a vehicle's entries in order.
type LogView struct {
	Schema  string      `json:"schema"` // asleft/log/1
	Label   string      `json:"label"`
	Entries []EntryView `json:"entries"`
}

// EntryView is one entry.
type EntryView struct {
	Number     int64             `json:"number"`
	Book       string            `json:"book"`
	Entry      string            `json:"entry"`
	Kind       string            `json:"kind"`
	At         string            `json:"at"`
	By         string            `json:"by"`
	Machine    string            `json:"machine"`
	Tool       string            `json:"tool"`
	Reason     string            `json:"reason,omitempty"`
	Points     string            `json:"points-to,omitempty"`
	Changes    int               `json:"changes,omitempty"`
	Overrides  int               `json:"overrides,omitempty"`
	Personal   []string          `json:"personal,omitempty"` // fields only
	Secrets    []string          `json:"secrets,omitempty"`  // fields only
	Data       map[string]string `json:"data,omitempty"`
	Concurrent int               `json:"concurrent-with,omitempty"`
	ClockBack  int64             `json:"clock-back-seconds,omitempty"`
}

// Log makes the view of a history.
func Log(h *record.History, label string) LogView {
	v := LogView{Schema: "asleft/log/1", Label: label}
	for i := range h.Items {
		x := &h.Items[i]
		v.Entries = append(v.Entries, entryView(x))
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
	}
	return e
}

// Page lists the entries. An entry is named by the first digits of its number, which commands take.
func (v LogView) Page() Page {
	s := Section{Title: "Entries: " + v.Label}
	g := Grid{Head: []string{"n", "entry", "when", "by", "what", "says"}}
	for _, e := range v.Entries {
		g.Rows = append(g.Rows, []string{strconv.FormatInt(e.Number, 10), e.Entry[:8], e.At, e.By, e.Kind, e.says()})
	}
	s.Add(g)
	return Page{Sections: []Section{s}}
}
