package source

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// fault is a mistake of the shape and where it is.
type fault struct {
	problem Problem
	at      span
	also    span
}

func faultAt(at span, p Problem) *fault { return &fault{problem: p, at: at} }

// keyPart is one part of a dotted key.
type keyPart struct {
	name string
	at   span
}

// scanner walks over a file once, checks its shape, and builds the index. It
// stops at the first mistake by panicking with a *fault, which scan catches.
type scanner struct {
	data  string
	at    int
	count int // keys, tables and elements so far
}

// scan checks the bounds and the shape of data.
func scan(data string) (root *node, wrong *fault) {
	if f := outOfBounds(data); f != nil {
		return nil, f
	}
	defer func() {
		if r := recover(); r != nil {
			f, ok := r.(*fault)
			if !ok {
				panic(r)
			}
			root, wrong = nil, f
		}
	}()
	s := &scanner{data: data}
	return s.file(), nil
}

// outOfBounds refuses a file that is too long or not text.
func outOfBounds(data string) *fault {
	if len(data) > MaxBytes {
		return faultAt(span{}, Problem{
			Message:  "the file is too long",
			Expected: fmt.Sprintf("at most %d bytes", MaxBytes),
		})
	}
	for i, r := range data {
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(data[i:], "\uFFFD"):
			return faultAt(span{i, i + 1}, Problem{
				Message:  "this byte is not UTF-8 text",
				Expected: "a text file saved as UTF-8",
				Found:    fmt.Sprintf("byte 0x%02X", data[i]),
			})
		case r == 0:
			return faultAt(span{i, i + 1}, Problem{
				Message:  "a zero byte stands in the text",
				Expected: "a text file saved as UTF-8",
				Found:    "byte 0x00: perhaps the file was saved as UTF-16",
			})
		}
	}
	return nil
}

// stop ends the scan with a mistake.
func (s *scanner) stop(from, to int, p Problem) {
	panic(faultAt(span{from, to}, p))
}

// counted keeps the number of keys and elements within bounds.
func (s *scanner) counted(n, from int) {
	s.count += n
	if s.count > MaxValues {
		s.stop(from, from+1, Problem{
			Message:  "the file holds too many keys and values",
			Expected: fmt.Sprintf("at most %d", MaxValues),
		})
	}
}

func (s *scanner) must(f *fault) {
	if f != nil {
		panic(f)
	}
}

// file reads lines: a header, a key with its value, a comment, or nothing.
func (s *scanner) file() *node {
	root := newTable(headed, "", span{})
	table := root
	for {
		s.skip(" \t\r\n")
		switch c := s.peek(); {
		case s.at >= len(s.data):
			return root
		case c == '#':
		case c == '[':
			table = s.header(root)
		default:
			s.pair(table, 0)
		}
		s.lineEnd()
	}
}

// peek is the next byte, 0 at the end.
func (s *scanner) peek() byte {
	if s.at < len(s.data) {
		return s.data[s.at]
	}
	return 0
}

// skip passes over bytes of set; a lone carriage return is a mistake.
func (s *scanner) skip(set string) {
	for s.at < len(s.data) && strings.IndexByte(set, s.data[s.at]) >= 0 {
		if s.data[s.at] == '\r' && !strings.HasPrefix(s.data[s.at:], "\r\n") {
			s.control(s.at)
		}
		s.at++
	}
}

// lineEnd passes over blanks and a comment to the end of the line.
func (s *scanner) lineEnd() {
	s.skip(" \t")
	s.comment()
	switch {
	case s.at >= len(s.data), s.peek() == '\n', strings.HasPrefix(s.data[s.at:], "\r\n"):
		return
	}
	if forbidden(s.peek()) {
		s.control(s.at)
	}
	to := s.wordEnd(s.at)
	s.stop(s.at, to, Problem{
		Message:  "the line goes on after it should end",
		Expected: "one key with its value on a line, then at most a comment",
		Found:    s.data[s.at:to],
		Example:  `year = 2021  # as on the plate`,
	})
}

