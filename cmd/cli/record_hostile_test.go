//go:build unix

package cli

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
)

// hostileTexts are words that somebody could give to the record and that must do nothing to a
// terminal, a page, a spreadsheet or a program that reads JSON.
func hostileTexts() []string {
	texts := []string{
		"\x1b[31mred\x1b[0m", "\x1b]0;title\x07", "\x1b]8;;http://x\x1b\\link", "\x1b[2J\x1b[H", "\u009b31m", "\x07bell", "back\b\b\bspace",
		"carriage\rreturn", "line\nfeed", "tab\there", "del\x7f", "form\ffeed", "vertical\vtab", "\x01\x02\x03", "\x1bP1$r\x1b\\", "\u0090q",
		"=1+1", "+1", "-1", "@SUM(A1)", "=HYPERLINK(\"http://x\")", "\t=1", "\r=1", "＝1+1", "＋1", "－1", "＠x", "'=1", "=cmd|' /C calc'!A0", "\"=1\"", "a\n=1+1",
		"<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "</td></tr></table>", "</style><script>", "&lt;b&gt;", "javascript:alert(1)",
		"\"onmouseover=\"x", "{{.}}", "<!--", "]]>", "<svg onload=x>", "%s%n%d", "${HOME}", "$(id)", "`id`", "../../../etc/passwd", "'; DROP TABLE entry; --",
		"*bold* _it_ `code`", "[a](http://x)", "| pipe |", "# head", "![i](x)", "<b>", "---", "> quote", "\\u001b[31m", "\",\"kind\":\"erased",
		"e\u0301combining", "wide漢字", strings.Repeat("x", 3000), "\xff\xfe not utf-8",
	}
	for _, r := range []rune{0x202a, 0x202b, 0x202c, 0x202d, 0x202e, 0x2066, 0x2067, 0x2068, 0x2069, 0x200e, 0x200f, 0x061c, 0x200b, 0x2028, 0x2029, 0xfeff, 0x85, 0xad, 0xe0041} {
		texts = append(texts, "a"+string(r)+"b")
	}
	return texts
}

// Whatever people typed comes out of every command of the record in every format without a raw
// control, escape or bidirectional character, without a live formula in CSV, and without a tag in HTML.
func TestHostileWordsInTheRecord(t *testing.T) {
	base := lived(t)
	texts := hostileTexts()
	if len(texts) < 60 {
		t.Fatalf("%d texts only", len(texts))
	}
	step := 40
	if os.Getenv("ASLEFT_FULL") == "1" {
		step = 1
	} else {
		fmt.Printf("%s: every fortieth of %d texts by itself, and all of them together; all: ASLEFT_FULL=1 go test -run '^%[1]s$' ./cmd/cli\n", t.Name(), len(texts))
	}
	w := base.copied(t)
	for i, text := range texts { // all in one record
		w.write(i, text, i%step == 0)
	}
	w.drawnEverywhere("all", "pickup")
	for i := 0; i < len(texts); i += step {
		base.copyTo(w)
		w.write(i, texts[i], true)
		w.drawnEverywhere(fmt.Sprintf("%q", texts[i]), "pickup")
	}
}

// write gives a text to the record in every place that takes one; what is refused is looked at too.
func (w *workshop) write(n int, text string, also bool) {
	lines := [][]string{
		{"record", "note", "pickup", text, "--by", text, "--reason", text},
		{"record", "shown", "pickup", text, "--by", "T.V."},
		{"record", "handed-over", "pickup", text, "--by", "T.V."},
		{"record", "fitted", "pickup", fmt.Sprintf("part.%d=%s", n, text), "--by", "T.V."},
		{"record", "comeback", "pickup", text, "--by", "T.V."},
		{"record", "keep", "pickup", "--personal", "customer=" + text, "--by", "T.V."},
	}
	if !also && os.Getenv("ASLEFT_FULL") != "1" {
		lines = lines[:1] // every text still reaches who, what and why
	} else {
		lines = append(lines, refusedLines(text)...)
	}
	for _, args := range lines {
		for _, format := range []string{"table", "json"} {
			a := w.run(append(args, "--format", format)...)
			w.harmless(fmt.Sprintf("%q %s", args, format), "table", a.out+a.err)
			if a.status == Broken {
				w.t.Errorf("%q: status %d %s", args, a.status, a.err)
			}
			if a.status == Done && format == "table" {
				break // once is enough when it is taken
			}
		}
	}
}

