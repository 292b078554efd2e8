package source

import (
	"fmt"
	"unicode/utf8"
)

// key reads a key of one or more parts, and the blanks after it. What it is
// called in messages, and what ends it, depends on the caller.
func (s *scanner) key(what, end string) []keyPart {
	var parts []keyPart
	from := s.at
	for {
		s.skip(" \t")
		part := s.keyPart(what, end)
		if n := utf8.RuneCountInString(part.name); n > MaxKey {
			s.stop(part.at.from, part.at.to, Problem{
				Message:  "the key is too long",
				Expected: fmt.Sprintf("at most %d letters", MaxKey),
				Found:    fmt.Sprintf("%d letters", n),
			})
		}
		parts = append(parts, part)
		if len(parts) > MaxDepth {
			s.stop(from, s.at, Problem{
				Message:  "the key has too many parts",
				Expected: fmt.Sprintf("at most %d parts with dots between", MaxDepth),
			})
		}
		s.skip(" \t")
		if s.peek() != '.' {
			s.counted(len(parts), from)
			return parts
		}
		s.at++
	}
}

// keyPart reads one part: bare, or in quotes.
func (s *scanner) keyPart(what, end string) keyPart {
	from := s.at
	if c := s.peek(); c == '"' || c == '\'' {
		name := s.quoted(c)
		return keyPart{name, span{from, s.at}}
	}
	for s.at < len(s.data) && bare(s.data[s.at]) {
		s.at++
	}
	if s.at > from {
		return keyPart{s.data[from:s.at], span{from, s.at}}
	}
	p := Problem{
		Message:  what + " is missing here",
		Expected: "letters a-z, digits, - and _; other signs only in quotes",
		Found:    s.found(),
		Example:  `park-wire = "c1-03"`,
	}
	if end == "]" {
		p.Example = "[circuit.c1-03]"
	}
	s.stop(from, s.wordEnd(from), p)
	return keyPart{}
}

// bare reports the signs of a key without quotes (TOML 1.0, Keys).
func bare(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_'
}
