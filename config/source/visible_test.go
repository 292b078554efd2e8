package source

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// hostile are letters that act on a terminal, a page or the eye, with the name
// that the Unicode Character Database has for them (UnicodeData.txt, and for
// the bidirectional ones Unicode Standard Annex 9).
var hostile = map[string]rune{
	"NULL": 0x00, "BELL": 0x07, "BACKSPACE": 0x08, "CHARACTER TABULATION": 0x09, "LINE FEED": 0x0a, "LINE TABULATION": 0x0b,
	"FORM FEED": 0x0c, "CARRIAGE RETURN": 0x0d, "SHIFT OUT": 0x0e, "SHIFT IN": 0x0f, "DATA LINK ESCAPE": 0x10,
	"CANCEL": 0x18, "SUBSTITUTE": 0x1a, "ESCAPE": 0x1b, "UNIT SEPARATOR": 0x1f, "DELETE": 0x7f,
	"PADDING": 0x80, "NEXT LINE": 0x85, "DEVICE CONTROL STRING": 0x90, "CONTROL SEQUENCE INTRODUCER": 0x9b,
	"STRING TERMINATOR": 0x9c, "OPERATING SYSTEM COMMAND": 0x9d, "APPLICATION PROGRAM COMMAND": 0x9f,
	"NO-BREAK SPACE": 0xa0, "SOFT HYPHEN": 0xad, "COMBINING GRAPHEME JOINER": 0x034f, "ARABIC LETTER MARK": 0x061c,
	"HANGUL CHOSEONG FILLER": 0x115f, "HANGUL JUNGSEONG FILLER": 0x1160, "OGHAM SPACE MARK": 0x1680,
	"KHMER VOWEL INHERENT AQ": 0x17b4, "KHMER VOWEL INHERENT AA": 0x17b5, "MONGOLIAN FREE VARIATION SELECTOR ONE": 0x180b,
	"MONGOLIAN VOWEL SEPARATOR": 0x180e, "EN QUAD": 0x2000, "EM SPACE": 0x2003, "HAIR SPACE": 0x200a,
	"ZERO WIDTH SPACE": 0x200b, "ZERO WIDTH NON-JOINER": 0x200c, "ZERO WIDTH JOINER": 0x200d,
	"LEFT-TO-RIGHT MARK": 0x200e, "RIGHT-TO-LEFT MARK": 0x200f, "LINE SEPARATOR": 0x2028, "PARAGRAPH SEPARATOR": 0x2029,
	"LEFT-TO-RIGHT EMBEDDING": 0x202a, "RIGHT-TO-LEFT EMBEDDING": 0x202b, "POP DIRECTIONAL FORMATTING": 0x202c,
	"LEFT-TO-RIGHT OVERRIDE": 0x202d, "RIGHT-TO-LEFT OVERRIDE": 0x202e, "NARROW NO-BREAK SPACE": 0x202f,
	"MEDIUM MATHEMATICAL SPACE": 0x205f, "WORD JOINER": 0x2060, "INVISIBLE TIMES": 0x2062,
	"LEFT-TO-RIGHT ISOLATE": 0x2066, "RIGHT-TO-LEFT ISOLATE": 0x2067, "FIRST STRONG ISOLATE": 0x2068,
	"POP DIRECTIONAL ISOLATE": 0x2069, "INHIBIT SYMMETRIC SWAPPING": 0x206a, "BRAILLE PATTERN BLANK": 0x2800,
	"IDEOGRAPHIC SPACE": 0x3000, "HANGUL FILLER": 0x3164, "private use": 0xe000, "VARIATION SELECTOR-16": 0xfe0f,
	"ZERO WIDTH NO-BREAK SPACE": 0xfeff, "HALFWIDTH HANGUL FILLER": 0xffa0, "INTERLINEAR ANNOTATION ANCHOR": 0xfff9,
	"REPLACEMENT CHARACTER": 0xfffd, "noncharacter": 0xffff, "MUSICAL SYMBOL BEGIN BEAM": 0x1d173,
	"LANGUAGE TAG": 0xe0001, "TAG LATIN SMALL LETTER A": 0xe0061, "VARIATION SELECTOR-17": 0xe0100, "unassigned": 0x50000,
}

func TestVisibleHidesNothing(t *testing.T) {
	for name, r := range hostile {
		got := Visible("a" + string(r) + "b")
		if !strings.HasPrefix(got, `a\u{`) || !strings.HasSuffix(got, "}b") {
			t.Errorf("%s %U: got %q", name, r, got)
		}
	}
	for _, s := range []string{
		"", "plain", "c1-03", "größe", "日本語", "Ёлка", "שלום", "नमस्ते", "e\u0301", "±5 %", "25 °C", "–", "…", "🚐", "a b  c", `\u{1b}`, "|&<>\"'",
	} {
		if got := Visible(s); got != s {
			t.Errorf("%q was changed to %q", s, got)
		}
	}
	if got := Visible("\x1b[31mred\x1b[0m\t\u202eevil\xff"); got != `\u{1b}[31mred\u{1b}[0m\u{9}\u{202e}evil\u{fffd}` {
		t.Errorf("got %q", got)
	}
}

func FuzzVisible(f *testing.F) {
	f.Add("a\x1bb")
	f.Fuzz(func(t *testing.T, s string) {
		got := Visible(s)
		if strings.ContainsFunc(got, hidden) || !utf8.ValidString(got) {
			t.Errorf("%q is not safe", got)
		}
		if again := Visible(got); again != got {
			t.Errorf("%q becomes %q", got, again)
		}
	})
}
