package source

import (
	"fmt"
	"strings"
)

// value reads what stands after an equals sign or in an array.
func (s *scanner) value(depth int) *node {
	if depth >= MaxDepth {
		s.stop(s.at, s.at+1, Problem{
			Message:  "tables and lists stand too deep inside each other",
			Expected: fmt.Sprintf("at most %d levels", MaxDepth),
		})
	}
	from := s.at
	n := &node{}
	switch c := s.peek(); {
	case c == '[':
		s.list(n, depth)
	case c == '{':
		s.braces(n, depth)
	case strings.HasPrefix(s.data[from:], `"""`), strings.HasPrefix(s.data[from:], `'''`):
		s.long(c)
	case c == '"', c == '\'':
		s.quoted(c)
	default:
		s.plain()
	}
	n.value = span{from, s.at}
	n.raw = s.data[from:s.at]
	return n
}

// list reads [a, b]; line ends and comments may stand between.
func (s *scanner) list(n *node, depth int) {
	n.kind = array
	from := s.at
	s.at++
	for {
		s.blankLines()
		if s.peek() == ']' {
			s.at++
			return
		}
		if s.at >= len(s.data) {
			s.stop(from, from+1, Problem{Message: "the list is not closed", Expected: "] at its end", Found: s.found()})
		}
		s.counted(1, s.at)
		n.order = append(n.order, s.value(depth+1))
		s.blankLines()
		if s.peek() == ',' {
			s.at++
			continue
		}
		if s.peek() != ']' && s.at < len(s.data) {
			s.stop(s.at, s.wordEnd(s.at), Problem{
				Message:  "two values of a list without a comma between",
				Expected: ", or ]",
				Found:    s.found(),
				Example:  `want = ["lock", "unlock"]`,
			})
		}
	}
}

// blankLines passes over blanks, line ends and comments.
func (s *scanner) blankLines() {
	for {
		s.skip(" \t\r\n")
		if s.peek() != '#' {
			return
		}
		s.comment()
	}
}

// braces reads {a = 1, b = 2}: one line, no comma at the end.
func (s *scanner) braces(n *node, depth int) {
	n.kind, n.keys = inline, map[string]*node{}
	from := s.at
	s.at++
	s.skip(" \t")
	for s.peek() != '}' {
		s.pair(n, depth+1)
		s.skip(" \t")
		if s.peek() == '}' {
			break
		}
		if s.peek() != ',' {
			s.stop(from, max(from+1, s.at), Problem{
				Message:  "the table in braces is not closed",
				Expected: "all of it on one line, , between the keys, } at the end",
				Found:    s.found(),
				Example:  "volts = { out = 0.0, off = 0.0, acc = 0.0, run = 12.4, crank = 10.9 }",
			})
		}
		s.at++
		s.skip(" \t")
		if s.peek() == '}' {
			s.stop(s.at, s.at+1, Problem{
				Message:  "a comma before the closing brace",
				Expected: "a key, or no comma",
				Found:    s.found(),
			})
		}
	}
	s.at++
}

// plain reads a value without quotes.
func (s *scanner) plain() {
	from := s.at
	s.word()
	if like(s.data[from:s.at], "0000-00-00") && s.peek() == ' ' && s.at+1 < len(s.data) && digit(s.data[s.at+1]) {
		s.at++
		s.word()
	}
	word := s.data[from:s.at]
	if word == "true" || word == "false" || wholeShape(word) || numberShape(word) || timeShape(word) {
		return
	}
	s.badWord(from, word)
}

// word passes over the signs a value without quotes is made of.
func (s *scanner) word() {
	for s.at < len(s.data) && (bare(s.data[s.at]) || strings.IndexByte("+.:", s.data[s.at]) >= 0) {
		s.at++
	}
}

// badWord says what is wrong with a value that has no known shape.
func (s *scanner) badWord(from int, word string) {
	p := Problem{
		Message:  "this value has no shape that is known",
		Expected: `text in quotes, a number, true or false, a date, a list or a table`,
		Found:    word,
	}
	to := s.at
	switch {
	case word == "":
		p.Message, p.Found = "the value is missing", s.found()
		to = s.wordEnd(from)
	case digit(word[0]) || word[0] == '+' || word[0] == '-' || word[0] == '.':
		p.Message = "this is not a number that can be read"
		p.Expected = "digits, at most one point with digits on both sides, no zero in front"
		p.Example = "volts = 12.4"
		if s.peek() == ',' && s.at+1 < len(s.data) && digit(s.data[s.at+1]) {
			p.Found = s.data[from:s.wordEnd(s.at+1)]
		}
	case Nearest(word, []string{"true", "false"}) != "":
		p.Nearest = Nearest(word, []string{"true", "false"})
	default:
		p.Message = "text needs quotes"
		p.Example = fmt.Sprintf("%q", word)
	}
	s.stop(from, to, p)
}
