package present

import (
	"errors"
	"fmt"
	"strings"

	"asleft/config/record"
)

// Secrets are shown to a person, on a screen or on a sheet of their own. A
// view with secrets never becomes JSON, which programs read, keep and log.

var errSecretJSON = errors.New("secrets are never written as JSON")

// RevealedView is an opened secret.
type RevealedView struct {
	Field  string
	Values []string
}

// Revealed makes the view.
func Revealed(r *record.Revealed) RevealedView {
	v := RevealedView{Field: r.Secrets[0].Field}
	for _, s := range r.Secrets {
		v.Values = append(v.Values, s.Text)
	}
	return v
}

// MarshalJSON refuses.
func (v RevealedView) MarshalJSON() ([]byte, error) { return nil, errSecretJSON }

// Page shows it.
func (v RevealedView) Page() Page {
	s := Section{}
	s.Add(Text{Plain, v.Field + ": " + strings.Join(v.Values, ", ")}, Text{Quiet, "The showing is recorded."})
	return Page{Sections: []Section{s}}
}

// OwnerSheetView is the page that the owner keeps at home. It names the
// vehicle by what the shop calls it, not by plate or VIN: who finds the page
// must not find the vehicle with it.
type OwnerSheetView struct {
	Vehicle   string
	To, By    string
	At        string // when it was printed, as the entry of the showing says
	Entry     int64  // that entry's place in the record
	Secrets   []record.Secret
	Elsewhere []string // fields that another laptop's record keeps
	Stamp     Stamp    // with the record's code from after that entry
}

// OwnerSheet makes the view of what was shown.
func OwnerSheet(r *record.Revealed, of record.Summary, to string, s Stamp) OwnerSheetView {
	v := OwnerSheetView{Vehicle: of.Vehicle.String(), To: to, By: r.By, At: stampTime(r.Entry), Entry: r.N, Secrets: r.Secrets, Elsewhere: r.Elsewhere, Stamp: s}
	for _, a := range []record.Attribute{record.Fleet, record.Label} {
		if text := of.Attributes[a]; text != "" {
			v.Vehicle = text
		}
	}
	v.Stamp.Code = record.SheetCode(r.Checkpoint.Head)
	return v
}

// MarshalJSON refuses.
func (v OwnerSheetView) MarshalJSON() ([]byte, error) { return nil, errSecretJSON }

// Page lays it out: what to do with the page, the secrets, and the record's code.
func (v OwnerSheetView) Page() Page {
	warning := "Keep this page at home, NOT IN THE VEHICLE: whoever finds it there can disarm the alarm and drive away."
	p := Page{Title: "Owner's sheet: " + v.Vehicle, Marks: []string{
		"OWNER'S SHEET: keep at home, not in the vehicle", fmt.Sprintf("%s, printed %s by asleft %s", v.Vehicle, v.Stamp.Printed, v.Stamp.Tool),
	}}
	first := Section{}
	first.Add(Text{Danger, warning})
	first.Add(Text{Plain, fmt.Sprintf("Printed for %s by %s at %s; that it was is entry %d of the record. No other sheet, card or answer of the shop carries what stands here.", v.To, v.By, v.At, v.Entry)})
	g := Grid{Head: []string{"secret", "value", "kept on", "by"}}
	for _, s := range v.Secrets {
		g.Rows = append(g.Rows, []string{hyphens(strings.Replace(s.Field, ".", ": ", 1)), s.Text, s.Kept.Local().Format("2006-01-02"), s.Kept.By})
	}
	secrets := Section{Title: fmt.Sprintf("Secrets (%d), the newest first", len(v.Secrets))}
	secrets.Add(g)
	if len(v.Elsewhere) > 0 {
		secrets.Add(Text{Notice, "Kept on another laptop, which prints them: " + hyphens(strings.Join(v.Elsewhere, ", ")) + "."})
	}
	code := Section{Title: "The record when this was printed"}
	code.Add(codeBlock(v.Stamp.Code))
	p.Sections = []Section{first, secrets, code}
	return p
}