// comment passes over a comment, if one stands here.
func (s *scanner) comment() {
	if s.peek() != '#' {
		return
	}
	for s.at < len(s.data) && s.data[s.at] != '\n' && !strings.HasPrefix(s.data[s.at:], "\r\n") {
		if forbidden(s.data[s.at]) {
			s.control(s.at)
		}
		s.at++
	}
}

// forbidden reports the control characters that may stand nowhere in a file
// (TOML 1.0, Comment and String sections): all but tab and line end.
func forbidden(c byte) bool { return c < ' ' && c != '\t' || c == 0x7f }

// control refuses a control character.
func (s *scanner) control(at int) {
	s.stop(at, at+1, Problem{
		Message:  "a control character stands in the text",
		Expected: "letters, blanks, tabs and line ends",
		Found:    Visible(s.data[at : at+1]),
	})
}

// header reads [a.b.c] and gives its table.
func (s *scanner) header(root *node) *node {
	from := s.at
	if strings.HasPrefix(s.data[from:], "[[") {
		s.stop(from, from+2, Problem{
			Message:  "an array of tables is not used in these files",
			Expected: "a table with a name of its own, so that it can be spoken of",
			Found:    "[[",
			Example:  "[circuit.c1-03]",
		})
	}
	s.at++
	parts := s.key("a table's name", "]")
	if s.peek() != ']' {
		s.stop(s.at, s.at+1, Problem{
			Message:  "the table's name is not closed",
			Expected: "] after the name",
			Found:    s.found(),
			Example:  "[circuit.c1-03]",
		})
	}
	s.at++
	table, f := root.header(parts, span{from, s.at})
	s.must(f)
	return table
}

// pair reads key = value into table.
func (s *scanner) pair(table *node, depth int) {
	from := s.at
	parts := s.key("a key", "=")
	last := parts[len(parts)-1]
	if s.peek() != '=' {
		s.noEquals(from, last)
	}
	s.at++
	s.skip(" \t")
	table, f := table.through(parts[:len(parts)-1])
	s.must(f)
	if first := table.find(last.name); first != nil {
		s.must(doubled(last, first))
	}
	value := s.value(depth + len(parts) - 1)
	value.name, value.key = last.name, last.at
	table.put(value)
}

// noEquals says what stands where the equals sign should be.
func (s *scanner) noEquals(from int, last keyPart) {
	if last.at.to == s.at && s.at < len(s.data) && !strings.ContainsRune("\r\n#,]}", rune(s.peek())) {
		s.stop(s.at, s.wordEnd(s.at), Problem{
			Message:  "a key without quotes cannot hold this sign",
			Expected: "letters a-z, digits, - and _; other signs only in quotes",
			Found:    s.found(),
			Example:  `"größe" = 4`,
		})
	}
	s.stop(from, s.at, Problem{
		Message:  "a key without a value",
		Expected: "= after the key",
		Found:    s.found(),
		Example:  `label = "text"`,
	})
}

// found names what stands at the scanner's place.
func (s *scanner) found() string {
	switch {
	case s.at >= len(s.data):
		return "the end of the file"
	case s.data[s.at] == '\n', s.data[s.at] == '\r':
		return "the end of the line"
	}
	return s.data[s.at:s.wordEnd(s.at)]
}

// wordEnd is the end of the stretch without blanks at from, one letter at
// least and forty at most.
func (s *scanner) wordEnd(from int) int {
	to := from
	for n, r := range s.data[from:] {
		if n > 40 || (to > from && strings.ContainsRune(" \t\r\n,]}=", r)) {
			break
		}
		to = from + n + utf8.RuneLen(r)
		if strings.ContainsRune(" \t\r\n,]}=", r) {
			break
		}
	}
	return to
}
