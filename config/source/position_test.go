package source

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"
)

// place is where a mistake is: line, column and width.
func place(p Problem) string {
	return fmt.Sprintf("%d:%d:%d", p.Pos.Line, p.Pos.Col, p.Width)
}

// whereabouts is a file with keys of every form, and where each value stands.
const whereabouts = "title = \"x\"\r\n" +
	"\tyear=2021 # tab before\r\n" +
	"a.b.c = 1\n" +
	"\"quoted key\" = 'y'\n" +
	"'日本' = '本'\n" +
	"list = [ 1, 2,\n\t3 ]\n" +
	"long = \"\"\"\nfirst\nsecond\"\"\"\n" +
	"[circuit.c1-03]\n" +
	"volts = { out = 0.0, run = 12.4 }\n" +
	"  [ deep . \"er\" ]  # blanks\n" +
	"x = true\n" +
	"[above.here]\n" +
	"[above]\n" +
	"\"wide 日\".z = 7\n"

func TestWhere(t *testing.T) {
	doc, err := Parse("van.toml", []byte(whereabouts))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path  string
		place string // line:column:width of the value
	}{
		{"title", "1:9:3"},
		{"year", "2:7:4"},
		{"a", "3:1:1"},
		{"a/b", "3:3:1"},
		{"a/b/c", "3:9:1"},
		{"quoted key", "4:16:3"},
		{"日本", "5:8:3"},
		{"list", "6:8:7"},
		{"list/0", "6:10:1"},
		{"list/2", "7:2:1"},
		{"long", "8:8:3"},
		{"circuit", "11:2:7"},
		{"circuit/c1-03", "11:1:15"},
		{"circuit/c1-03/volts", "12:9:25"},
		{"circuit/c1-03/volts/run", "12:28:4"},
		{"circuit/c1-03/volts/crank", "12:9:25"}, // absent: the nearest above
		{"circuit/c9-99/volts", "11:2:7"},
		{"deep/er", "13:3:15"},
		{"deep/er/x", "14:5:4"},
		{"above", "16:1:7"}, // its own header wins over the first mention
		{"above/here", "15:1:12"},
		{"above/wide 日/z", "17:14:1"},
		{"nothing", "0:0:0"},
	} {
		path := strings.Split(c.path, "/")
		if got := place(doc.Problem(Problem{}, path...)); got != c.place {
			t.Errorf("%s: got %s, want %s", c.path, got, c.place)
		}
		if got := doc.Where(path...); got != doc.Problem(Problem{}, path...).Pos {
			t.Errorf("%s: Where says %v", c.path, got)
		}
	}
}

// TestIndexIsTrue takes every file of toml-test that is read and cuts every
// value out of it: alone, it must mean the same again. So no span is off by a
// byte, in any form that TOML has.
func TestIndexIsTrue(t *testing.T) {
	values := 0
	for name, data := range cases(t, "valid") {
		doc, err := Parse(name, data)
		if err != nil {
			continue
		}
		var walk func(n *node)
		walk = func(n *node) {
			for _, c := range n.order {
				if n.kind.table() {
					checkKey(t, name, doc, c)
				}
				walk(c)
			}
			if n.kind.table() && n.kind != inline {
				return
			}
			values++
			cut := doc.text.data[n.value.from:n.value.to]
			again, err := Parse("cut", []byte("x = "+cut))
			if err != nil {
				t.Errorf("%s: %s: %q is no value: %v", name, n.name, cut, err)
				return
			}
			if was, is := meaning(n), meaning(again.root.order[0]); was != is {
				t.Errorf("%s: %s: %q means %q, was %q", name, n.name, cut, is, was)
			}
		}
		walk(doc.root)
	}
	if values < 500 {
		t.Errorf("only %d values seen", values)
	}
}

// meaning is the value of a node and of all below it as text.
func meaning(n *node) string {
	text := fmt.Sprint(n.data)
	for _, c := range n.order {
		if n.kind.table() {
			text += " " + c.name
		}
		text += " (" + meaning(c) + ")"
	}
	return text
}

// checkKey compares the stretch of a key with its name.
func checkKey(t *testing.T, file string, doc *Document, n *node) {
	t.Helper()
	cut := doc.text.data[n.key.from:n.key.to]
	again, err := Parse("cut", []byte(cut+" = 1"))
	if err != nil || again.root.order[0].name != n.name {
		t.Errorf("%s: the key %q stands at %q: %v", file, n.name, cut, err)
	}
	line, col := doc.text.lineCol(n.key.from)
	runes := []rune(doc.text.line(line))
	head := string(runes[min(col-1, len(runes)):])
	if first, _, _ := strings.Cut(cut, "\n"); !strings.HasPrefix(head, strings.TrimSuffix(first, "\r")) {
		t.Errorf("%s: %d:%d is %q, not %q", file, line, col, head, cut)
	}
}

func TestTablesInFileOrder(t *testing.T) {
	doc, err := Parse("f", []byte("[r.b]\n[r.a]\n[r.c]\n[r.\"b 2\"]\n"))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, sub := range doc.Root().Each("r") {
		names = append(names, sub.Name())
		if !reflect.DeepEqual(sub.Path(), []string{"r", sub.Name()}) {
			t.Errorf("path %v", sub.Path())
		}
	}
	if want := []string{"b", "a", "c", "b 2"}; !reflect.DeepEqual(names, want) {
		t.Errorf("got %v, want %v", names, want)
	}
}

// FuzzParse looks for a panic, for a place outside the file, and for text that
// is not safe to print.
func FuzzParse(f *testing.F) {
	f.Add([]byte(whereabouts))
	for _, text := range []string{"a = [[1], {b = 2}]\n", "a = \"\\u00e9\"\n", "[a]\n[a.b]\nx.y = 1\n", "a = '''\n'''\n", "\xef\xbb\xbf#\r\n"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		doc, err := Parse("fuzz\x1b.toml", data)
		if err == nil {
			root := doc.Root()
			root.Text("title")
			root.Sub("circuit").Close()
			root.Close()
			if found := doc.Problems(); found != nil {
				err = found
			}
		}
		if err == nil {
			return
		}
		found := err.(Problems)
		for _, p := range found {
			if p.Pos.Line < 0 || p.Pos.Line > 0 && (p.Pos.Col < 1 || p.Pos.Col > utf8.RuneCountInString(p.Line)+1 || p.Width < 1) {
				t.Fatalf("impossible place %v in %q", p.Pos, data)
			}
		}
		unsafe(t, found.Error())
	})
}

// unsafe fails for text with letters that a terminal acts on. Line ends and
// tabs belong to the layout of messages.
func unsafe(t *testing.T, text string) {
	t.Helper()
	for _, r := range text {
		if r != '\n' && r != '\t' && hidden(r) {
			t.Fatalf("%U is printed raw in %q", r, text)
		}
	}
}
