package source

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// quoted reads a one-line string and gives what it means.
func (s *scanner) quoted(quote byte) string {
	from := s.at
	s.at++
	var b strings.Builder // what stood before plain
	plain := s.at         // what has been read since the last escape begins here
	for {
		if s.at >= len(s.data) || s.data[s.at] == '\n' || strings.HasPrefix(s.data[s.at:], "\r\n") {
			s.unclosed(from, s.at, string(quote))
		}
		switch c := s.data[s.at]; {
		case c == quote:
			s.at++
			if b.Len() == 0 { // most texts: a stretch of the file, without memory of its own
				return s.data[plain : s.at-1]
			}
			b.WriteString(s.data[plain : s.at-1])
			return b.String()
		case c == '\\' && quote == '"':
			b.WriteString(s.data[plain:s.at])
			b.WriteRune(s.escape())
			plain = s.at
		case forbidden(c):
			s.control(s.at)
		default:
			s.at++
		}
	}
}

// long passes over a string in three quotes.
func (s *scanner) long(quote byte) {
	from := s.at
	three := strings.Repeat(string(quote), 3)
	s.at += 3
	for {
		if s.at >= len(s.data) {
			s.unclosed(from, from+3, three)
		}
		switch c := s.data[s.at]; {
		case strings.HasPrefix(s.data[s.at:], three):
			s.at += 3
			// Up to two more quotes belong to the text.
			for n := 0; n < 2 && s.peek() == quote; n++ {
				s.at++
			}
			return
		case c == '\\' && quote == '"':
			s.longEscape()
		case c == '\n', strings.HasPrefix(s.data[s.at:], "\r\n"):
			s.at++
		case forbidden(c):
			s.control(s.at)
		default:
			s.at++
		}
	}
}

// longEscape passes over an escape, or over a backslash that ends its line.
func (s *scanner) longEscape() {
	rest := strings.TrimLeft(s.data[s.at+1:], " \t")
	if strings.HasPrefix(rest, "\n") || strings.HasPrefix(rest, "\r\n") {
		s.at = len(s.data) - len(rest)
		return
	}
	s.escape()
}

func (s *scanner) unclosed(from, to int, quote string) {
	s.stop(from, to, Problem{
		Message:  "the text is not closed",
		Expected: quote + " at its end",
		Found:    s.found(),
		Example:  `label = "text"`,
	})
}

// escape reads one of the escapes of TOML 1.0 (String section).
func (s *scanner) escape() rune {
	from := s.at
	s.at++
	c := s.peek()
	s.at++
	if i := strings.IndexByte(`btnfr"\`, c); i >= 0 && c != 0 {
		return rune("\b\t\n\f\r\"\\"[i])
	}
	digits := map[byte]int{'u': 4, 'U': 8}[c]
	if digits > 0 && s.at+digits <= len(s.data) {
		code, err := strconv.ParseUint(s.data[s.at:s.at+digits], 16, 32)
		if err == nil && code <= utf8.MaxRune && utf8.ValidRune(rune(code)) {
			s.at += digits
			return rune(code)
		}
	}
	_, size := utf8.DecodeRuneInString(s.data[min(from+1, len(s.data)):])
	to := min(from+1+size+digits, len(s.data))
	if i := strings.IndexAny(s.data[from:to], "\r\n"); i >= 0 {
		to = from + i
	}
	s.stop(from, to, Problem{
		Message:  "this escape has no meaning",
		Expected: `\b \t \n \f \r \" \\ \uXXXX or \UXXXXXXXX; a plain backslash is written \\`,
		Found:    s.data[from:to],
		Example:  `note = 'text in single quotes takes backslashes as they are'`,
	})
	return 0
}
