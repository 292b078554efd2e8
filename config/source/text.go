package source

import (
	"bytes"
	"sort"
	"strings"
	"unicode/utf8"
)

// span is a stretch of bytes. The zero span is the whole file.
type span struct{ from, to int }

func (s span) whole() bool { return s == span{} }

// text is a file's bytes with the starts of its lines.
type text struct {
	data   string
	starts []int
}

// newText drops the byte order mark that some editors write.
func newText(data []byte) text {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if len(data) > MaxBytes {
		// Lines are needed for the first one only: the file is refused.
		return text{data: string(data[:MaxBytes+1]), starts: []int{0}}
	}
	t := text{data: string(data), starts: make([]int, 1, 1+bytes.Count(data, []byte("\n")))}
	for i := 0; i < len(t.data); i++ {
		if t.data[i] == '\n' {
			t.starts = append(t.starts, i+1)
		}
	}
	return t
}

// lineCol gives the line and the letter of a byte, both from 1.
func (t text) lineCol(at int) (line, col int) {
	line = sort.SearchInts(t.starts, at+1)
	start := t.starts[line-1]
	at = min(at, len(t.data))
	return line, utf8.RuneCountInString(t.data[start:at]) + 1
}

// line is the text of a line without its end.
func (t text) line(n int) string {
	from, to := t.starts[n-1], len(t.data)
	if n < len(t.starts) {
		to = t.starts[n] - 1
	}
	return strings.TrimSuffix(t.data[from:to], "\r")
}

// width counts the letters of a span up to the end of its first line, at
// least one.
func (t text) width(at span) int {
	part := t.data[min(at.from, len(t.data)):min(at.to, len(t.data))]
	if i := strings.IndexAny(part, "\r\n"); i >= 0 {
		part = part[:i]
	}
	return max(1, utf8.RuneCountInString(part))
}
