package source

import (
	"flag"
	"os"
	"reflect"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew")

// reader reads the file of the tests the way a schema's reader does.
func reader(doc *Document) map[string]any {
	r := doc.Root()
	got := map[string]any{}
	got["text"] = r.Text("text", Example(`text = "words"`))
	got["texts"] = r.Texts("texts")
	got["whole"] = r.Whole("whole", 1, 9, Example("whole = 3"))
	got["wholes"] = r.Wholes("wholes", 1, 9)
	got["number"] = r.Number("number", 0, 30, Example("number = 12.4"))
	got["numbers"] = r.Numbers("numbers", 0, 30)
	got["flag"] = r.Flag("flag")
	got["day"] = r.Day("day")
	got["word"] = r.Word("word", []string{"petrol", "diesel", "electric"}, Example(`word = "diesel"`))
	got["words"] = r.Words("words", []string{"park", "engine-off", "disarmed"})
	got["value"] = r.Value("value")
	sub := r.Sub("sub")
	got["sub"] = sub.Text("label", Required(`label = "the white minibus"`))
	sub.Close()
	for _, c := range r.Each("circuit") {
		got[c.Name()] = c.Number("volts", 0, 30, Required("volts = 12.4"))
		c.Close()
	}
	r.Close()
	return got
}

func TestReadsEveryKind(t *testing.T) {
	doc, err := Parse("f", []byte(`
text = "words"
texts = ["a", "b"]
whole = 3
wholes = [1, 2]
number = 12
numbers = [1, 2.5]
flag = true
day = 2026-11-20
word = "diesel"
words = ["disarmed", "park"]
value = ["b", "a"]
[sub]
label = "x"
[circuit.c1-03]
volts = 12.4
`))
	if err != nil {
		t.Fatal(err)
	}
	got := reader(doc)
	if found := doc.Problems(); found != nil {
		t.Fatal(found)
	}
	want := map[string]any{
		"text": "words", "texts": []string{"a", "b"}, "whole": 3, "wholes": []int{1, 2}, "number": 12.0, "numbers": []float64{1, 2.5},
		"flag": true, "day": "2026-11-20", "word": "diesel", "words": []string{"disarmed", "park"},
		"value": "a+b", "sub": "x", "c1-03": 12.4,
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestValueAsText(t *testing.T) {
	for text, want := range map[string]string{
		`"hold"`: "hold", `12`: "12", `0.50`: "0.5", `-3`: "-3", `1e2`: "100", `true`: "on", `false`: "off",
		`[]`: "none", `["unlock", "start"]`: "start+unlock",
	} {
		doc, err := Parse("f", []byte("a = "+text))
		if err != nil {
			t.Fatal(err)
		}
		if got := doc.Root().Value("a"); got != want {
			t.Errorf("%s: got %q, want %q", text, got, want)
		}
	}
	for _, text := range []string{"nan", "inf", "2026-11-20", "{ a = 1 }", "[1]"} {
		doc, err := Parse("f", []byte("a = "+text))
		if err != nil {
			t.Fatal(err)
		}
		if got := doc.Root().Value("a"); doc.Problems() == nil {
			t.Errorf("%s is taken as %q", text, got)
		}
	}
}

// mistakes has one case for each way in which a value can be wrong.
var mistakes = []struct{ name, text, place, message, nearest string }{
	{"text is a number", "text = 7", "1:8:1", "wrong kind", ""},
	{"text is empty", "text = \" \"", "1:8:3", "is empty", ""},
	{"text is too long", "text = \"" + strings.Repeat("x", MaxText+1) + "\"", "1:8:2003", "too long", ""},
	{"texts holds an empty text", `texts = ["a", ""]`, "1:15:2", "is empty", ""},
	{"value is empty", `value = ""`, "1:9:2", "is empty", ""},
	{"texts is a text", `texts = "a"`, "1:9:3", "wrong kind", ""},
	{"texts holds a number", `texts = ["a", 7]`, "1:15:1", "wrong kind", ""},
	{"whole is a fraction", "whole = 3.5", "1:9:3", "wrong kind", ""},
	{"whole is text", `whole = "3"`, "1:9:3", "wrong kind", ""},
	{"whole is too large", "whole = 10", "1:9:2", "out of range", ""},
	{"whole is far too large", "whole = 9223372036854775807", "1:9:19", "out of range", ""},
	{"wholes holds a fraction", "wholes = [1, 1.5]", "1:14:3", "wrong kind", ""},
	{"wholes holds one out of range", "wholes = [1, 10]", "1:14:2", "out of range", ""},
	{"number is text with a comma", `number = "12,4"`, "1:10:6", "wrong kind", ""},
	{"number is below", "number = -0.1", "1:10:4", "out of range", ""},
	{"number is no number", "number = nan", "1:10:3", "out of range", ""},
	{"number is endless", "number = inf", "1:10:3", "out of range", ""},
	{"numbers holds one out of range", "numbers = [1, 31]", "1:15:2", "out of range", ""},
	{"flag is a word", `flag = "yes"`, "1:8:5", "wrong kind", ""},
	{"day is text", `day = "2026-11-20"`, "1:7:12", "wrong kind", ""},
	{"day has a time", "day = 2026-11-20T07:00:00", "1:7:19", "wrong kind", ""},
	{"word is misspelt", `word = "deisel"`, "1:8:8", "no word", "diesel"},
	{"word has large letters", `word = "Diesel"`, "1:8:8", "large and small letters", "diesel"},
	{"word is unlike all", `word = "steam"`, "1:8:7", "no word", ""},
	{"word is a number", "word = 2", "1:8:1", "wrong kind", ""},
	{"words twice", `words = ["park", "park"]`, "1:18:6", "twice", ""},
	{"words misspelt", `words = ["parked"]`, "1:10:8", "no word", "park"},
	{"table is a value", "sub = 7", "1:7:1", "wrong kind", ""},
	{"table is missing", "# no sub", "0:0:0", "the file lacks [sub]", ""},
	{"table lacks a key", "[sub]", "1:1:5", "lacks `label`", ""},
	{"table lacks a key that is misspelt", "[sub]\nlable = \"x\"", "1:1:5", "lacks `label`", "lable stands there: is it meant?"},
	{"named table is a value", "[circuit]\nc1-03 = 7", "2:9:1", "wrong kind", ""},
	{"unknown key", "\n\tcolour = 1", "2:2:6", "no key `colour`", ""},
	{"unknown key like another", "nummer = 1", "1:1:6", "no key `nummer`", "number"},
	{"key in large letters", "Number = 1", "1:1:6", "written `number`", "number"},
	{"unknown key in a named table", "[circuit.c1-03]\nvolts = 1\nvolt = 2", "3:1:4", "[circuit.c1-03] has no key `volt`", "volts"},
	{"unknown table", "[circuits.c1-03]\nvolts = 1", "1:2:8", "no key `circuits`", "circuit"},
	{"control characters in a key", "\"a\\u001b[1m\" = 1", "1:1:12", `no key ` + "`" + `a\u{1b}[1m` + "`", ""},
}

func TestMistakes(t *testing.T) {
	for _, c := range mistakes {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(c.text, "sub") {
				c.text += "\n[sub]\nlabel = \"x\"\n"
			}
			doc, err := Parse("f", []byte(c.text))
			if err != nil {
				t.Fatal(err)
			}
			reader(doc)
			found := doc.Problems()
			if len(found) == 0 {
				t.Fatal("no mistake found")
			}
			p := found[0]
			if place(p) != c.place || !strings.Contains(p.Message, c.message) || p.Nearest != c.nearest {
				t.Errorf("want %s with %q and %q:\n%v", c.place, c.message, c.nearest, found)
			}
		})
	}
}

// golden compares got with a file of testdata; -update writes it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := "testdata/" + name
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
	}
}

