package setting

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Value is the canonical text of a setting's value; see the package comment.
type Value string

// None is the empty set, and the channel of a gesture that sends nothing.
const None Value = "none"

// ValueError says why a text is no value of a family. Its fields are for
// callers that place the error in a file.
type ValueError struct {
	Found    string // what was given
	Expected string // what the family takes, in words
	Nearest  string // the nearest legal value, empty when nothing is near
}

// Error is one line without the place.
func (e *ValueError) Error() string {
	text := fmt.Sprintf("found %q, expected %s", e.Found, e.Expected)
	if e.Nearest != "" {
		text += fmt.Sprintf("; nearest is %q", e.Nearest)
	}
	return text
}

// Parse gives the canonical value for what a person wrote. The error is a
// *ValueError. Parse is the identity on canonical values.
func (f Family) Parse(text string) (Value, error) {
	switch f.Kind {
	case KindNumber:
		return f.parseNumber(text)
	case KindSet:
		return f.parseSet(text)
	case KindChannel:
		if isName(text) && canonicalForm(text) {
			return Value(text), nil
		}
		return "", f.fault(text)
	case KindText:
		if printable(text) && text != "" && strings.TrimSpace(text) == text {
			return Value(text), nil
		}
		return "", f.fault(text)
	default:
		if slices.Contains(f.Words, text) {
			return Value(text), nil
		}
		return "", f.fault(text)
	}
}

// Legal reports whether v is a canonical value of the family.
func (f Family) Legal(v Value) bool {
	got, err := f.Parse(string(v))
	return err == nil && got == v
}

// Expected says in words what the family takes, for messages and listings:
// "one of all, driver-first" or "a number from 1 to 60 (min), or off".
func (f Family) Expected() string {
	words := strings.Join(f.Words, ", ")
	switch f.Kind {
	case KindNumber:
		text := fmt.Sprintf("a number from %s to %s", decimal(f.Min), decimal(f.Max))
		if f.Places == 0 {
			text = "a whole" + strings.TrimPrefix(text, "a")
		}
		if f.Unit != "" {
			text += " (" + f.Unit + ")"
		}
		if words != "" {
			text += ", or " + words
		}
		return text
	case KindSet:
		return "none, or words joined by + out of " + words
	case KindChannel:
		return "the name of a channel (small letters, digits, hyphens), or none"
	case KindText:
		return "printable text"
	default:
		return "one of " + words
	}
}

func (f Family) fault(text string) error {
	return &ValueError{Found: text, Expected: f.Expected(), Nearest: nearest(text, f.Words)}
}

func (f Family) parseNumber(text string) (Value, error) {
	if slices.Contains(f.Words, text) {
		return Value(text), nil
	}
	n, ok := number(text)
	if !ok || n < f.Min || n > f.Max {
		return "", f.fault(text)
	}
	v := decimal(n)
	if _, fraction, _ := strings.Cut(v, "."); len(fraction) > f.Places {
		return "", f.fault(text)
	}
	return Value(v), nil
}

func (f Family) parseSet(text string) (Value, error) {
	if text == string(None) {
		return None, nil
	}
	words := strings.Split(text, "+")
	for i, w := range words {
		if !slices.Contains(f.Words, w) {
			return "", &ValueError{Found: w, Expected: f.Expected(), Nearest: nearest(w, f.Words)}
		}
		if slices.Contains(words[:i], w) {
			return "", &ValueError{Found: text, Expected: f.Expected() + ", each once"}
		}
	}
	return Set(words...), nil
}

// Number is the canonical value of a number; n must be finite.
func Number(n float64) Value { return Value(decimal(n)) }

// Set is the canonical value of a set of words, whatever their order; a word
// given twice counts once.
func Set(words ...string) Value {
	if len(words) == 0 {
		return None
	}
	sorted := slices.Clone(words)
	slices.Sort(sorted)
	return Value(strings.Join(slices.Compact(sorted), "+"))
}

// Number returns the value as a number; false for a word.
func (v Value) Number() (float64, bool) { return number(string(v)) }

// Words returns the words of a set, sorted, none for "none".
func (v Value) Words() []string {
	if v == None || v == "" {
		return nil
	}
	return strings.Split(string(v), "+")
}

// number reads a plain decimal: an optional minus, digits, and optionally a
// point and digits. Exponents, signs of plus, blanks and units are refused, and
// so is a number too long to be written back exactly.
func number(text string) (float64, bool) {
	digits := strings.TrimPrefix(text, "-")
	whole, fraction, point := strings.Cut(digits, ".")
	if !allDigits(whole) || (point && !allDigits(fraction)) || len(digits) > 15 {
		return 0, false
	}
	n, err := strconv.ParseFloat(text, 64)
	return n, err == nil
}

func allDigits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// decimal is the shortest decimal that reads back as n; zero has no sign.
func decimal(n float64) string {
	if n == 0 {
		return "0"
	}
	return strconv.FormatFloat(n, 'f', -1, 64)
}

// canonicalForm reports whether text has the form of some canonical value,
// whatever the family: a number in shortest form, or sorted words.
func canonicalForm(text string) bool {
	if strings.Trim(text, "-.0123456789") == "" {
		n, ok := number(text)
		return ok && decimal(n) == text
	}
	words := strings.Split(text, "+")
	for i, w := range words {
		if !isName(w) || (i > 0 && words[i-1] >= w) || (len(words) > 1 && w == string(None)) {
			return false
		}
	}
	return true
}

// printable reports whether text is valid UTF-8 without control characters.
func printable(text string) bool {
	for _, r := range text {
		if r < ' ' || r == 0x7f || r == '\uFFFD' {
			return false
		}
	}
	return true
}
