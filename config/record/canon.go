package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
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
	return slices.Compare(utf16.Encode([]rune(a)), utf16.Encode([]rune(b)))
}

// parseCanonical reads canonical bytes and refuses every other spelling of
// the same meaning, so that two different byte strings never mean one thing.
func parseCanonical(data []byte) (object, error) {
	if !utf8.Valid(data) {
		return nil, errors.New("not valid UTF-8")
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var raw any
	if err := dec.Decode(&raw); err != nil {
		return nil, fmt.Errorf("not JSON: %w", err)
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, errors.New("something follows the JSON object")
	}
	v, err := narrow(raw)
	if err != nil {
		return nil, err
	}
	o, ok := v.(object)
	if !ok {
		return nil, errors.New("not a JSON object")
	}
	if !bytes.Equal(appendCanonical(nil, o), data) {
		return nil, errors.New("not in canonical form")
	}
	return o, nil
}

// narrow turns decoded JSON into the types that an entry can hold.
func narrow(v any) (any, error) {
	switch v := v.(type) {
	case string:
		return v, nil
	case json.Number:
		n, err := strconv.ParseInt(v.String(), 10, 64)
		if err != nil {
			return nil, fmt.Errorf("%s is not a whole number", v)
		}
		return n, nil
	case []any:
		for i := range v {
			item, err := narrow(v[i])
			if err != nil {
				return nil, err
			}
			v[i] = item
		}
		return v, nil
	case map[string]any:
		o := make(object, len(v))
		for k, item := range v {
			item, err := narrow(item)
			if err != nil {
				return nil, err
			}
			o[k] = item
		}
		return o, nil
	default:
		return nil, fmt.Errorf("%v is neither text, whole number, list nor object", v)
	}
}
