package base

import (
	"fmt"
	"strings"

	"asleft/config/source"
)

// Subject is what a line speaks of.
type Subject string

// The subjects of a line.
const (
	OfFact    Subject = "fact"
	OfSetting Subject = "setting"
	OfCan     Subject = "can"
	OfKind    Subject = "kind" // a quantifier over instances
)

// Quantifier ranges over the instances of a kind.
type Quantifier string

// The quantifiers.
const (
	Every     Quantifier = "every"
	Some      Quantifier = "some"
	No        Quantifier = "no"
	AtMostOne Quantifier = "at most one"
)

// Line is one sentence of a condition, taken apart.
type Line struct {
	Text    string
	Subject Subject
	Name    string   // fact or setting
	Not     bool     // "is not", "cannot"
	Values  []string // the words after is, is not, to
	Over    Quantifier
	Kind    string  // of instance, for quantifiers
	Inner   []*Line // what must hold together for an instance
	Pos     source.Pos
}

// ParseLine takes a sentence apart. It checks the shape only; the loader checks names and words.
func ParseLine(text string) (*Line, error) {
	for _, q := range []Quantifier{AtMostOne, Every, Some, No} {
		if rest, ok := strings.CutPrefix(text, string(q)+" "); ok {
			return parseQuantified(text, q, rest)
		}
	}
	words := strings.Fields(text)
	if strings.Join(words, " ") != text || text == "" {
		return nil, fmt.Errorf("a line has single blanks between its words and none around")
	}
	switch {
	case words[0] == "can" || words[0] == "cannot":
		if len(words) < 5 || words[1] != "set" || words[3] != "to" {
			return nil, fmt.Errorf("expected: %s set SETTING to VALUE", words[0])
		}
		l := &Line{Text: text, Subject: OfCan, Name: words[2], Not: words[0] == "cannot"}
		return l, l.words(words[4:])
	case words[0] == "setting":
		return parseIs(text, OfSetting, words[1:])
	}
	return parseIs(text, OfFact, words)
}

func parseIs(text string, subject Subject, words []string) (*Line, error) {
	if len(words) < 3 || words[1] != "is" {
		return nil, fmt.Errorf("expected: %s", map[Subject]string{OfFact: "FACT is WORD", OfSetting: "setting SETTING is VALUE"}[subject])
	}
	l := &Line{Text: text, Subject: subject, Name: words[0]}
	rest := words[2:]
	if rest[0] == "not" {
		l.Not, rest = true, rest[1:]
	}
	return l, l.words(rest)
}

// words reads "a or b or c".
func (l *Line) words(words []string) error {
	if len(words)%2 == 0 {
		return fmt.Errorf("expected words joined by or")
	}
	for i, w := range words {
		if i%2 == 1 {
			if w != "or" {
				return fmt.Errorf("expected or, found %q", w)
			}
			continue
		}
		if w == "or" || w == "and" {
			return fmt.Errorf("expected a word, found %q", w)
		}
		l.Values = append(l.Values, w)
	}
	return nil
}

func parseQuantified(text string, q Quantifier, rest string) (*Line, error) {
	kind, inner, ok := strings.Cut(rest, ": ")
	if !ok || strings.Contains(kind, " ") || kind == "" {
		return nil, fmt.Errorf("expected: %s KIND: LINE", q)
	}
	l := &Line{Text: text, Subject: OfKind, Over: q, Kind: kind}
	for _, part := range strings.Split(inner, " and ") {
		in, err := ParseLine(part)
		if err != nil {
			return nil, err
		}
		if in.Subject == OfKind {
			return nil, fmt.Errorf("a quantifier inside a quantifier")
		}
		l.Inner = append(l.Inner, in)
	}
	return l, nil
}

// Leaves calls visit for the line itself, or for the lines inside a quantifier with its kind.
func (l *Line) Leaves(visit func(leaf *Line, kind string)) {
	if l.Subject != OfKind {
		visit(l, "")
		return
	}
	for _, in := range l.Inner {
		visit(in, l.Kind)
	}
}

// Fill puts an instance into a name: the part NAME becomes the instance.
func Fill(name, instance string) string {
	if instance == "" {
		return name
	}
	for from := 0; ; {
		at := strings.Index(name[from:], "NAME")
		if at < 0 {
			return name
		}
		at += from
		end := at + len("NAME")
		if (at == 0 || name[at-1] == '.') && (end == len(name) || name[end] == '.') {
			return name[:at] + instance + Fill(name[end:], instance)
		}
		from = end
	}
}
