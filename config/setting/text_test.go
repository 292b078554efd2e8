package setting

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// Vectors of the RFC 8785 reference test data (cyberphone/json-canonicalization,
// testdata/input and output: values.json, unicode.json, french.json, weird.json);
// RFC 8785 section 3.2.2.2 has the rule and section 3.2.2 the first one.
func TestAppendStringVectors(t *testing.T) {
	tests := []struct{ name, in, want string }{
		{"values", "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"/", `"€$\u000f\nA'B\"\\\\\"/"`},
		{"unicode is not normalised", "A\u030a", "\"A\u030a\""},
		{"french", "péché", `"péché"`},
		{"weird: markup is not escaped", "</script>", `"</script>"`},
		{"weird: control of the second block", "\u0080", "\"\u0080\""},
		{"weird: newline", "\n", `"\n"`},
		{"weird: return", "\r", `"\r"`},
		{"weird: outside the basic plane", "\U0001F602", "\"\U0001F602\""},
		{"weird: presentation form", "\ufb33", "\"\ufb33\""},
		{"two-letter escapes", "\b\t\n\f\r\"\\", `"\b\t\n\f\r\"\\"`},
		{"other controls", "\x00\x01\x0b\x1f", `"\u0000\u0001\u000b\u001f"`},
		{"delete is no control of JSON", "\x7f", "\"\x7f\""},
		{"line separators stay", "\u2028\u2029", "\"\u2028\u2029\""},
		{"html stays", "<>&", `"<>&"`},
		{"empty", "", `""`},
		{"no UTF-8", "a\xffb", "\"a\uFFFDb\""},
	}
	for _, tt := range tests {
		if got := string(AppendString(nil, tt.in)); got != tt.want {
			t.Errorf("%s: got %s, want %s", tt.name, got, tt.want)
		}
	}
	if got := string(AppendString([]byte("x:"), "y")); got != `x:"y"` {
		t.Errorf("does not append: %s", got)
	}
}

// The Go library reads back what was written, and the form has no other bytes
// than needed: no escape where the rule asks for none.
func TestAppendStringReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "s")
		out := AppendString(nil, s)
		var back string
		if err := json.Unmarshal(out, &back); err != nil || back != s {
			t.Fatalf("%q became %s and back %q, %v", s, out, back, err)
		}
		if !utf8.Valid(out) || strings.Count(string(out), `\u`) > strings.Count(s, `\u`)+countControls(s) {
			t.Fatalf("%q has needless escapes: %s", s, out)
		}
	})
}

func countControls(s string) int {
	n := 0
	for _, r := range s {
		if r < ' ' {
			n++
		}
	}
	return n
}