// TestAllAtOnce is the whole text of a file with many mistakes: order, tabs,
// wide letters, control characters, long lines and line ends of two kinds.
func TestAllAtOnce(t *testing.T) {
	text := "text = 7\r\n" +
		"\tnumber\t=\t\"12,4\"\t# tabs\r\n" +
		"word = \"Diesel\" # 日本\n" +
		"'日本' = 1\n" +
		"texts = [ '日本', 3 ]\n" +
		"# " + strings.Repeat("x", 300) + "\n" +
		"value = { a = '" + strings.Repeat("y", 150) + "' }\n" +
		"[circuit.\"c1\\u202e03\"]\n" +
		"\tvolts = \"\u200b12\"\n" +
		"[circuit.c1-04]\n" +
		"[vehicle]\nyear = 2021\n"
	doc, err := Parse("jobs/van.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	reader(doc)
	doc.Fault(Problem{Message: "two of the same", Also: []Pos{doc.Where("text")}}, "circuit", "c1-04", "volts")
	found := doc.Problems()
	unsafe(t, found.Error())
	golden(t, "all-at-once.txt", found.Error()+"\n")
	for i := range found {
		for j := range found {
			found[i], found[j] = found[j], found[i]
		}
	}
	golden(t, "all-at-once.txt", found.Error()+"\n")
}

func TestProblemAloneAddsNothing(t *testing.T) {
	doc, err := Parse("f", []byte("a = 1\n"))
	if err != nil {
		t.Fatal(err)
	}
	p := doc.Problem(Problem{Message: "later"}, "a")
	if doc.Problems() != nil {
		t.Error("it was added")
	}
	if want := "f:1:5: later\n    1 | a = 1\n      |     ^"; p.Error() != want {
		t.Errorf("got %q", p.Error())
	}
}

func TestManyMistakesAreCounted(t *testing.T) {
	doc, err := Parse("f", []byte(part(func(i int) string {
		return "k" + strings.Repeat("x", i%50) + "y" + strings.Repeat("z", i/50) + " = 1\n"
	}, MaxProblems+7)))
	if err != nil {
		t.Fatal(err)
	}
	doc.Root().Close()
	found := doc.Problems()
	if last := found[len(found)-1]; len(found) != MaxProblems+1 || last.Message != "and 7 more mistakes like these" {
		t.Errorf("%d mistakes, the last %q", len(found), last.Message)
	}
}
