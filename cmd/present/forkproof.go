package present

import (
	"fmt"

	"asleft/config/record"
)

// ForkView says what the proof of a fork proves.
type ForkView struct {
	Schema string `json:"schema"` // asleft/fork-proof/1
	Book   string `json:"book"`
	Key    string `json:"key"`
	Entry  int64  `json:"entry"` // the first that the two histories do not share
	A      int64  `json:"entries-a"`
	B      int64  `json:"entries-b"`
}

// Fork makes the view of a proof that holds.
func Fork(p record.ForkProof) ForkView {
	return ForkView{"asleft/fork-proof/1", p.Book, p.Key, p.N, p.A.Size, p.B.Size}
}

// Page says it.
func (v ForkView) Page() Page {
	s := Section{Title: "The proof holds"}
	s.Add(
		Text{Plain, fmt.Sprintf("Book %s was continued in two ways: its key signed one history of %d entries and another of %d, with different entries at place %d.", v.Book, v.A, v.B, v.Entry)},
		Text{Quiet, "Whoever has the book's public key can check this: " + v.Key},
	)
	return Page{Sections: []Section{s}}
}
