package assign

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"

	"asleft/config/source"
)

//go:embed words.toml
var wordsFile []byte

// lexicon is what customers call things.
type lexicon struct {
	same  []phrase            // longest first
	empty []string            // words that name nothing, as plain words
	near  map[string][]string // thing -> what it is taken for when nothing fits
}

// phrase is one way of saying a thing, as plain words.
type phrase struct {
	words []string
	thing string
}

var spoken = sync.OnceValue(func() lexicon {
	var ready lexicon
	if unpress(wordsPressed, wordsFile, ready.walk) {
		return ready
	}
	l, err := readLexicon("words.toml", wordsFile)
	if err != nil {
		panic(err)
	}
	return l
})

func readLexicon(name string, data []byte) (lexicon, error) {
	l := lexicon{near: map[string][]string{}}
	doc, err := source.Parse(name, data)
	if err != nil {
		return l, err
	}
	root := doc.Root()
	root.Word("schema", []string{"asleft/words/1"}, source.Required(`schema = "asleft/words/1"`))
	for _, t := range root.Each("same") {
		for _, w := range t.Texts("words", source.Required(`words = ["boot", "trunk"]`)) {
			l.same = append(l.same, phrase{words: plainWords(w), thing: t.Name()})
		}
		t.Close()
	}
	t := root.Sub("empty")
	for _, w := range t.Texts("words") {
		l.empty = append(l.empty, strings.Join(plainWords(w), " "))
	}
	t.Close()
	for _, t := range root.Each("near") {
		l.near[t.Name()] = t.Texts("words", source.Required(`words = ["tailgate"]`))
		t.Close()
	}
	root.Close()
	slices.SortStableFunc(l.same, func(a, b phrase) int { return len(b.words) - len(a.words) })
	if p := doc.Problems(); len(p) > 0 {
		return l, p
	}
	return l, nil
}

// plainWords splits text into small letters without accents, hyphens or plural endings.
func plainWords(text string) []string {
	bare := text
	if strings.ContainsFunc(text, func(r rune) bool { return r > unicode.MaxASCII }) { // the tables of accents cost more than the rest
		strip := transform.Chain(norm.NFD, runes.Remove(runes.In(unicode.Mn)), norm.NFC)
		if without, _, err := transform.String(strip, text); err == nil {
			bare = without
		}
	}
	words := strings.FieldsFunc(strings.ToLower(bare), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '\'' && r != '’'
	})
	for i, w := range words {
		words[i] = singular(strings.ReplaceAll(strings.ReplaceAll(w, "'", ""), "’", ""))
	}
	return slices.DeleteFunc(words, func(w string) bool { return w == "" })
}

func singular(w string) string {
	switch {
	case len(w) > 4 && (strings.HasSuffix(w, "ches") || strings.HasSuffix(w, "shes") || strings.HasSuffix(w, "sses")):
		return w[:len(w)-2]
	case len(w) > 3 && strings.HasSuffix(w, "s") && !strings.HasSuffix(w, "ss"):
		return w[:len(w)-1]
	}
	return w
}

// things turns words into the lexicon's names for things, the longest phrase first; what the
// lexicon does not have stays as it is, and empty words fall away.
func (l *lexicon) things(words []string) []string {
	var out []string
next:
	for i := 0; i < len(words); {
		for _, p := range l.same {
			if len(p.words) <= len(words)-i && slices.Equal(p.words, words[i:i+len(p.words)]) {
				out = append(out, p.thing)
				i += len(p.words)
				continue next
			}
		}
		if !slices.Contains(l.empty, words[i]) {
			out = append(out, words[i])
		}
		i++
	}
	return out
}

// alike reports whether two words differ by no more than a slip of the finger: one letter wrong,
// missing, doubled or swapped, two in a word of eight letters or more.
func alike(a, b string) bool {
	limit := 0
	switch n := min(len([]rune(a)), len([]rune(b))); {
	case n >= 8:
		limit = 2
	case n >= 4:
		limit = 1
	}
	return a == b || limit > 0 && slips(a, b) <= limit
}

// slips counts letters wrong, missing, added or swapped with the next (optimal string alignment).
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, above, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			row[j] = min(above[j]+1, row[j-1]+1, above[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(y)]
}
