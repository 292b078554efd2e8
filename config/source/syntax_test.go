package source

import (
	"errors"
	"strings"
	"testing"
)

// shapeMistakes has one case for each way in which a file can fail to be TOML
// 1.0, or goes beyond what is read here. The section is the one of the TOML
// 1.0.0 specification; the place is line:column:width in letters.
var shapeMistakes = []struct {
	name, section, text, place, message string
}{
	{"byte that is not UTF-8", "Spec", "a = 1\nb = \"\xff\"\n", "2:6:1", "not UTF-8"},
	{"byte that is not UTF-8 in a comment", "Comment", "# \xc3\x28\n", "1:3:1", "not UTF-8"},
	{"zero byte", "Comment", "a = 1 # \x00\n", "1:9:1", "zero byte"},
	{"file of another encoding", "Spec", "a\x00=\x001\x00", "1:2:1", "zero byte"},
	{"second byte order mark", "Spec", "\xef\xbb\xbf\xef\xbb\xbfa = 1\n", "1:1:2", "a key is missing"},
	{"control character in a comment", "Comment", "a = 1 # \x07\n", "1:9:1", "control character"},
	{"control character in text", "String", "a = \"x\x1b[1m\"\n", "1:7:1", "control character"},
	{"control character in plain text", "String", "a = 'x\x7f'\n", "1:7:1", "control character"},
	{"control character in long text", "String", "a = '''\nx\x01'''\n", "2:2:1", "control character"},
	{"carriage return alone", "Spec", "a = 1\rb = 2\n", "1:6:1", "control character"},
	{"no value", "Key/Value Pair", "a = # later\n", "1:5:1", "value is missing"},
	{"no value at the end", "Key/Value Pair", "a =", "1:4:1", "value is missing"},
	{"no equals sign", "Key/Value Pair", "\tyear 2021\n", "1:2:5", "without a value"},
	{"two keys on a line", "Key/Value Pair", "a = 1 b = 2\n", "1:7:1", "goes on"},
	{"comma after a value", "Key/Value Pair", "a = 1,\n", "1:6:1", "goes on"},
	{"no key", "Keys", "= 1\n", "1:1:1", "a key is missing"},
	{"key with a letter beyond ASCII", "Keys", "größe = 1\n", "1:3:3", "cannot hold"},
	{"key with a blank", "Keys", "run minutes = 1\n", "1:1:4", "without a value"},
	{"key of several lines", "Keys", "\"\"\"a\"\"\" = 1\n", "1:3:5", "cannot hold"},
	{"key that ends in a dot", "Keys", "a. = 1\n", "1:4:1", "a key is missing"},
	{"key longer than allowed", "bound", strings.Repeat("k", MaxKey+1) + " = 1\n", "1:1:129", "too long"},
	{"key of too many parts", "bound", strings.Repeat("a.", MaxDepth) + "a = 1\n", "1:1:17", "too many parts"},
	{"key twice", "Keys", "a = 1\na = 2\n", "2:1:1", "given twice"},
	{"key twice in other quotes", "Keys", "a = 1\n\"a\" = 2\n", "2:1:3", "given twice"},
	{"key below a value", "Keys", "a = 1\na.b = 2\n", "2:1:1", "given twice"},
	{"text not closed", "String", "a = \"one\nb = 2\n", "1:5:4", "not closed"},
	{"plain text not closed", "String", "a = 'one\n", "1:5:4", "not closed"},
	{"long text not closed", "String", "a = \"\"\"one\ntwo\n", "1:5:3", "not closed"},
	{"unknown escape", "String", `a = "c:\dir"` + "\n", "1:8:2", "escape"},
	{"escape of another version", "String", `a = "\e[1m"` + "\n", "1:6:2", "escape"},
	{"escape of half a pair", "String", `a = "\ud800"` + "\n", "1:6:6", "escape"},
	{"escape beyond the last letter", "String", `a = "\U00110000"` + "\n", "1:6:10", "escape"},
	{"escape cut short", "String", `a = "\u12"` + "\n", "1:6:5", "escape"},
	{"number with a leading zero", "Integer", "a = 012\n", "1:5:3", "not a number"},
	{"number with a decimal comma", "Float", "volts = 12,4\n", "1:11:1", "goes on"},
	{"number with two points", "Float", "a = 1.2.3\n", "1:5:5", "not a number"},
	{"number that ends in a point", "Float", "a = 1.\n", "1:5:2", "not a number"},
	{"number with a unit", "Float", "volts = 12.4V\n", "1:9:5", "not a number"},
	{"number with doubled underscore", "Integer", "a = 1__0\n", "1:5:4", "not a number"},
	{"number too large", "Integer", "a = 9223372036854775808\n", "1:5:19", "out of range"},
	{"hexadecimal with a sign", "Integer", "a = +0x1f\n", "1:5:5", "not a number"},
	{"time without seconds", "Local Time", "a = 07:32\n", "1:5:5", "not a number"},
	{"month that there is not", "Local Date", "a = 2026-13-01\n", "1:5:10", ""},
	{"word without quotes", "String", "fuel = diesel\n", "1:8:6", "needs quotes"},
	{"flag with a large letter", "Boolean", "a = True\n", "1:5:4", "no shape"},
	{"flag misspelt", "Boolean", "a = ture\n", "1:5:4", "no shape"},
	{"list not closed", "Array", "a = [1, 2\nb = 3\n", "2:1:1", "without a comma"},
	{"list not closed at the end", "Array", "a = [1, 2", "1:5:1", "not closed"},
	{"list without a comma", "Array", "a = [\n  1\n  2\n]\n", "3:3:1", "without a comma"},
	{"list of commas", "Array", "a = [1,,2]\n", "1:8:1", "value is missing"},
	{"braces over two lines", "Inline Table", "a = { b = 1,\n c = 2 }\n", "1:13:1", "a key is missing"},
	{"braces with a last comma", "Inline Table", "a = { b = 1, }\n", "1:14:1", "comma before"},
	{"braces not closed", "Inline Table", "a = { b = 1\n", "1:5:7", "not closed"},
	{"braces that repeat a key", "Inline Table", "a = { b = 1, b = 2 }\n", "1:14:1", "given twice"},
	{"braces extended later", "Inline Table", "a = { b = 1 }\na.c = 2\n", "2:1:1", "given twice"},
	{"braces extended by a header", "Inline Table", "a = { b = 1 }\n[a.c]\n", "2:2:1", "given twice"},
	{"braces inside braces inside braces", "bound", "a = {b={c={d={e={f={g={h={i=1}}}}}}}}\n", "1:29:1", "too deep"},
	{"lists inside lists", "bound", "a = [[[[[[[[[1]]]]]]]]]\n", "1:13:1", "too deep"},
	{"header twice", "Table", "[a]\n[b]\n[a]\n", "3:2:1", "given twice"},
	{"header of a dotted key's table", "Table", "a.b = 1\n[a]\n", "2:2:1", "given twice"},
	{"dotted key into a table with a header", "Table", "[a.b]\nc = 1\n[a]\nb.d = 2\n", "4:1:1", "given twice"},
	{"header over a value", "Table", "a = 1\n[a]\n", "2:2:1", "given twice"},
	{"header not closed", "Table", "[a\nb = 1\n", "1:3:1", "not closed"},
	{"header without a name", "Table", "[]\n", "1:2:1", "name is missing"},
	{"header with an empty part", "Table", "[a..b]\n", "1:4:2", "name is missing"},
	{"text after a header", "Table", "[a] b = 1\n", "1:5:1", "goes on"},
	{"array of tables", "Array of Tables", "[[circuit]]\n", "1:1:2", "array of tables"},
	{"after a tab", "position", "[a]\n\tb = \t?\n", "2:7:1", "value is missing"},
	{"after wide letters", "position", "a = \"日本\" b\n", "1:10:1", "goes on"},
	{"after a letter of two marks", "position", "a = \"e\u0301\" b\n", "1:10:1", "goes on"},
	{"after lines that end in CR LF", "position", "a = 1\r\nb = 2\r\nc = ?\r\n", "3:5:1", "value is missing"},
	{"after a byte order mark", "position", "\xef\xbb\xbfa = ?\n", "1:5:1", "value is missing"},
	{"after a long text", "position", "a = \"\"\"\none\ntwo\"\"\" b\n", "3:8:1", "goes on"},
}

func TestShapeMistakes(t *testing.T) {
	for _, c := range shapeMistakes {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse("f", []byte(c.text))
			var found Problems
			if !errors.As(err, &found) || len(found) != 1 {
				t.Fatalf("%s: want one mistake, got %v", c.section, err)
			}
			if got := place(found[0]); got != c.place || !strings.Contains(found[0].Message, c.message) {
				t.Errorf("got %s, want %s with %q:\n%v", got, c.place, c.message, err)
			}
		})
	}
}
