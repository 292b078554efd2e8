package record

import (
	"bytes"
	"encoding/json"
	"io"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

// twoSteps reads canonical bytes the long way: the standard library's reader
// first, and then whether writing again gives the same bytes. It is the
// yardstick for the reader that does both at once.
func twoSteps(data string) (object, bool) {
	if !utf8.ValidString(data) {
		return nil, false
	}
	dec := json.NewDecoder(strings.NewReader(data))
	dec.UseNumber()
	var raw any
	if dec.Decode(&raw) != nil {
		return nil, false
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, false
	}
	v, ok := narrow(raw)
	o, isObject := v.(object)
	return o, ok && isObject && string(appendCanonical(nil, o)) == data
}

// narrow turns decoded JSON into the types that an entry can hold.
func narrow(v any) (any, bool) {
	switch v := v.(type) {
	case string:
		return v, true
	case json.Number:
		n, err := strconv.ParseInt(v.String(), 10, 64)
		return n, err == nil
	case []any:
		for i := range v {
			item, ok := narrow(v[i])
			if !ok {
				return nil, false
			}
			v[i] = item
		}
		return v, true
	case map[string]any:
		o := object{}
		for k, item := range v {
			item, ok := narrow(item)
			if !ok {
				return nil, false
			}
			o[k] = item
		}
		return o, true
	}
	return nil, false
}

// widen turns what was read into what is written.
func widen(v parsed) any {
	switch v.kind {
	case aText:
		return v.text
	case aWhole:
		return v.whole
	case aList:
		list := []any{}
		for _, item := range v.members {
			list = append(list, widen(item.parsed))
		}
		return list
	}
	o := object{}
	for _, m := range v.members {
		o[m.key] = widen(m.parsed)
	}
	return o
}

var canonSamples = []string{
	`{}`, `{"":"empty","a":[],"b":{}}`, `{"a":0,"b":-1,"c":9223372036854775807,"d":-9223372036854775808}`,
	`{"1":{"\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}]}`,
	`{"a":"\b\t\n\f\r\"\\\u0000\u001f/\u007f"}`, "{\"\u20ac\":\"\u00f6\",\"\U0001f602\":\"x\",\"\ufb33\":\"\U0001f602\"}",
	string(sampleEntry()), `{"entry":"{\"a\":\"\\\"\"}","line":"entry","n":3}`,
}

var canonPieces = []string{`"`, `\`, `\"`, `\/`, `\u0041`, `\u001F`, `\u000a`, `\ud83d`, `,`, `:`, `{`, `}`, `[`, `]`, ` `, "\n", `0`, `-`, `-0`, `00`, `1.0`, `1e3`,
	`9223372036854775808`, `null`, `true`, "\x00", "\x1f", "\xff", "\xed\xa0\x80", "\u2028", "\U0001f602", "\ufb33", `"a":1,`, `"b":{},`}

// Every sample, and samples changed at random, are taken by both readers or by
// neither; and what was taken is the same.
func TestCanonicalReader(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	taken := 0
	for i := range counted(t, "spellings", 5_000_000, 60_000) {
		text := canonSamples[i%len(canonSamples)]
		if i >= len(canonSamples) {
			for range 1 + rng.IntN(3) {
				at, end := rng.IntN(len(text)+1), rng.IntN(len(text)+1)
				if end = min(end, at+rng.IntN(4)); end < at {
					end = at
				}
				text = text[:at] + canonPieces[rng.IntN(len(canonPieces))] + text[end:]
			}
		}
		want, ok := twoSteps(text)
		got, err := parseCanonical(text)
		if ok != (err == nil) {
			t.Fatalf("%q: %v, the long way: %v", text, err, ok)
		}
		if ok {
			taken++
			if again := appendCanonical(nil, widen(got)); string(again) != text || !bytes.Equal(again, appendCanonical(nil, want)) {
				t.Fatalf("%q became %q", text, again)
			}
		}
	}
	if taken < 100 {
		t.Errorf("only %d were taken: nothing was compared", taken)
	}
}

// What nests without end is refused, not followed.
func TestCanonicalNesting(t *testing.T) {
	for _, open := range []string{`{"a":`, `[`} {
		if _, err := parseCanonical(`{"a":` + strings.Repeat(open, 1<<20)); err == nil || !strings.Contains(err.Error(), "nested too deep") {
			t.Errorf("%v", err)
		}
	}
}
