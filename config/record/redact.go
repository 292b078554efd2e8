package record

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Personal values and secrets must not slip into an entry by another door: a
// job file holds the VIN, a reason may name the customer. Before anything is
// written, each value known for the vehicle is replaced by its field's name
// in brackets, wherever it stands as a whole word, in any case.

// redactor replaces the values of one vehicle.
type redactor struct{ values []Value }

// redact returns text without the values.
func (r redactor) redact(text string) string {
	for _, v := range r.values {
		for _, form := range v.forms() {
			text = replaceWord(text, form, "["+v.Field+"]")
		}
	}
	return text
}

// forms are the ways in which a value may stand in a text.
func (v Value) forms() []string {
	forms := []string{v.Text}
	if a := Attribute(v.Field); a.Personal() {
		if norm := a.Normalize(v.Text); norm != v.Text {
			forms = append(forms, norm)
		}
	}
	return forms
}

// replaceWord replaces whole words that equal word but for letter case.
func replaceWord(text, word, by string) string {
	if strings.TrimSpace(word) == "" {
		return text
	}
	var b strings.Builder
	before := ' '
	for i := 0; i < len(text); {
		if !wordRune(before) || !wordRune(firstRune(word)) {
			if n := foldPrefix(text[i:], word); n > 0 && (!wordRune(firstRune(text[i+n:])) || !wordRune(lastRune(word))) {
				b.WriteString(by)
				i += n
				before = ' '
				continue
			}
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		b.WriteString(text[i : i+size])
		before = r
		i += size
	}
	return b.String()
}

func wordRune(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

func firstRune(s string) rune {
	if s == "" {
		return ' '
	}
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

func lastRune(s string) rune {
	r, _ := utf8.DecodeLastRuneInString(s)
	return r
}

// foldPrefix returns how many bytes of text equal word but for case, or 0.
func foldPrefix(text, word string) int {
	i := 0
	for _, w := range word {
		r, size := utf8.DecodeRuneInString(text[i:])
		if size == 0 || unicode.ToLower(unicode.ToUpper(r)) != unicode.ToLower(unicode.ToUpper(w)) {
			return 0
		}
		i += size
	}
	return i
}
