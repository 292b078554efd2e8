package base

import (
	"slices"
	"strings"

	"asleft/config/setting"
)

// Unsaid is the value of a wish, limit or default that nobody gave.
const Unsaid = "unsaid"

// Given is the value of a wish that is a number or a set, and of a limit or default that was given.
const Given = "given"

// Fact finds the type of a fact by its full name, and the instance that the name holds: "opening" facts of
// the name "opening.rear.seen" have the instance "rear". Facts of the kinds wish, limit and default are
// made from the vocabulary of settings.
func (b *Base) Fact(name string) (*FactType, string, bool) {
	if f, ok := b.facts[name]; ok {
		if f.Each != "" {
			return f, "NAME", true // the pattern itself, as rules write it
		}
		return f, "", true
	}
	parts := strings.Split(name, ".")
	for i, p := range parts {
		if i == 0 {
			continue
		}
		parts[i] = "NAME"
		f, ok := b.facts[strings.Join(parts, ".")]
		parts[i] = p
		if !ok {
			continue
		}
		if words, fixed := b.Kinds[f.Each]; fixed && !slices.Contains(words, p) {
			continue
		}
		return f, p, true
	}
	return b.made(name)
}

// made is a fact about a setting of the vocabulary.
func (b *Base) made(name string) (*FactType, string, bool) {
	subject, rest, ok := strings.Cut(name, ".")
	if q, known := b.Quantity(rest); known && subject == "known" {
		return &FactType{
			Pattern: name, Domain: []string{"yes", "no"}, Always: true,
			Title: "known: " + q.Title, KnownBy: "the job", Measure: "measure or look it up",
		}, "", true
	}
	if !ok || (subject != "wish" && subject != "limit" && subject != "default") {
		return nil, "", false
	}
	family, ok := setting.Find(Fill(rest, "x"))
	if !ok {
		return nil, "", false
	}
	domain := []string{Given, Unsaid}
	if subject == "wish" && family.Kind == setting.KindWord {
		domain = append(slices.Clone(family.Words), Unsaid)
	}
	return &FactType{
		Pattern: name, Domain: domain, Absent: Unsaid,
		Title:   subject + ": " + family.Title,
		KnownBy: map[string]string{"wish": "the customer", "limit": "the shop's policy", "default": "the shop's policy"}[subject],
		Measure: "ask",
	}, "", true
}

// FactNames are the patterns of the catalogue, for messages that name the nearest.
func (b *Base) FactNames() []string {
	names := make([]string, 0, len(b.Facts))
	for _, f := range b.Facts {
		names = append(names, f.Pattern)
	}
	return names
}

// Quantity finds a quantity by its name.
func (b *Base) Quantity(name string) (*Quantity, bool) {
	for _, q := range b.Quantities {
		if q.Name == name {
			return q, true
		}
	}
	return nil, false
}

// Rule finds a rule by its id.
func (b *Base) Rule(id string) (*Rule, bool) {
	for _, r := range b.Rules {
		if r.ID == id {
			return r, true
		}
	}
	return nil, false
}

// Test finds a commissioning test by its id.
func (b *Base) Test(id string) (*Test, bool) {
	for _, t := range b.Tests {
		if t.ID == id {
			return t, true
		}
	}
	return nil, false
}
