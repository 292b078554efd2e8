package setting

import "unicode/utf8"

// AppendString appends s as a JSON string in the one form of RFC 8785, section
// 3.2.2.2: the two-letter escapes \b \t \n \f \r \" \\, \u00xx in small
// hexadecimal letters for the other control characters, everything else as
// UTF-8 and nothing normalised. Bytes that are no UTF-8 become U+FFFD; callers
// for whom that would join two meanings check utf8.ValidString first. Every
// canonical encoding of the house uses it.
func AppendString(dst []byte, s string) []byte {
	dst = append(dst, '"')
	for i := 0; i < len(s); {
		c := s[i]
		if c >= utf8.RuneSelf {
			r, size := utf8.DecodeRuneInString(s[i:])
			dst = utf8.AppendRune(dst, r)
			i += size
			continue
		}
		i++
		if short := escapes[c]; short != 0 {
			dst = append(dst, '\\', short)
		} else if c < ' ' {
			dst = append(dst, '\\', 'u', '0', '0', hexadecimal[c>>4], hexadecimal[c&15])
		} else {
			dst = append(dst, c)
		}
	}
	return append(dst, '"')
}

const hexadecimal = "0123456789abcdef"

var escapes = [utf8.RuneSelf]byte{
	'\b': 'b', '\t': 't', '\n': 'n', '\f': 'f', '\r': 'r', '"': '"', '\\': '\\',
}
