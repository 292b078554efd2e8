package record

import (
	"context"
	"fmt"
)

// format is what a file of a version looks like and how older ones come to
// it. There is one so far; the steps are here before the first is needed, so
// that the first release can already say what will happen to its files.
type format struct {
	version int64
	schema  []schemaObject
	steps   map[int64]string // statements that lead from a version to the next
}

var currentFormat = format{version: schemaVersion, schema: schema}

// migrate brings an older file forward, in one transaction and after a copy
// of the whole file was put aside. The entries stay as they are, byte for
// byte: only what lies around them may change.
func (s *SQLite) migrate(from int64) error {
	aside := fmt.Sprintf("%s.before-format-%d", s.path, s.format.version)
	if err := s.copyAside(context.Background(), aside, nil); err != nil {
		return err
	}
	if err := s.conn.Exec(`BEGIN IMMEDIATE`); err != nil {
		return err
	}
	err := s.steps(from)
	if err == nil {
		err = s.conn.Exec(fmt.Sprintf(`PRAGMA user_version=%d; COMMIT`, s.format.version))
	}
	if err != nil {
		s.conn.Exec(`ROLLBACK`)
		return err
	}
	_, err = s.checkFile()
	return err
}

func (s *SQLite) steps(from int64) error {
	for v := from; v < s.format.version; v++ {
		step, ok := s.format.steps[v]
		if !ok {
			return &FileError{Path: s.path, Class: NotARecord, Text: fmt.Sprintf("format %d was never released", v)}
		}
		if err := s.conn.Exec(step); err != nil {
			return err
		}
	}
	return nil
}
