package present

import (
	"fmt"
	"strings"

	"asleft/config/record"
	"asleft/config/source"
)

// DoneView says that a file was made, and what may be done with it.
type DoneView struct {
	Schema string `json:"schema"` // asleft/done/1
	What   string `json:"what"`
	Name   string `json:"name"`
	Next   string `json:"next,omitempty"`
}

// Done makes the view.
func Done(what, name, next string) DoneView { return DoneView{"asleft/done/1", what, name, next} }

// Page says it.
func (v DoneView) Page() Page {
	s := Section{}
	s.Add(Text{Plain, capital(v.What) + ": " + v.Name})
	if v.Next != "" {
		s.Add(Text{Quiet, v.Next + "."})
	}
	return Page{Sections: []Section{s}}
}

// CodeView is the record's code of now.
type CodeView struct {
	Schema  string `json:"schema"` // asleft/code/1
	Code    string `json:"code"`
	Entries int64  `json:"entries"`
}

// Code makes the view.
func Code(code string, entries int64) CodeView { return CodeView{"asleft/code/1", code, entries} }

// Page shows the code alone on its line.
func (v CodeView) Page() Page {
	return Page{Sections: []Section{{Blocks: []Block{Text{Plain, v.Code}}}}}
}

// IntendedView is what a write would write.
type IntendedView struct {
	Schema    string            `json:"schema"` // asleft/intended/1
	Kind      string            `json:"kind"`
	By        string            `json:"by"`
	Vehicle   string            `json:"vehicle,omitempty"`
	Reason    string            `json:"reason,omitempty"`
	Data      map[string]string `json:"data,omitempty"`
	Settings  int               `json:"settings,omitempty"`
	Documents []string          `json:"documents,omitempty"`
	Personal  []string          `json:"personal,omitempty"` // fields only
	Secrets   []string          `json:"secrets,omitempty"`  // fields only
}

// Intended makes the view of a draft that is not written.
func Intended(d record.Draft) IntendedView {
	v := IntendedView{
		Schema: "asleft/intended/1", Kind: string(d.Kind), By: d.By, Reason: d.Reason, Data: d.Data,
		Personal: sortedKeys(d.Personal), Secrets: sortedKeys(d.Secrets),
	}
	if !d.Vehicle.IsZero() {
		v.Vehicle = d.Vehicle.String()
	}
	if d.Snapshot != nil {
		v.Settings = len(d.Snapshot.Readings)
	}
	for _, doc := range d.Documents {
		v.Documents = append(v.Documents, doc.Role)
	}
	return v
}

// Page lists what would be written.
func (v IntendedView) Page() Page {
	s := Section{Title: "Would be recorded; nothing was written"}
	g := Grid{Rows: [][]string{{"kind", v.Kind}, {"by", v.By}}}
	add := func(name, value string) {
		if value != "" {
			g.Rows = append(g.Rows, []string{name, value})
		}
	}
	add("vehicle", v.Vehicle)
	add("reason", v.Reason)
	if v.Settings > 0 {
		add("settings", fmt.Sprint(v.Settings))
	}
	add("documents", strings.Join(v.Documents, ", "))
	add("personal", strings.Join(v.Personal, ", "))
	add("secrets", strings.Join(v.Secrets, ", "))
	for _, name := range sortedKeys(v.Data) {
		add(name, v.Data[name])
	}
	s.Add(g)
	return Page{Sections: []Section{s}}
}

// ErasureView says what was erased, and which copies are out of reach.
type ErasureView struct {
	Schema string   `json:"schema"` // asleft/erasure/1
	Fields []string `json:"fields"`
	Copies []string `json:"copies-made-before,omitempty"`
}

// Erasure makes the view.
func Erasure(e *record.Erasure) ErasureView {
	v := ErasureView{Schema: "asleft/erasure/1", Fields: e.Fields}
	for _, c := range e.Copies {
		text := c.What + " " + c.File
		if !c.At.IsZero() {
			text += " of " + c.At.Format("2006-01-02")
		}
		v.Copies = append(v.Copies, text)
	}
	return v
}

// Page says it.
func (v ErasureView) Page() Page {
	s := Section{}
	if len(v.Fields) > 0 {
		s.Add(Text{Plain, "Erased: " + strings.Join(v.Fields, ", ") + "."})
	} else {
		s.Add(Text{Plain, "Nothing personal of this vehicle was left; that it was looked for is recorded."})
	}
	if len(v.Copies) > 0 {
		s.Add(Text{Notice, "Copies made before are out of reach; find and destroy them:"}, List{Items: v.Copies})
	}
	return Page{Sections: []Section{s}}
}

