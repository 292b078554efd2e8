package setting

import (
	"strings"
	"unicode"
)

// Kind says how the values of a family are written.
type Kind string

const (
	// KindWord is one of the family's words.
	KindWord Kind = "word"
	// KindNumber is a decimal number between Min and Max, or one of the
	// family's words where it has some ("off").
	KindNumber Kind = "number"
	// KindSet is any number of the family's words, each at most once.
	KindSet Kind = "set"
	// KindChannel is the name of a channel, or "none".
	KindChannel Kind = "channel"
	// KindText is free printable text; states alone use it.
	KindText Kind = "text"
)

// Family is one line of the vocabulary.
type Family struct {
	Pattern   string   // parts joined by dots, capitals stand for one part
	Title     string   // what it is, in a few words
	Kind      Kind     // how its values are written
	Words     []string // the words it takes, in the order of the vocabulary
	Unit      string   // of a number: "s", "V", "min", "%", "C", "h", "Hz", "" for a plain count
	Min, Max  float64  // bounds of a number, both allowed
	Places    int      // digits a number may have after the decimal point
	DecidedBy string   // what decides the value
	WhenWrong string   // what a wrong value looks like on the vehicle
	Leads     bool     // one of the five settings that head every listing
}

// Families returns the whole vocabulary in its own order; the five settings
// that decide most about an install lead. The result is the caller's to keep.
func Families() []Family {
	out := make([]Family, len(vocabulary))
	copy(out, vocabulary)
	return out
}

// vocabulary is the one table, joined from the subjects.
var vocabulary = joined(leading, starting, running, guarding, sensing, locking, alarming, outputting)

func joined(subjects ...[]Family) []Family {
	var all []Family
	for _, s := range subjects {
		all = append(all, s...)
	}
	return all
}

// Find returns the family that the name of a setting belongs to.
func Find(name string) (Family, bool) {
	i := rank(name)
	if i == len(vocabulary) {
		return Family{}, false
	}
	return vocabulary[i], true
}

// rank is the place of the name's family in the vocabulary, or the length of
// the vocabulary for a name that belongs to none.
func rank(name string) int {
	if i, ok := plain[name]; ok {
		return i
	}
	for _, p := range patterned {
		if strings.HasPrefix(name, p.begins) && matches(vocabulary[p.place].Pattern, name) {
			return p.place
		}
	}
	return len(vocabulary)
}

// pattern is a family with a variable part: its place, and what its names begin with.
type pattern struct {
	place  int
	begins string
}

// plain holds the families without a variable part by name, patterned the
// places of the others.
var plain, patterned = indexed(vocabulary)

func indexed(families []Family) (map[string]int, []pattern) {
	names := make(map[string]int, len(families))
	var rest []pattern
	for i, f := range families {
		if strings.ToLower(f.Pattern) == f.Pattern {
			names[f.Pattern] = i
		} else {
			rest = append(rest, pattern{i, f.Pattern[:strings.IndexFunc(f.Pattern, unicode.IsUpper)]})
		}
	}
	return names, rest
}

// Parts returns the parts of the name that stand for the variable parts of the
// family, in order: for "remote.R.gesture.G" and "remote.big.gesture.g1" they
// are "big" and "g1". The second result is false when the name does not belong
// to the family.
func (f Family) Parts(name string) ([]string, bool) {
	if !matches(f.Pattern, name) {
		return nil, false
	}
	var parts []string
	for p, n := range pairs(f.Pattern, name) {
		if variable(p) {
			parts = append(parts, n)
		}
	}
	return parts, true
}

// matches reports whether the name is an instance of the pattern.
func matches(pattern, name string) bool {
	if strings.Count(pattern, ".") != strings.Count(name, ".") {
		return false
	}
	for p, n := range pairs(pattern, name) {
		if variable(p) {
			if !isName(n) {
				return false
			}
		} else if p != n {
			return false
		}
	}
	return true
}

// pairs walks the parts of pattern and name side by side; both must have the
// same number of parts.
func pairs(pattern, name string) func(yield func(p, n string) bool) {
	return func(yield func(p, n string) bool) {
		for {
			p, restP, more := strings.Cut(pattern, ".")
			n, restN, _ := strings.Cut(name, ".")
			if !yield(p, n) || !more {
				return
			}
			pattern, name = restP, restN
		}
	}
}

// variable reports whether a part of a pattern stands for any name.
func variable(part string) bool { return part != "" && part[0] >= 'A' && part[0] <= 'Z' }

// isName reports whether s is one part of a setting's name: small letters,
// digits and hyphens.
func isName(s string) bool {
	if s == "" {
		return false
	}
	for i := 0; i < len(s); i++ {
		c := s[i]
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return true
}

// Instance puts the parts in place of the variable parts of a pattern, from
// left to right. Missing parts leave the pattern's own letters standing, which
// no setting's name has, so that Find refuses the result.
func Instance(pattern string, parts ...string) string {
	pieces := strings.Split(pattern, ".")
	for i, p := range pieces {
		if variable(p) && len(parts) > 0 {
			pieces[i], parts = parts[0], parts[1:]
		}
	}
	return strings.Join(pieces, ".")
}

// Nearest returns the name most like an unknown one, built on the families of
// the vocabulary: "engine-sped.source" gives "engine-speed.source",
// "feed.second.rol" gives "feed.second.role". It is empty when nothing is near.
func Nearest(name string) string {
	var candidates []string
	parts := strings.Split(name, ".")
	for _, f := range vocabulary {
		pieces := strings.Split(f.Pattern, ".")
		if len(pieces) == len(parts) {
			for i, p := range pieces {
				if variable(p) && isName(parts[i]) {
					pieces[i] = parts[i]
				}
			}
		}
		candidates = append(candidates, strings.Join(pieces, "."))
	}
	return nearest(name, candidates)
}
