package record

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"

	"golang.org/x/mod/sumdb/tlog"
)

// Files that leave the record are lines of canonical JSON, each an object
// with a "line" that names what it is. The last is an "end" with the number of
// lines before it and the SHA-256 of their bytes, so that a file that was cut
// short or damaged on its way is seen. What a forger did is seen by the proofs.

const (
	maxLine = 64 << 20 // a longer line is no line of ours
	maxKept = 1 << 20  // room for a line that is kept for the next
)

// lineWriter writes lines and counts them.
type lineWriter struct {
	w   *bufio.Writer
	n   int64
	buf []byte
	sum hash.Hash
}

func newLineWriter(w io.Writer) *lineWriter {
	return &lineWriter{w: bufio.NewWriterSize(w, 1<<16), sum: sha256.New()}
}

func (l *lineWriter) put(kind string, o object) error {
	o["line"] = kind
	l.buf = append(appendCanonical(l.buf[:0], o), '\n')
	l.n++
	l.sum.Write(l.buf)
	_, err := l.w.Write(l.buf)
	return err
}

func (l *lineWriter) end() error {
	if err := l.put("end", object{"lines": l.n, "sha256": hex.EncodeToString(l.sum.Sum(nil))}); err != nil {
		return err
	}
	return l.w.Flush()
}

// lineReader reads lines and knows where it is.
type lineReader struct {
	r     *bufio.Reader
	name  string
	n     int64
	done  bool
	sum   hash.Hash
	canon canonReader
	buf   []byte
	size  int // of the line that was read last
}

func newLineReader(r io.Reader, name string) *lineReader {
	return &lineReader{r: bufio.NewReaderSize(r, 1<<16), name: name, sum: sha256.New()}
}

// LineError says which line of a file is not right. Status 2, or 4 when the
// file was whole once.
type LineError struct {
	Name string
	Line int64
	Text string
}

func (e *LineError) Error() string { return fmt.Sprintf("%s:%d: %s", e.Name, e.Line, e.Text) }

// Hint says what to do.
func (e *LineError) Hint() string {
	return "get the file again from where it was made; nothing was taken from it"
}

func (l *lineReader) fail(format string, args ...any) error {
	return &LineError{l.name, l.n, fmt.Sprintf(format, args...)}
}

// next reads a line; io.EOF after the end line. The fields last until the next line is read.
func (l *lineReader) next() (string, *fields, error) {
	data, err := l.read()
	if err != nil {
		return "", nil, err
	}
	if l.done {
		return "", nil, l.fail("something follows the end line")
	}
	l.n++
	o, err := l.canon.read(string(data))
	if err != nil {
		return "", nil, l.fail("%v", err)
	}
	f := &fields{members: o.members}
	kind := f.text("line")
	if kind != "end" {
		l.sum.Write(data)
		l.sum.Write([]byte("\n"))
		if f.err != nil {
			return "", nil, l.fail("%v", f.err)
		}
		return kind, f, nil
	}
	n, sum := f.whole("lines"), f.digest("sha256")
	if f.close() != nil || n != l.n-1 {
		return "", nil, l.fail("the end line counts %d lines before it, here are %d", n, l.n-1)
	}
	if sum != Digest(l.sum.Sum(nil)) {
		return "", nil, l.fail("the lines are not those that were written: the file was damaged or changed")
	}
	l.done = true
	return l.next()
}

// read returns the next line without its end; it is valid until the next read.
func (l *lineReader) read() ([]byte, error) {
	line := l.buf[:0]
	for {
		part, err := l.r.ReadSlice('\n')
		line = append(line, part...)
		if l.buf = line; cap(line) > maxKept {
			l.buf = nil
		}
		switch {
		case err == nil:
			l.size = len(line)
			return bytes.TrimSuffix(line, []byte("\n")), nil
		case errors.Is(err, bufio.ErrBufferFull) && len(line) < maxLine:
			continue
		case errors.Is(err, bufio.ErrBufferFull):
			return nil, l.fail("a line is longer than %d bytes", maxLine)
		case err == io.EOF && len(line) == 0 && l.done:
			return nil, io.EOF
		case err == io.EOF:
			return nil, l.fail("the file is cut short: its end line is missing")
		default:
			return nil, &FileError{Path: l.name, Class: Unreadable, Text: plain(err), Err: err}
		}
	}
}

// header reads the first line and checks what the file is.
func (l *lineReader) header(schema string) (*fields, error) {
	kind, f, err := l.next()
	if err != nil {
		return nil, err
	}
	if got := f.optionalText("schema"); kind != "header" || got != schema {
		return nil, l.fail("expected a file of schema %q, found %q", schema, got)
	}
	return f, nil
}

func hexList(proof []tlog.Hash) []any {
	list := make([]any, len(proof))
	for i := range proof {
		list[i] = hex.EncodeToString(proof[i][:])
	}
	return list
}

// proof reads a list of hashes; an empty one is written as such.
func (r *fields) proof(key string) []tlog.Hash {
	v, _ := r.take(key)
	if v.kind != aList {
		r.fail(key, "expected a list of hashes")
	}
	var out []tlog.Hash
	for _, item := range v.members {
		d, err := ParseDigest(item.text)
		if err != nil {
			r.fail(key, "%v", err)
		}
		out = append(out, tlog.Hash(d))
	}
	return out
}

// bytes reads base64; nothing is written as an absent key.
func (r *fields) bytes(key string) []byte {
	data, err := base64.StdEncoding.DecodeString(r.optionalText(key))
	if err != nil {
		r.fail(key, "expected base64")
	}
	return data
}

func putBytes(o object, key string, data []byte) object {
	if len(data) > 0 {
		o[key] = base64.StdEncoding.EncodeToString(data)
	}
	return o
}
