package present

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"unicode"
)

// hostile are texts that somebody could type into a job, a profile or a record and that must do
// nothing to a terminal, a sheet, a Markdown page or a spreadsheet.
func hostile() []string {
	texts := []string{
		"\x1b[31mred\x1b[0m", "\x1b]0;title\x07", "\x1b]8;;http://x\x1b\\link", "\x9b31m", "\x07bell", "back\b\b\bspace",
		"carriage\rreturn", "line\nfeed", "tab\there", "nul\x00", "del\x7f", "form\ffeed", "vertical\vtab",
		"=1+1", "+1", "-1", "@SUM(A1)", "=HYPERLINK(\"http://x\")", "\t=1", "\r=1", "＝1+1", "'=1", "=cmd|' /C calc'!A0",
		"<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "</td></tr></table>", "</style><script>", "&lt;b&gt;", "javascript:alert(1)", "\"onmouseover=\"x", "{{.}}", "<!--", "]]>", "<svg onload=x>",
		"*bold* _it_ `code`", "[a](http://x)", "| pipe |", "# head", "![i](x)", "<b>", "\\escape", "---", "> quote", "1. one",
		"e\u0301combining", "👩‍👩‍👧‍👦 family", "wide漢字", "",
	}
	for _, r := range []rune{0x202a, 0x202b, 0x202c, 0x202d, 0x202e, 0x2066, 0x2067, 0x2068, 0x2069, 0x200e, 0x200f, 0x061c, 0x200b, 0x200c, 0x2028, 0x2029, 0xfeff, 0x85, 0xad, 0xe0041} {
		texts = append(texts, "a"+string(r)+"b")
	}
	return texts
}

func hostilePage(text string) Page {
	return Page{Title: text, Marks: []string{text}, Sections: []Section{{Title: text, Blocks: []Block{
		Text{Danger, text}, List{Items: []string{text}, Numbered: true},
		Grid{Head: []string{text, "b"}, Rows: [][]string{{text, text}}, Strips: map[int]Strip{0: {Label: text, Pieces: []Piece{{0.3, true, text}}}}},
		Strip{Label: text, Pieces: []Piece{{0.4, true, text}, {1, false, ""}}},
		Figure{Caption: text, Lines: []string{text}, Notes: []string{text}, Shapes: Drawing{Width: 10, Height: 5, Labels: []Label{{1, 1, "start", text}}}},
	}}}}
}

var tags = regexp.MustCompile(`<(script|img|b>|/style><)`)

func TestHostileTextDoesNothing(t *testing.T) {
	texts := hostile()
	if len(texts) < 60 {
		t.Fatalf("%d texts only", len(texts))
	}
	for _, text := range texts {
		name := fmt.Sprintf("%q", text)
		page := hostilePage(text)
		for _, out := range drawEverywhere(t, page) {
			noControl(t, name+" "+out.format, out.text)
			if out.format == "html" && tags.MatchString(strings.ReplaceAll(out.text, "<style>", "")) {
				t.Errorf("%s: a tag got through to the sheet", name)
			}
			if out.format == "csv" {
				noFormula(t, name, out.text)
			}
		}
	}
}

type drawn struct{ format, text string }

func drawEverywhere(t *testing.T, p Page) []drawn {
	t.Helper()
	var out []drawn
	for _, r := range []struct {
		format string
		draw   func(*bytes.Buffer) error
	}{
		{"terminal", func(b *bytes.Buffer) error { return Terminal{Columns: 60}.Draw(b, p) }},
		{"pipe", func(b *bytes.Buffer) error { return Terminal{}.Draw(b, p) }},
		{"markdown", func(b *bytes.Buffer) error { return Markdown(b, p) }},
		{"html", func(b *bytes.Buffer) error { return HTML(b, p) }},
		{"csv", func(b *bytes.Buffer) error { return CSV(b, p) }},
	} {
		var b bytes.Buffer
		if err := r.draw(&b); err != nil {
			t.Fatalf("%s: %v", r.format, err)
		}
		out = append(out, drawn{r.format, b.String()})
	}
	return out
}

// noControl: nothing but line ends (and the carriage returns of CSV) controls anything.
func noControl(t *testing.T, name, text string) {
	t.Helper()
	for _, r := range strings.ReplaceAll(text, "\r\n", "\n") {
		if r == '\n' {
			continue
		}
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) && r != 0x200d || r == 0x2028 || r == 0x2029 {
			t.Errorf("%s: %U got through", name, r)
			return
		}
	}
}

func noFormula(t *testing.T, name, text string) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(cell)[0]) {
				t.Errorf("%s: the cell %q is a formula", name, cell)
			}
		}
	}
}

func TestTablesFitTheTerminal(t *testing.T) {
	g := Grid{Head: []string{"setting", "value", "do", "why"}, Rows: [][]string{
		{"engine-speed.source", "link-speed", "set: was voltage", strings.Repeat("a reason with many words ", 8)},
		{"remote.big.gesture.star-dot-hold", "10", "teach", strings.Repeat("x", 200)},
	}}
	for _, columns := range []int{40, 60, 80, 120} {
		var b bytes.Buffer
		if err := (Terminal{Columns: columns}).Draw(&b, Page{Sections: []Section{{Blocks: []Block{g}}}}); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if n := len([]rune(line)); n > columns {
				t.Errorf("%d columns: a line of %d: %q", columns, n, line)
			}
		}
		if kept := strings.Join(strings.Fields(b.String()), ""); !strings.Contains(kept, "areasonwithmany") {
			t.Errorf("%d columns: text was lost", columns)
		}
	}
}

func TestNoColourUnlessAskedFor(t *testing.T) {
	page := hostilePage("plain")
	var plain, coloured bytes.Buffer
	if err := (Terminal{Columns: 80}).Draw(&plain, page); err != nil {
		t.Fatal(err)
	}
	if err := (Terminal{Columns: 80, Colour: true}).Draw(&coloured, page); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(plain.String(), "\x1b") {
		t.Error("colour without being asked for")
	}
	if stripped := regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(coloured.String(), ""); stripped != plain.String() {
		t.Error("colour says something that words do not")
	}
}
