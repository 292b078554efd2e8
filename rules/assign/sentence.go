package assign

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Sentence is the row as the front desk says it: "Side door, remote small (the office): hold U for 2 s;
// parked (P)."
func (r Row) Sentence() string {
	words := r.Words
	if words != "" {
		first, size := utf8.DecodeRuneInString(words)
		words = string(unicode.ToUpper(first)) + words[size:]
	}
	remote := "remote " + r.Remote
	if r.For != "" {
		remote += " (" + r.For + ")"
	}
	text := words + ", " + remote + ": " + r.Press
	if len(r.Conditions) > 0 {
		text += "; " + strings.Join(r.Conditions, ", ")
	}
	return text + "."
}
