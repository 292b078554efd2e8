package source

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/width"
)

// Visible shows what a person typed with everything that a terminal, a sheet
// or a reader's eye would act on instead of showing made visible as \u{..}:
// control characters (escape sequences, tabs and line ends too), characters
// that turn the direction of writing, that have no width, or that are no
// characters at all. All other text is left alone. The result is safe to
// print; it says nothing about quoting in HTML or CSV.
func Visible(s string) string {
	if !strings.ContainsFunc(s, hidden) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		b.WriteString(visibleRune(r))
	}
	return b.String()
}

// visibleRune is one letter as Visible shows it.
func visibleRune(r rune) string {
	if hidden(r) {
		return fmt.Sprintf(`\u{%x}`, r)
	}
	return string(r)
}

// hidden reports letters that do something instead of being seen: Unicode
// classes Cc (control), Cf (format: bidirectional overrides, joiners, soft
// hyphen, tags), Cs, Co, Cn (no character), Zl and Zp (line ends), spaces
// other than the plain one, and fillers and selectors without width.
func hidden(r rune) bool {
	switch {
	case r >= ' ' && r < 0x7f:
		return false
	case r == unicode.ReplacementChar, r == 0x034f, r == 0x115f, r == 0x1160, r == 0x17b4, r == 0x17b5,
		r == 0x2800, r == 0x3164, r == 0xffa0, r >= 0xfe00 && r <= 0xfe0f, r >= 0x180b && r <= 0x180f,
		r >= 0xe0000 && r <= 0xe0fff:
		return true
	}
	return !unicode.IsGraphic(r) || unicode.IsSpace(r) || unicode.Is(unicode.Zs, r)
}

// columns is the number of terminal columns a visible letter takes.
func columns(r rune) int {
	if unicode.In(r, unicode.Mn, unicode.Me) {
		return 0
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}
