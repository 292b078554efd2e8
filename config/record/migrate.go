package record

import (
	"context"
	"errors"
	"fmt"
	"os"
)

// format is what a file of a version looks like and how older ones come to it.
type format struct {
	version int64
	schema  []schemaObject
	steps   map[int64]string                // statements that lead from a version to the next
	earlier map[int64]func() []schemaObject // schemas of versions that can be looked at as they are
}

var currentFormat = format{
	version: schemaVersion,
	schema:  schema,
	steps:   map[int64]string{1: `DROP INDEX entry_subject; ` + entrySubject},
	earlier: map[int64]func() []schemaObject{1: schemaOf1},
}

// migrate brings an older file forward, in one transaction and after a copy
// of the whole file was put aside. The entries stay as they are, byte for
// byte: only what lies around them may change.
func (s *SQLite) migrate(from int64) error {
	aside, err := s.keepOld()
	if err != nil {
		return err
	}
	moved, err := s.forward(from)
	if version, unknown := s.pragma("user_version"); unknown == nil && !moved && (version == from || err == nil) {
		os.Remove(aside) // the file is as it was, or another process was quicker and has its own copy
	}
	if err != nil {
		return err
	}
	_, err = s.checkFile()
	return err
}

// keepOld puts the copy aside. A copy that is there already is not written
// over: a process may have died after making it.
func (s *SQLite) keepOld() (aside string, err error) {
	for {
		aside = freeName(fmt.Sprintf("%s.before-format-%d", s.path, s.format.version))
		err = s.copyAside(context.Background(), aside, nil)
		if !errors.Is(err, os.ErrExist) {
			return aside, err
		}
	}
}

// forward runs the steps; moved says that the file has the current format by them.
func (s *SQLite) forward(from int64) (moved bool, err error) {
	if err := s.conn.Exec(`BEGIN IMMEDIATE`); err != nil {
		return false, err
	}
	defer func() {
		if !moved {
			s.conn.Exec(`ROLLBACK`)
		}
	}()
	version, err := s.pragma("user_version")
	if err != nil || version != from {
		return false, err
	}
	if err := s.steps(from); err != nil {
		return false, err
	}
	err = s.conn.Exec(fmt.Sprintf(`PRAGMA user_version=%d; COMMIT`, s.format.version))
	return err == nil, err
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
