package record

import "bytes"

// outline is what verification compares in every entry, found in its
// canonical bytes in one pass without taking the rest apart. Texts come without
// their quotation marks, objects with their braces; absent ones are nil.
type outline struct {
	blobs, format, id, n, subject []byte
	commits                       bool // names sealed values
}

// outlineOf walks over the members of an entry. In canonical bytes a quotation
// mark inside a text is always escaped, so no value can pass for a key. ok is
// false when the bytes are no object with its keys in order, each once; what
// is wrong with them ParseEntry says.
func outlineOf(data []byte) (o outline, ok bool) {
	if len(data) < 2 || data[0] != '{' || data[len(data)-1] != '}' {
		return o, false
	}
	var before []byte
	for at := 1; ; at++ {
		key, value, end := memberAt(data, at)
		if end < 0 || before != nil && bytes.Compare(before, key) >= 0 {
			return o, false
		}
		o.note(key, value)
		if at = end; data[at] != ',' {
			return o, data[at] == '}' && at == len(data)-1
		}
		before = key
	}
}

func (o *outline) note(key, value []byte) {
	switch string(key) {
	case "blobs":
		o.blobs = value
	case "format":
		o.format = value
	case "id":
		o.id = unquoted(value)
	case "n":
		o.n = value
	case "subject":
		o.subject = unquoted(value)
	case "personal", "secrets":
		o.commits = true
	}
}

func unquoted(value []byte) []byte {
	if len(value) < 2 || value[0] != '"' {
		return nil
	}
	return value[1 : len(value)-1]
}

// memberAt returns the key and value that begin at a place, and the place
// after them; -1 when none does.
func memberAt(data []byte, at int) (key, value []byte, end int) {
	colon := textEnd(data, at)
	if colon < 0 || data[colon] != ':' {
		return nil, nil, -1
	}
	end = valueEnd(data, colon+1)
	if end < 0 {
		return nil, nil, -1
	}
	return data[at+1 : colon-1], data[colon+1 : end], end
}

// valueEnd returns the place after a value, which is before the end of data.
func valueEnd(data []byte, at int) int {
	depth := 0
	for at < len(data) {
		switch data[at] {
		case '"':
			if at = textEnd(data, at); at < 0 {
				return -1
			}
		case '{', '[':
			depth++
			at++
		case '}', ']':
			if depth == 0 {
				return at
			}
			depth--
			at++
		case ',':
			if depth == 0 {
				return at
			}
			at++
		default:
			at++
		}
		if depth == 0 && at < len(data) && (data[at] == ',' || data[at] == '}') {
			return at
		}
	}
	return -1
}

// textEnd returns the place after a text, which is before the end of data.
func textEnd(data []byte, at int) int {
	if at >= len(data) || data[at] != '"' {
		return -1
	}
	for at++; at < len(data)-1; at++ {
		switch data[at] {
		case '"':
			return at + 1
		case '\\':
			at++
		}
	}
	return -1
}
