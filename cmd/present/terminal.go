package present

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"asleft/config/source"
)

// PipedColumns is the width of tables when output does not go to a terminal.
const PipedColumns = 100

// Terminal draws pages for a terminal: plain text, wrapped to the width.
type Terminal struct {
	Columns int  // 0 = not a terminal
	Colour  bool // bold and colour repeat what the words say
}

// Draw writes the page.
func (t Terminal) Draw(w io.Writer, p Page) error {
	var b strings.Builder
	b.Grow(100_000) // a job sheet; what is not written to stays untouched
	if p.Title != "" {
		b.WriteString(t.paint(text.Bold, clean(p.Title)) + "\n")
		b.WriteString(strings.Repeat("=", min(columnsOf(clean(p.Title)), t.columns())) + "\n")
	}
	for _, mark := range p.Marks {
		t.paragraph(&b, "", Quiet, mark)
	}
	for i, s := range p.Sections {
		if i > 0 || p.Title != "" {
			b.WriteString("\n")
		}
		if s.Title != "" {
			b.WriteString(t.paint(text.Bold, clean(s.Title)) + "\n")
		}
		for _, block := range s.Blocks {
			t.block(&b, block)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (t Terminal) columns() int {
	if t.Columns > 0 {
		return t.Columns
	}
	return PipedColumns
}

func (t Terminal) paint(c text.Color, s string) string {
	if !t.Colour {
		return s
	}
	return text.Colors{c}.Sprint(s)
}

func (t Terminal) block(b *strings.Builder, block Block) {
	switch x := block.(type) {
	case Text:
		t.paragraph(b, "", x.Tone, x.Text)
	case List:
		for i, item := range x.Items {
			lead := "- "
			if x.Numbered {
				lead = fmt.Sprintf("%2d. ", i+1)
			}
			t.paragraph(b, lead, x.Tone, item)
		}
	case Grid:
		t.grid(b, x)
	case Strip:
		b.WriteString("    " + clean(x.Label) + stripText(x, t.columns()-6-len(x.Label)) + "\n")
	case Figure:
		for _, line := range x.Lines {
			b.WriteString("    " + clean(line) + "\n")
		}
	}
}

// paragraph writes wrapped text behind a lead; continued lines are indented below the text.
func (t Terminal) paragraph(b *strings.Builder, lead string, tone Tone, s string) {
	indent := strings.Repeat(" ", len(lead))
	for i, line := range wrapWords(clean(s), t.columns()-len(lead)) {
		if i == 0 {
			b.WriteString(lead)
		} else {
			b.WriteString(indent)
		}
		switch tone {
		case Danger:
			line = t.paint(text.FgRed, line)
		case Notice:
			line = t.paint(text.FgYellow, line)
		case Quiet:
			line = t.paint(text.Faint, line)
		}
		b.WriteString(line + "\n")
	}
}

// wrapWords breaks s at spaces; a word longer than the width keeps its line to itself.
func wrapWords(s string, width int) []string {
	width = max(width, 16)
	var lines []string
	line, used := make([]byte, 0, len(s)), 0
	for word := range strings.FieldsSeq(s) {
		n := columnsOf(word)
		if len(line) > 0 && used+1+n > width {
			lines, line, used = append(lines, string(line)), line[:0], 0
		}
		if len(line) > 0 {
			line, used = append(line, ' '), used+1
		}
		line, used = append(line, word...), used+n
	}
	if len(line) > 0 || len(lines) == 0 {
		lines = append(lines, string(line))
	}
	return lines
}

// columnsOf is how many columns of the terminal a text takes.
func columnsOf(s string) int {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return text.StringWidthWithoutEscSequences(s)
		}
	}
	return len(s) // plain letters take one each
}

func (t Terminal) grid(b *strings.Builder, g Grid) {
	if len(g.Rows) == 0 {
		return
	}
	tw := table.NewWriter()
	style := table.StyleLight
	style.Options = table.Options{DrawBorder: false, SeparateColumns: true, SeparateHeader: true}
	style.Format.Header = text.FormatDefault
	style.Box.PaddingLeft, style.Box.PaddingRight = "", " "
	style.Box.MiddleVertical = " "
	style.Box.MiddleSeparator = "─"
	tw.SetStyle(style)
	g = cleaned(g)
	widths := columnWidths(g, t.columns())
	row := func(cells []string) table.Row {
		r := make(table.Row, len(cells))
		for i, c := range cells {
			r[i] = strings.Join(wrapCell(c, widths[i]), "\n")
		}
		return r
	}
	if len(g.Head) > 0 {
		tw.AppendHeader(row(g.Head))
	}
	for i, r := range g.Rows {
		cells := row(r)
		if strip, ok := g.Strips[i]; ok {
			last := len(cells) - 1
			cells[last] = fmt.Sprintf("%s\n%s", cells[last], stripText(strip, widths[last]))
		}
		tw.AppendRow(cells)
	}
	for line := range strings.SplitSeq(tw.Render(), "\n") {
		b.WriteString(strings.TrimRight(line, " "))
		b.WriteByte('\n')
	}
}

// cleaned is the table with its cells made safe to show.
func cleaned(g Grid) Grid {
	rows := make([][]string, 0, len(g.Rows))
	for _, r := range append([][]string{g.Head}, g.Rows...) {
		cells := make([]string, len(r))
		for i, c := range r {
			cells[i] = clean(c)
		}
		rows = append(rows, cells)
	}
	return Grid{Head: rows[0], Rows: rows[1:], Strips: g.Strips}
}

// wrapCell wraps at spaces, and inside a word only when the word alone is too wide: behind the mark
// that joins its parts, as in feed.second.role, and between any two characters when nothing else helps.
func wrapCell(s string, width int) []string {
	if len(s) <= width && !strings.Contains(s, "  ") { // bytes are never fewer than columns
		return []string{s}
	}
	var lines []string
	for _, line := range wrapWords(s, width) {
		for columnsOf(line) > width {
			head := text.Snip(line, width, "")
			if at := strings.LastIndexAny(head, joints); at > 0 {
				head = head[:at+1]
			}
			if head == "" {
				break
			}
			lines, line = append(lines, head), strings.TrimPrefix(line, head)
		}
		lines = append(lines, line)
	}
	return lines
}

// joints are the marks that join the parts of a name, or the words of a set.
const joints = ".+-:/"

// columnWidths shares the width of the terminal: every column gets its natural width, and the widest
// give way, prose before names, and names at their joints before they are cut anywhere.
func columnWidths(g Grid, columns int) []int {
	n := len(g.Head)
	for _, r := range g.Rows {
		n = max(n, len(r))
	}
	widths, words, parts := make([]int, n), make([]int, n), make([]int, n)
	for _, r := range append([][]string{g.Head}, g.Rows...) {
		for i, c := range r {
			widths[i] = max(widths[i], columnsOf(c), 1)
			for word := range strings.FieldsSeq(c) {
				words[i] = max(words[i], columnsOf(word))
				for part := range strings.FieldsFuncSeq(word, isJoint) {
					parts[i] = max(parts[i], columnsOf(part)+1)
				}
			}
		}
	}
	natural := slices.Clone(widths)
	floors := []func(i int) int{
		func(i int) int { return max(words[i], 34) },
		func(i int) int { return max(words[i], 24) },
		func(i int) int { return max(min(words[i], 34), min(natural[i], 17)) },
		func(i int) int { return max(min(parts[i], 16), min(natural[i], 12)) },
		func(int) int { return 1 },
	}
	for _, floor := range floors {
		for sum(widths) > columns-2*n {
			widest := -1
			for i, w := range widths {
				if w > floor(i) && (widest < 0 || w > widths[widest]) {
					widest = i
				}
			}
			if widest < 0 {
				break
			}
			widths[widest]--
		}
	}
	return widths
}

func isJoint(r rune) bool { return strings.ContainsRune(joints, r) }

func sum(ns []int) int {
	total := 0
	for _, n := range ns {
		total += n
	}
	return total
}

// stripText draws a strip with one character for a fifth of a second, coarser where it would pass
// the width: the smallest step at which it fits.
func stripText(s Strip, width int) string {
	for step := 0.2; ; step *= 1.25 {
		drawn := stripAt(s, step)
		if len(drawn) <= max(width-2, 8) || step > 10 {
			return "|" + string(drawn) + "|"
		}
	}
}

func stripAt(s Strip, step float64) []rune {
	var out []rune
	for _, p := range s.Pieces {
		mark := '.'
		if p.On {
			mark = '#'
			if letters := []rune(clean(p.Mark)); len(letters) > 0 {
				mark = letters[0]
			}
		}
		for range max(1, int(math.Round(p.Seconds/step))) {
			out = append(out, mark)
		}
	}
	return out
}

// clean makes what people typed safe to show.
func clean(s string) string { return source.Visible(s) }
