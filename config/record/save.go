package record

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"syscall"
)

// saveNew makes a file that did not exist, readable by its owner alone: whole
// and durable, or not there at all.
func saveNew(path string, write func(io.Writer) error) error {
	if _, err := os.Lstat(path); err == nil {
		return taken(path)
	}
	dropUnfinished(filepath.Dir(path))
	f, err := newUnfinished(filepath.Dir(path))
	if err != nil {
		return writeFault(path, err)
	}
	defer os.Remove(f.Name())
	err = write(f)
	if err == nil {
		err = f.Sync()
	}
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		var fault *FileError
		if errors.As(err, &fault) || errors.Is(err, context.Canceled) {
			return err
		}
		return writeFault(path, err)
	}
	if err := os.Link(f.Name(), path); err != nil { // never over a file that came meanwhile
		if errors.Is(err, os.ErrExist) {
			return writeFault(path, err)
		}
		if err := os.Rename(f.Name(), path); err != nil {
			return writeFault(path, err)
		}
	}
	if err := syncFolder(filepath.Dir(path)); err != nil {
		return writeFault(path, err)
	}
	return nil
}

// taken says that a new file cannot be made where something is already.
func taken(path string) error {
	return &FileError{Path: path, Class: Taken, Text: "there is something at this name already", Err: os.ErrExist}
}

// openPlain opens a file to read from, when it is a plain one: a pipe or a
// device could keep us waiting for ever.
func openPlain(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) || errors.Is(err, syscall.ENAMETOOLONG) {
		return nil, &FileError{Path: path, Class: NoInput, Text: "there is no such file", Err: err}
	}
	if err != nil {
		return nil, &FileError{Path: path, Class: Unreadable, Text: plain(err), Err: err}
	}
	if !info.Mode().IsRegular() {
		return nil, &FileError{Path: path, Class: NotARecord, Text: "not a plain file but a " + describeMode(info.Mode())}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, &FileError{Path: path, Class: Unreadable, Text: plain(err), Err: err}
	}
	return f, nil
}
