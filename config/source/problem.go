package source

import (
	"fmt"
	"slices"
	"strings"
)

// Problem is one mistake in a file. Only Message is always there; the other
// texts are empty when there is nothing to say.
type Problem struct {
	Pos      Pos
	Line     string // the line of Pos as it was written, without its end
	Width    int    // letters to mark from Pos.Col on
	Message  string // what is wrong, in one sentence
	Expected string // what may stand there
	Found    string // what stands there
	Nearest  string // the known word that comes next to it
	Example  string // a line that would be right
	Also     []Pos  // other places that have a part in it
}

// Error is the full text: place and message, the line with a caret under the
// mistake, and what is known beside it. It ends without a line end.
func (p Problem) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", p.Pos, Visible(p.Message))
	p.quote(&b)
	for _, part := range []struct{ label, text string }{
		{"expected", p.Expected}, {"found", p.Found}, {"nearest", p.Nearest},
	} {
		if part.text != "" {
			fmt.Fprintf(&b, "\n       %s: %s", part.label, Visible(part.text))
		}
	}
	if p.Example != "" {
		// An example may have several lines, and comes from us.
		for i, line := range strings.Split("example: "+p.Example, "\n") {
			if i > 0 {
				line = "         " + line
			}
			fmt.Fprintf(&b, "\n       %s", Visible(line))
		}
	}
	for _, pos := range p.Also {
		fmt.Fprintf(&b, "\n       see also: %s", pos)
	}
	return b.String()
}

// quoted is the longest stretch of a line that is shown, in letters.
const quoted = 120

// quote writes the line and, below it, the carets. Tabs stay tabs in both, so
// that the carets stand right whatever a tab is worth.
func (p Problem) quote(b *strings.Builder) {
	if p.Pos.Line == 0 {
		return
	}
	line, from := window(p.Line, p.Pos.Col-1)
	var shown, carets strings.Builder
	for i, r := range line {
		text, wide := string(r), columns(r)
		switch {
		case r == '\t':
			wide = 1
		case hidden(r):
			text = visibleRune(r)
			wide = len(text)
		}
		shown.WriteString(text)
		switch {
		case i >= from && i < from+p.Width:
			carets.WriteString(strings.Repeat("^", wide))
		case i > from:
		case r == '\t':
			carets.WriteByte('\t')
		default:
			carets.WriteString(strings.Repeat(" ", wide))
		}
	}
	if from >= len(line) {
		carets.WriteByte('^')
	}
	number := fmt.Sprint(p.Pos.Line)
	fmt.Fprintf(b, "\n %4s | %s\n %4s | %s", number, shown.String(), strings.Repeat(" ", len(number)), carets.String())
}

// window cuts a long line to the stretch around the letter at, and says where
// that letter now stands.
func window(line string, at int) ([]rune, int) {
	letters := []rune(line)
	if len(letters) <= quoted {
		return letters, at
	}
	from := max(0, min(at-quoted/3, len(letters)-quoted))
	to := min(len(letters), from+quoted)
	cut := slices.Clone(letters[from:to])
	at -= from
	if from > 0 {
		cut = append([]rune("…"), cut...)
		at++
	}
	if to < len(letters) {
		cut = append(cut, '…')
	}
	return cut, at
}

// Problems are the mistakes of one or more files.
type Problems []Problem

// Error is the text of all of them, sorted by place, one after the other.
func (ps Problems) Error() string {
	sorted := slices.Clone(ps)
	sorted.sort()
	parts := make([]string, len(sorted))
	for i, p := range sorted {
		parts[i] = p.Error()
	}
	return strings.Join(parts, "\n")
}

// sort orders by place; mistakes of the whole file come first, those at one
// place by their text.
func (ps Problems) sort() {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		if c := a.Pos.compare(b.Pos); c != 0 {
			return c
		}
		return strings.Compare(a.Message, b.Message)
	})
}
