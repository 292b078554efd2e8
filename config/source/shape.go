package source

import "strings"

// The shapes of values without quotes. They are looked at by hand: regular
// expressions for them took a tenth of the time that asleft needs to start.

func digit(c byte) bool { return c >= '0' && c <= '9' }

func hexDigit(c byte) bool { return digit(c) || c >= 'a' && c <= 'f' || c >= 'A' && c <= 'F' }

// group is the length of the digits at the start of s, with single underscores
// between them; 0 when there are none.
func group(s string, is func(byte) bool) int {
	n := 0
	for n < len(s) && (is(s[n]) || n > 0 && s[n] == '_' && s[n-1] != '_') {
		n++
	}
	if n > 0 && s[n-1] == '_' {
		n--
	}
	return n
}

// whole is the length of the whole part at the start of s: no zero in front.
func whole(s string) int {
	if strings.HasPrefix(s, "0") {
		return 1
	}
	return group(s, digit)
}

func unsigned(s string) string {
	if s != "" && (s[0] == '+' || s[0] == '-') {
		return s[1:]
	}
	return s
}

// wholeShape reports the shape of a whole number (TOML 1.0, Integer).
func wholeShape(s string) bool {
	if len(s) > 2 && s[0] == '0' {
		switch s[1] {
		case 'x':
			return group(s[2:], hexDigit) == len(s)-2
		case 'o':
			return group(s[2:], func(c byte) bool { return c >= '0' && c <= '7' }) == len(s)-2
		case 'b':
			return group(s[2:], func(c byte) bool { return c == '0' || c == '1' }) == len(s)-2
		}
	}
	s = unsigned(s)
	return s != "" && whole(s) == len(s)
}

// numberShape reports the shape of a number that is no whole one (TOML 1.0,
// Float).
func numberShape(s string) bool {
	s = unsigned(s)
	if s == "inf" || s == "nan" {
		return true
	}
	n := whole(s)
	if n == 0 {
		return false
	}
	s = s[n:]
	if rest, ok := strings.CutPrefix(s, "."); ok {
		if n = group(rest, digit); n == 0 {
			return false
		}
		s = rest[n:]
	}
	if s != "" && (s[0] == 'e' || s[0] == 'E') {
		s = unsigned(s[1:])
		n = group(s, digit)
		return n > 0 && n == len(s)
	}
	return s == ""
}

// timeShape reports the shape of a date, a time, or both (TOML 1.0: Offset
// Date-Time, Local Date-Time, Local Date, Local Time).
func timeShape(s string) bool {
	dated := len(s) >= 10 && like(s[:10], "0000-00-00")
	if dated {
		s = s[10:]
		if s == "" {
			return true
		}
		if strings.IndexByte("Tt ", s[0]) < 0 {
			return false
		}
		s = s[1:]
	}
	if len(s) < 8 || !like(s[:8], "00:00:00") {
		return false
	}
	s = s[8:]
	if rest, ok := strings.CutPrefix(s, "."); ok {
		s = strings.TrimLeft(rest, "0123456789")
		if len(s) == len(rest) {
			return false
		}
	}
	return s == "" || dated && offset(s) // an offset needs a date
}

// offset reports the shape of what a time is apart from universal time.
func offset(s string) bool {
	if s == "Z" || s == "z" {
		return true
	}
	return (like(s, "+00:00") || like(s, "-00:00")) && s[1:3] < "24" && s[4:] < "60"
}

// like reports whether s is the pattern with other digits in place of its zeros.
func like(s, pattern string) bool {
	if len(s) != len(pattern) {
		return false
	}
	for i := range len(s) {
		if pattern[i] != s[i] && !(pattern[i] == '0' && digit(s[i])) {
			return false
		}
	}
	return true
}
