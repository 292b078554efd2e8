package record

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	"github.com/ncruces/go-sqlite3"
)

// Class is the class of a fault of the file or its surroundings.
type Class string

// The classes. Each has one plain message and one thing to do.
const (
	NoFile        Class = "no-file"        // nothing at the path
	NoInput       Class = "no-input"       // a file to read from is not there
	Taken         Class = "taken"          // a new file cannot be made where something is
	NotARecord    Class = "not-a-record"   // another program's file, or no database at all
	NewerVersion  Class = "newer-version"  // written by a newer version of the tool
	OlderVersion  Class = "older-version"  // written by an earlier version: to be brought forward first
	Foreign       Class = "foreign"        // holds tables, views or triggers that are not ours
	Unreadable    Class = "unreadable"     // no permission to read
	Unwritable    Class = "unwritable"     // no permission to write, read-only folder
	Full          Class = "full"           // no room on the disk
	Locked        Class = "locked"         // another process keeps the record for itself
	Damaged       Class = "damaged"        // the database's own structure is broken
	NetworkFolder Class = "network-folder" // locks and syncs cannot be trusted there
	NoKey         Class = "no-key"         // the book's key is not in the state folder
	Lost          Class = "lost"           // a book was here and its file is gone
	Broken        Class = "machine"        // the machine failed in another way
)

// FileError is a fault of the file or its surroundings.
type FileError struct {
	Path  string
	Class Class
	Text  string // what was seen
	Err   error  // what the system said, or nil
}

func (e *FileError) Error() string { return e.Path + ": " + e.Text }

func (e *FileError) Unwrap() error { return e.Err }

// Hint says what to do about it.
func (e *FileError) Hint() string {
	switch e.Class {
	case NoFile:
		return "name the record with --record PATH, or open the first vehicle with 'asleft record open'"
	case NoInput:
		return "check the path; nothing was written"
	case Taken:
		return "name a file that is not there yet"
	case NotARecord, Foreign:
		return "nothing was written; name another file with --record PATH"
	case NewerVersion:
		return "nothing was written; use the newer version of asleft on this record"
	case OlderVersion:
		return "any command under 'asleft record' that writes brings it forward, and puts a copy aside first"
	case Unreadable:
		return "nothing was written; check who may read it, and the disk or stick that it lies on"
	case Unwritable:
		return "nothing was written; check who may write to this file and its folder"
	case Full:
		return "nothing half is left; make room on the disk, then give the same command again"
	case Locked:
		return "nothing was written; wait for the other process or end it, then give the same command again"
	case Damaged:
		return "copy the file away as it is, then bring back the newest backup with 'asleft record restore'"
	case NetworkFolder:
		return "keep the record on this machine's own disk, and carry entries over with 'record export' and 'record import'"
	case NoKey:
		return "put the book's key file back into the state folder, or start a new book and import this one into it"
	case Lost:
		return "bring back the newest backup with 'asleft record restore'"
	}
	return "check the disk and its cable; 'asleft record verify' says what is intact, then give the same command again"
}

// explain turns what SQLite reports into a FileError that names the cause.
func (s *SQLite) explain(err error) error {
	err = classify(s.path, err)
	var fault *FileError
	if errors.As(err, &fault) && fault.Class == Locked {
		fault.Text = s.holder.describe()
	}
	return err
}

func classify(path string, err error) error {
	var fault *FileError
	var code *sqlite3.Error
	switch {
	case err == nil || errors.As(err, &fault) || errors.Is(err, context.Canceled):
		return err
	case errors.Is(err, sqlite3.INTERRUPT):
		return context.Canceled
	case !errors.As(err, &code):
		var plainCode sqlite3.ErrorCode
		var extended sqlite3.ExtendedErrorCode
		if !errors.As(err, &plainCode) && !errors.As(err, &extended) {
			return err
		}
	}
	fault = &FileError{Path: path, Err: err}
	fault.Class, fault.Text = readCode(err)
	return fault
}

// readCode names the cause behind SQLite's code. A disk over its quota or
// file size limit is reported as a write error (778), not as full.
func readCode(err error) (Class, string) {
	switch {
	case errors.Is(err, sqlite3.NOTADB):
		return NotARecord, "not a database"
	case errors.Is(err, sqlite3.CORRUPT), errors.Is(err, sqlite3.IOERR_SHORT_READ), errors.Is(err, sqlite3.FORMAT):
		return Damaged, "the database's structure is damaged"
	case errors.Is(err, sqlite3.FULL), errors.Is(err, sqlite3.IOERR_WRITE),
		errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EFBIG), errors.Is(err, syscall.EDQUOT):
		return Full, "no room left for writing"
	case errors.Is(err, sqlite3.BUSY), errors.Is(err, sqlite3.LOCKED):
		return Locked, "another process keeps the record for itself"
	case errors.Is(err, syscall.EROFS):
		return Unwritable, "the record cannot be written: its disk is read-only"
	case errors.Is(err, sqlite3.READONLY), errors.Is(err, sqlite3.PERM), errors.Is(err, fs.ErrPermission):
		return Unwritable, "the record cannot be written: its file or folder is read-only"
	case errors.Is(err, sqlite3.CANTOPEN):
		return Unwritable, "the record cannot be opened: the folder is missing, or this user may not use it"
	}
	return Broken, fmt.Sprintf("the disk answered with an error: %v", err)
}

// plain is the cause without path and call.
func plain(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
