package record

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// parsed is a value read from canonical bytes: a text, a whole number, a list
// or an object. An object's members stand in their canonical order; a list's
// items are members without a key.
type parsed struct {
	kind    byte // one of the kinds below
	text    string
	whole   int64
	members []member
}

type member struct {
	key string
	parsed
}

const (
	aText   = 't'
	aWhole  = 'n'
	aList   = 'l'
	aObject = 'o'
)

// maxNesting is more than any format of ours has; without a bound, a hostile
// file could have the stack grow without end.
const maxNesting = 16

// parseCanonical reads canonical bytes and refuses every other spelling of
// the same meaning, so that two different byte strings never mean one thing.
// It reads once and takes nothing but the one spelling: no white space, keys
// in order and each once, the one escape of each letter, the one form of a
// number. Texts without escapes share the memory of data.
func parseCanonical(data string) (parsed, error) { return new(canonReader).read(data) }

// canonReader stands at one place of canonical bytes. What lists and objects
// under way hold lies on its stack, and is copied once when they close; whoever
// reads many texts reads them with one reader.
type canonReader struct {
	data   string
	at     int
	stack  []member
	closed []member // members of what has closed
	buf    []byte
}

// read is parseCanonical; what it returns lasts until the next read.
func (r *canonReader) read(data string) (parsed, error) {
	r.data, r.at, r.stack, r.closed = data, 0, r.stack[:0], r.closed[:0]
	if !utf8.ValidString(data) {
		return parsed{}, errors.New("not valid UTF-8")
	}
	if r.byteAt() != '{' {
		return parsed{}, errors.New("not a JSON object")
	}
	v, err := r.value(0)
	if err == nil && r.at != len(data) {
		err = r.fail("something follows the object")
	}
	return v, err
}

func (r *canonReader) fail(text string) error {
	return fmt.Errorf("not canonical JSON at byte %d: %s", r.at, text)
}

// byteAt is the next byte, 0 at the end: no canonical bytes hold a zero.
func (r *canonReader) byteAt() byte {
	if r.at < len(r.data) {
		return r.data[r.at]
	}
	return 0
}

func (r *canonReader) take(c byte) bool {
	ok := r.byteAt() == c
	if ok {
		r.at++
	}
	return ok
}

func (r *canonReader) value(depth int) (parsed, error) {
	if depth > maxNesting {
		return parsed{}, r.fail("nested too deep")
	}
	switch c := r.byteAt(); {
	case c == '"':
		text, err := r.string()
		return parsed{kind: aText, text: text}, err
	case c == '-' || c >= '0' && c <= '9':
		return r.number()
	case c == '{':
		return r.object(depth)
	case c == '[':
		return r.list(depth)
	}
	return parsed{}, r.fail("neither text, whole number, list nor object")
}

func (r *canonReader) object(depth int) (parsed, error) {
	base := len(r.stack)
	r.at++ // the brace
	for first := true; !r.take('}'); first = false {
		if !first && !r.take(',') {
			return parsed{}, r.fail("a comma or brace is missing")
		}
		key, err := r.string()
		if err != nil {
			return parsed{}, err
		}
		if !first && compareUTF16(r.stack[len(r.stack)-1].key, key) >= 0 {
			return parsed{}, r.fail("keys out of order")
		}
		if !r.take(':') {
			return parsed{}, r.fail("a colon is missing")
		}
		if err := r.push(key, depth); err != nil {
			return parsed{}, err
		}
	}
	return r.pop(aObject, base), nil
}

func (r *canonReader) list(depth int) (parsed, error) {
	base := len(r.stack)
	r.at++ // the bracket
	for first := true; !r.take(']'); first = false {
		if !first && !r.take(',') {
			return parsed{}, r.fail("a comma or bracket is missing")
		}
		if err := r.push("", depth); err != nil {
			return parsed{}, err
		}
	}
	return r.pop(aList, base), nil
}

// push reads a value of the list or object under way.
func (r *canonReader) push(key string, depth int) error {
	v, err := r.value(depth + 1)
	r.stack = append(r.stack, member{key, v})
	return err
}

// pop closes the list or object whose values begin at base.
func (r *canonReader) pop(kind byte, base int) parsed {
	start := len(r.closed)
	r.closed = append(r.closed, r.stack[base:]...) // when this moves, what closed before stays where it was
	r.stack = r.stack[:base]
	return parsed{kind: kind, members: r.closed[start:len(r.closed):len(r.closed)]}
}

// keep has what was read last outlast the next read.
func (r *canonReader) keep() { r.closed = nil }

// number reads the one spelling of a whole number of 64 bits.
func (r *canonReader) number() (parsed, error) {
	start := r.at
	for r.take('-') || r.byteAt() >= '0' && r.byteAt() <= '9' && r.take(r.byteAt()) {
	}
	text := r.data[start:r.at]
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || strconv.FormatInt(n, 10) != text {
		return parsed{}, r.fail(text + " is not a whole number in its one form")
	}
	return parsed{kind: aWhole, whole: n}, nil
}

// string reads a text. Without an escape it is a part of data.
func (r *canonReader) string() (string, error) {
	if !r.take('"') {
		return "", r.fail("a quotation mark is missing")
	}
	start := r.at
	for ; r.at < len(r.data); r.at++ {
		switch c := r.data[r.at]; {
		case c == '"':
			r.at++
			return r.data[start : r.at-1], nil
		case c == '\\':
			return r.escaped(start)
		case c < ' ':
			return "", r.fail("a control character stands in a text")
		}
	}
	return "", r.fail("a text has no end")
}

// escaped goes on with a text from its first escape.
func (r *canonReader) escaped(start int) (string, error) {
	r.buf = r.buf[:0]
	for r.at < len(r.data) {
		c := r.data[r.at]
		switch {
		case c == '"':
			r.buf = append(r.buf, r.data[start:r.at]...)
			r.at++
			return string(r.buf), nil
		case c < ' ':
			return "", r.fail("a control character stands in a text")
		case c != '\\':
			r.at++
			continue
		}
		r.buf = append(r.buf, r.data[start:r.at]...)
		letter, length := unescape(r.data[r.at:])
		if length == 0 {
			return "", r.fail("not the escape that this letter has")
		}
		r.buf = append(r.buf, letter)
		r.at += length
		start = r.at
	}
	return "", r.fail("a text has no end")
}

// unescape reads the escape at the front of text; of each letter only the one
// that RFC 8785, section 3.2.2.2, has for it. The length is 0 for any other.
func unescape(text string) (letter byte, length int) {
	if len(text) < 2 {
		return 0, 0
	}
	if text[1] == '"' { // by far the most frequent: an entry is a text in the line of an export
		return '"', 2
	}
	if i := strings.IndexByte(`\bfnrt`, text[1]); i >= 0 {
		return "\\\b\f\n\r\t"[i], 2
	}
	const form = `\u00`
	if len(text) < len(form)+2 || text[:len(form)] != form {
		return 0, 0
	}
	high, low := text[len(form)]-'0', strings.IndexByte("0123456789abcdef", text[len(form)+1])
	letter = high<<4 | byte(low)
	if high > 1 || low < 0 || strings.IndexByte("\b\f\n\r\t", letter) >= 0 {
		return 0, 0
	}
	return letter, len(form) + 2
}
