package record

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"os"
	"slices"
)

// Shredded values must leave no copy of their bytes in the file. SQLite
// overwrites what it deletes (secure_delete), but may leave a copy where it
// moved cells about; so after a drop the file is searched, and rewritten as a
// whole when anything is left.

// remains are byte strings that must not stand in the file any more.
type remains [][]byte

const remainLength = 64

// remember notes what is about to be removed: where a row's bytes begin and,
// of a long value, where they end.
func (t sqliteTxn) remember(kind string, name, value []byte) error {
	values := [][]byte{value}
	if value == nil {
		var err error
		if values, err = t.Beside(kind, name); err != nil {
			return err
		}
	}
	t.s.sweep = t.s.sweep || len(values) == 0
	for _, v := range values {
		whole := append(slices.Clone(name), v...)
		if len(whole) < len(Digest{}) {
			continue // too short to be told from something else, and no secret of ours
		}
		t.s.dropped = append(t.s.dropped, whole[:min(len(whole), remainLength)])
		if len(v) >= remainLength {
			t.s.dropped = append(t.s.dropped, slices.Clone(v[len(v)-remainLength/2:]))
		}
	}
	return nil
}

// scrub searches the file for what was dropped and rewrites it when needed.
func (s *SQLite) scrub() error {
	dropped, sweep := s.dropped, s.sweep
	s.dropped, s.sweep = nil, false
	if len(dropped) == 0 {
		if sweep {
			return s.conn.Exec(`VACUUM`)
		}
		return nil
	}
	found, err := dropped.in(s.path)
	if err != nil || !found {
		return err
	}
	if err := s.conn.Exec(`VACUUM`); err != nil {
		return err
	}
	if found, err = dropped.in(s.path); err == nil && found {
		err = &FileError{Path: s.path, Class: Broken, Text: "erased values are still in the file"}
	}
	return err
}

// swept says of a sweep that failed what stands and what does not.
func (s *SQLite) swept(err error) error {
	err = s.explain(err)
	var fault *FileError
	if errors.As(err, &fault) {
		fault.Text = "the values are erased, but old copies of their bytes may still be in the file: " + fault.Text
	}
	return err
}

// unsearched is a file that could not be searched to its end.
func unsearched(path string, err error) error {
	return &FileError{Path: path, Class: Broken, Text: "it cannot be searched for them: " + plain(err), Err: err}
}

// in searches a file.
func (r remains) in(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, unsearched(path, err)
	}
	defer f.Close()
	in := bufio.NewReaderSize(f, 1<<20)
	buf := make([]byte, 0, 2<<20)
	for {
		n, err := io.ReadFull(in, buf[len(buf):len(buf)+1<<20])
		buf = buf[:len(buf)+n]
		for _, needle := range r {
			if bytes.Contains(buf, needle) {
				return true, nil
			}
		}
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			return false, nil
		}
		if err != nil {
			return false, unsearched(path, err)
		}
		keep := min(len(buf), remainLength)
		copy(buf, buf[len(buf)-keep:])
		buf = buf[:keep]
	}
}