// ImportedView says what came in from another book.
type ImportedView struct {
	Schema string   `json:"schema"` // asleft/imported/1
	Books  []CameIn `json:"books"`
	Flaws  []string `json:"flaws,omitempty"`
	Proofs []string `json:"fork-proofs,omitempty"`
	Kept   string   `json:"proof-kept-in,omitempty"`
}

// CameIn is one book of an imported file.
type CameIn struct {
	Book    string `json:"book"`
	Entries int64  `json:"entries"`
	New     int64  `json:"new"`
	Behind  int64  `json:"behind,omitempty"`
	Own     bool   `json:"own,omitempty"`
}

// Imported makes the view; kept names the file that the proof of a fork is in now, if any.
func Imported(in *record.Imported, kept string) ImportedView {
	v := ImportedView{Schema: "asleft/imported/1", Kept: kept}
	for _, b := range in.Books {
		v.Books = append(v.Books, CameIn{b.Origin, b.Size, b.New, b.Behind, b.Own})
	}
	for _, f := range in.Flaws {
		v.Flaws = append(v.Flaws, f.String())
	}
	for _, p := range in.Proofs {
		v.Proofs = append(v.Proofs, string(p))
	}
	return v
}

// Page says it.
func (v ImportedView) Page() Page {
	s := Section{}
	if len(v.Flaws) > 0 {
		s.Add(Text{Danger, "NOTHING WAS TAKEN: the book in the file does not continue what is known here."}, List{Tone: Danger, Items: v.Flaws})
		if v.Kept != "" {
			s.Add(Text{Notice, "The proof of it is kept in " + v.Kept + ": 'asleft record verify " + v.Kept + "' checks it anywhere, and so can the other laptop."})
		} else if len(v.Proofs) > 0 {
			s.Add(Text{Notice, "With --proof FILE the proof of it is kept as a file too: 'asleft record verify FILE' checks it anywhere, and so can the other laptop."})
		}
		return Page{Sections: []Section{s}}
	}
	for _, b := range v.Books {
		text := fmt.Sprintf("Book %s: %s, %d of them new here.", b.Book, source.Counted(b.Entries, "entry", "entries"), b.New)
		if b.Behind > 0 {
			text += fmt.Sprintf(" %s here that the file lacks: an older export, or a record put back over there.", source.Counted(b.Behind, "entry is", "entries are"))
		}
		s.Add(Text{Plain, text})
	}
	return Page{Sections: []Section{s}}
}

// RestoredView says what a restore did.
type RestoredView struct {
	Schema  string `json:"schema"` // asleft/restored/1
	Entries int64  `json:"entries"`
	Lost    int64  `json:"lost,omitempty"`
	Aside   string `json:"put-aside,omitempty"`
	Book    string `json:"book"`
}

// Restored makes the view.
func Restored(r *record.Restored) RestoredView {
	return RestoredView{"asleft/restored/1", r.Entries, r.Lost, r.Aside, r.Origin}
}

// Page says it.
func (v RestoredView) Page() Page {
	s := Section{}
	s.Add(Text{Plain, fmt.Sprintf("Restored: %d entries. The work goes on in %s.", v.Entries, v.Book)})
	if v.Lost > 0 {
		s.Add(Text{Danger, fmt.Sprintf("%d later entries are lost; that stands in the new book.", v.Lost)})
	}
	if v.Aside != "" {
		s.Add(Text{Quiet, "What was there before is now " + v.Aside + "."})
	}
	return Page{Sections: []Section{s}}
}

// SearchView is what a search found.
type SearchView struct {
	Schema string    `json:"schema"` // asleft/search/1
	Hits   []HitLine `json:"hits"`
}

// HitLine is one answer of a search.
type HitLine struct {
	Vehicle string `json:"vehicle"`
	What    string `json:"what"`
	When    string `json:"when"`
	By      string `json:"by"`
	Says    string `json:"says,omitempty"`
}

// Add puts a hit into the view.
func (v *SearchView) Add(label string, hit record.Hit) {
	if p := hit.Present; p != nil {
		v.Hits = append(v.Hits, HitLine{label, p.Device + " " + p.Setting + " = " + readingWords(p.Reading), p.Local.Format("2006-01-02 15:04"), p.By, p.Why})
		return
	}
	e := entryView(hit.Item)
	v.Hits = append(v.Hits, HitLine{label, e.Kind, e.At, e.By, e.says()})
}

// Page lists the hits.
func (v SearchView) Page() Page {
	g := Grid{Head: []string{"vehicle", "what", "when", "by", "says"}}
	for _, h := range v.Hits {
		g.Rows = append(g.Rows, []string{h.Vehicle, h.What, h.When, h.By, h.Says})
	}
	s := Section{Blocks: []Block{g}}
	if len(v.Hits) == 0 {
		s.Add(Text{Plain, "Nothing fits."})
	}
	return Page{Sections: []Section{s}}
}
