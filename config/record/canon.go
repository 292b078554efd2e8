package record

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"

	"asleft/config/setting"
)

// Canonical JSON as RFC 8785 defines it, narrowed to what an entry needs:
// objects, arrays, strings and whole numbers. Without fractions there is one
// way to write a number, so one meaning has one encoding and a digest of the
// bytes is a digest of the meaning.

// object is a JSON object whose values are string, int64, []any or object.
type object map[string]any

// appendCanonical appends the canonical bytes of v. It panics on a type that
// an entry cannot hold: that is a fault of this package, not of its input.
func appendCanonical(dst []byte, v any) []byte {
	switch v := v.(type) {
	case string:
		return setting.AppendString(dst, v)
	case int64:
		return strconv.AppendInt(dst, v, 10)
	case object:
		return appendObject(dst, v)
	case []any:
		dst = append(dst, '[')
		for i, item := range v {
			if i > 0 {
				dst = append(dst, ',')
			}
			dst = appendCanonical(dst, item)
		}
		return append(dst, ']')
	default:
		panic(fmt.Sprintf("record: no canonical form for %T", v))
	}
}

func appendObject(dst []byte, o object) []byte {
	keys := make([]string, 0, len(o))
	for k := range o {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, compareUTF16)
	dst = append(dst, '{')
	for i, k := range keys {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = setting.AppendString(dst, k)
		dst = append(dst, ':')
		dst = appendCanonical(dst, o[k])
	}
	return append(dst, '}')
}

// compareUTF16 orders strings by UTF-16 code units (RFC 8785, section 3.2.3):
// a letter beyond U+FFFF sorts by its surrogates, before U+E000.
func compareUTF16(a, b string) int {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] && a[i] < utf8.RuneSelf {
		i++
	}
	switch {
	case i == len(a) || i == len(b):
		return cmp.Compare(len(a), len(b))
	case a[i] < utf8.RuneSelf && b[i] < utf8.RuneSelf:
		return cmp.Compare(a[i], b[i])
	}
	return slices.Compare(utf16.Encode([]rune(a)), utf16.Encode([]rune(b)))
}
