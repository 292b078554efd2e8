package present

import (
	"fmt"

	"asleft/config/record"
	"asleft/config/source"
)

// VerifyView says what verification proved.
type VerifyView struct {
	Schema  string     `json:"schema"` // asleft/verify/1
	Outcome string     `json:"outcome"`
	Books   []BookView `json:"books"`
	Flaws   []string   `json:"flaws,omitempty"`
	Extract bool       `json:"extract,omitempty"` // it was a file about one vehicle, not a record
}

// BookView is the part about one book.
type BookView struct {
	Book        string   `json:"book"`
	Own         bool     `json:"own"`
	Entries     int64    `json:"entries"`
	Intact      int64    `json:"intact"`
	Documents   int64    `json:"documents"`
	SignedTo    int64    `json:"signed-to"`
	WitnessedTo int64    `json:"witnessed-to"`
	Witnesses   []string `json:"witnesses,omitempty"`
	Root        string   `json:"root"`
	HeadLost    int64    `json:"head-lost,omitempty"` // entries there were when the head file was found missing
}

// Verified makes the view of a report.
func Verified(r *record.Report) VerifyView {
	v := VerifyView{Schema: "asleft/verify/1", Outcome: string(r.Outcome)}
	for _, b := range r.Books {
		book := BookView{b.Head.Book, b.Own, b.Size, b.Intact, b.Documents, b.SignedTo, b.WitnessedTo, nil, b.Root.String(), b.HeadLost}
		for _, w := range b.Witnesses {
			word := "agrees"
			if !w.Agrees {
				word = "DISAGREES"
			}
			book.Witnesses = append(book.Witnesses, fmt.Sprintf("%s at %s: %s", w.Name, source.Counted(w.Size, "entry", "entries"), word))
		}
		v.Books = append(v.Books, book)
	}
	for _, f := range r.Flaws {
		v.Flaws = append(v.Flaws, f.String())
	}
	return v
}

// VerifiedExtract makes the view of a report about an extract, whose books may be anybody's.
func VerifiedExtract(r *record.Report) VerifyView {
	v := Verified(r)
	v.Extract = true
	for i := range v.Books {
		v.Books[i].Own = false
	}
	return v
}

// Doubts are the flaws of a vehicle's entries, said with whatever is shown of them.
type Doubts []string

// DoubtsOf are the flaws that a report names; none when it verifies, with or without a witness.
func DoubtsOf(r *record.Report) Doubts {
	var d Doubts
	if r.Outcome == record.Flawed {
		for _, f := range r.Flaws {
			d = append(d, f.String())
		}
	}
	return d
}

// say puts the doubts before what a section shows.
func (d Doubts) say(s *Section) {
	if len(d) > 0 {
		s.Add(Text{Danger, "THE RECORD DOES NOT VERIFY: do not rely on what is shown here; 'asleft record verify' says all that is wrong."}, List{Tone: Danger, Items: d})
	}
}

// headLost says what a lost head file leaves open, and the two ways on.
func headLost(entries int64) Text {
	return Text{Danger, fmt.Sprintf("The head file was missing when there were %d entries: whether more were gone then, only the code on a printed sheet (--against CODE) or another laptop's book shows. 'asleft record renew' goes on in a book whose head file was never lost.", entries)}
}

// extractPage says what a file about one vehicle proves.
func (v VerifyView) extractPage() Page {
	s := Section{Title: "The extract " + v.Outcome}
	for _, b := range v.Books {
		s.Add(Text{Plain, fmt.Sprintf("book %s: %s of this vehicle intact, under a signed checkpoint of %s.", b.Book, source.Counted(b.Intact, "entry", "entries"), source.Counted(b.Entries, "entry", "entries"))})
		if b.WitnessedTo == 0 {
			s.Add(Text{Danger, "No witness outside the file: nothing shows whether later entries of the vehicle were left out. Compare with the code on a printed sheet: --against CODE."})
		} else {
			s.Add(Text{Plain, fmt.Sprintf("Witnessed: the first %d entries of the book are those that the witness knows.", b.WitnessedTo)})
		}
		s.Add(List{Tone: Quiet, Items: b.Witnesses})
	}
	if len(v.Flaws) > 0 {
		s.Add(List{Tone: Danger, Items: v.Flaws})
	}
	return Page{Sections: []Section{s}}
}

// Page says what is proven and what is not.
func (v VerifyView) Page() Page {
	if v.Extract {
		return v.extractPage()
	}
	s := Section{Title: "The record " + v.Outcome}
	for _, b := range v.Books {
		whose := "copied book"
		if b.Own {
			whose = "this laptop's book"
		}
		s.Add(Text{Plain, fmt.Sprintf("%s %s: %d of %d entries intact, %d documents whole, signed up to entry %d.", whose, b.Book, b.Intact, b.Entries, b.Documents, b.SignedTo)})
		switch {
		case b.WitnessedTo == 0 && len(b.Witnesses) > 0:
			s.Add(Text{Danger, "The witness outside the file does not agree with it:"})
		case b.WitnessedTo == 0:
			s.Add(Text{Danger, "No witness outside the file: nothing shows whether entries at the end are gone."})
		case b.WitnessedTo < b.Entries:
			s.Add(Text{Notice, fmt.Sprintf("Witnessed up to %d of %d entries; the rest stands on the signature alone.", b.WitnessedTo, b.Entries)})
		case b.Intact < b.Entries:
			s.Add(Text{Danger, fmt.Sprintf("The witness knows all %d entries; those named below are not as it knows them.", b.Entries)})
		default:
			s.Add(Text{Plain, "Witnessed: all " + source.Counted(b.Entries, "entry.", "entries.")})
		}
		if b.HeadLost > 0 {
			s.Add(headLost(b.HeadLost))
		}
		s.Add(List{Tone: Quiet, Items: b.Witnesses})
	}
	if len(v.Flaws) > 0 {
		s.Add(List{Tone: Danger, Items: v.Flaws})
	}
	return Page{Sections: []Section{s}}
}