// refusedLines give a text where it is mostly no good.
func refusedLines(text string) [][]string {
	return [][]string{
		{"record", "fitted", "pickup", text + "=x", "--by", "T.V."},
		{"record", "states", "pickup", "controller/" + text + "=on", "--by", "T.V."},
		{"record", "note", text, "hello", "--by", "T.V."},
		{"record", "search", text, "kind=" + text},
		{"record", "verify", "--against", text},
		{"record", "verify", text},
		{"record", "show", text},
		{"which", text, text},
		{text, "--" + text},
		{"record", text},
	}
}

// drawnEverywhere reads the record by every command that looks at it.
func (w *workshop) drawnEverywhere(what, vehicle string) {
	for _, line := range [][]string{
		{"record", "log", vehicle}, {"record", "show", vehicle}, {"record", "list"}, {"record", "search", "kind=note"}, {"record", "search", "kind=comeback"},
		{"record", "search", "kind=fitted"}, {"record", "verify"}, {"status"}, {"which", vehicle, "boot"}, {"record", "code"},
	} {
		for _, format := range []string{"table", "json", "markdown", "csv", "html"} {
			a := w.run(append(line, "--format", format)...)
			w.harmless(fmt.Sprintf("%s: %s as %s", what, strings.Join(line, " "), format), format, a.out+a.err)
			if a.status == Broken {
				w.t.Errorf("%s: %q: %s", what, line, a.err)
			}
		}
	}
}

func (w *workshop) harmless(what, format, text string) {
	w.t.Helper()
	for _, r := range strings.ReplaceAll(text, "\r\n", "\n") {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r) && r != 0x200d || r == 0x2028 || r == 0x2029 || r == unicode.ReplacementChar && strings.Contains(text, "\xff")) {
			w.t.Errorf("%s: %U got through", what, r)
			return
		}
	}
	switch format {
	case "csv":
		rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil && !strings.Contains(text, "asleft: ") {
			w.t.Errorf("%s: %v", what, err)
		}
		for _, row := range rows {
			for _, cell := range row {
				if cell != "" && strings.ContainsRune("=+-@＝＋－＠\t\r", []rune(cell)[0]) {
					w.t.Errorf("%s: the cell %q is a formula", what, cell)
				}
			}
		}
	case "html":
		for _, tag := range []string{"<script", "<img", "<svg onload", "<b>", "</style><", "onmouseover=\"x"} {
			if strings.Contains(text, tag) {
				w.t.Errorf("%s: %s got through", what, tag)
			}
		}
	}
}

// Paths that are no plain files, or where something is already: refused, and nothing is written there
// or through them; nothing hangs.
func TestPathTricksOnCommands(t *testing.T) {
	w := lived(t)
	victim := filepath.Join(w.dir, "victim")
	if err := os.WriteFile(victim, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	tricks := trickyPaths(t, w.dir, victim)
	size := len(w.entries())
	was := folderState(t, w.dir)
	for name, path := range tricks {
		for _, args := range [][]string{
			{"record", "export", path}, {"record", "export", path, "--csv"}, {"record", "backup", path}, {"record", "extract", "pickup", path},
			{"record", "import", path}, {"record", "restore", path}, {"record", "verify", path}, {"record", "verify", "--against", path},
			{"record", "note", "pickup", "hello", "--record", path}, {"record", "list", "--record", path}, {"record", "open", path},
			{"record", "found", w.line("$JOBS/minibus.toml")[0], path}, {"record", "note", "pickup", "hello", "--policy", path},
		} {
			if args[1] != "verify" && args[1] != "list" {
				args = append(args, "--by", "T.V.")
			}
			a := w.run(args...)
			if a.status == Done || a.status == NoWitness || !strings.Contains(a.err, "asleft: error: ") {
				if !(args[len(args)-4] == "--policy" || contains(args, "--policy")) { // an entry with a name reads no policy
					t.Errorf("%s: %q: status %d %s%s", name, args, a.status, a.out, a.err)
				}
			}
		}
	}
	is := folderState(t, w.dir)
	delete(is, "shop/shop.book") // notes that were taken
	delete(was, "shop/shop.book")
	for name := range is {
		if strings.HasPrefix(name, "state/") {
			delete(is, name)
			delete(was, name)
		}
	}
	sameState(t, was, is)
	if n := len(w.entries()); n < size {
		t.Errorf("%d entries, before %d", n, size)
	}
	if v := w.run("record", "verify"); v.status != Done {
		t.Errorf("%d %s%s", v.status, v.out, v.err)
	}
}

func contains(args []string, word string) bool {
	return strings.Contains(strings.Join(args, "\x00"), word)
}
