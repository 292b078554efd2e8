package present

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"unicode"
	"unicode/utf16"
)

// JSON writes a view. Its first key is "schema": "asleft/NAME/1"; keys keep their meaning within a
// schema number, and new ones may come.
func JSON(w io.Writer, view any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(view); err != nil {
		return err
	}
	_, err := w.Write(visibleJSON(b.Bytes()))
	return err
}

// visibleJSON escapes what steers a terminal or turns text about. Such characters stand inside
// strings only, where \u means the same (RFC 8259, section 7).
func visibleJSON(text []byte) []byte {
	if bytes.IndexFunc(text, steers) < 0 {
		return text
	}
	var out []byte
	for _, r := range string(text) {
		switch {
		case !steers(r):
			out = append(out, string(r)...)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			out = fmt.Appendf(out, "\\u%04x\\u%04x", high, low)
		default:
			out = fmt.Appendf(out, "\\u%04x", r)
		}
	}
	return out
}

func steers(r rune) bool {
	return r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r) && r != 0x200d)
}
