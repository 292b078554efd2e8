package record

import (
	"errors"
	"io/fs"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/vfs"
)

// gathering is a file system under SQLite that hands writes to the database
// which follow each other on to the system in one call, not page by page. The
// journal it leaves alone: SQLite reads it back after a failure, whatever failed.
//
// It changes nothing of what a power cut or a killed process leaves. SQLite
// lets no other process read the database before it has synced it; what was
// gathered is handed on before a sync, a change of the lock or a read. A
// process that dies in between has died before those writes.
type gathering struct{ vfs.VFS }

// gatheringName is what SQLite knows it by.
const gatheringName = "asleft-gathering"

func init() { vfs.Register(gatheringName, gathering{vfs.Find("os")}) }

// OpenFilename implements vfs.VFSFilename.
func (g gathering) OpenFilename(name *vfs.Filename, flags vfs.OpenFlag) (vfs.File, vfs.OpenFlag, error) {
	var f vfs.File
	var err error
	if system, ok := g.VFS.(vfs.VFSFilename); ok {
		f, flags, err = system.OpenFilename(name, flags)
	} else {
		f, flags, err = g.Open(name.String(), flags)
	}
	if err == nil && flags&vfs.OPEN_MAIN_DB != 0 {
		f = &gathered{File: f}
	}
	return f, flags, err
}

// gathered is an open database and what SQLite wrote to it last.
type gathered struct {
	vfs.File
	buf  []byte // not handed on yet
	off  int64  // where buf belongs in the file
	lost error  // of a hand-over that failed while SQLite was not writing
}

// gatherBytes is where larger writes stop being faster on common systems.
const gatherBytes = 64 << 10

// handOn hands on what was gathered. When that fails it is dropped: after a
// failure SQLite writes the old pages back, and nothing may come after them.
func (f *gathered) handOn() error {
	if len(f.buf) == 0 {
		return nil
	}
	_, err := f.File.WriteAt(f.buf, f.off)
	f.buf = f.buf[:0]
	var system *fs.PathError
	if errors.As(err, &system) { // it may be told by a sync, and is none of a sync
		err = vfs.SystemError(err, sqlite3.IOERR_WRITE)
	}
	return err
}

// handOnAside is handOn for calls whose errors SQLite does not take for failed
// writes: the next sync fails as well, so that no commit passes over it.
func (f *gathered) handOnAside() error {
	err := f.handOn()
	if err != nil {
		f.lost = err
	}
	return err
}

// WriteAt implements vfs.File.
func (f *gathered) WriteAt(p []byte, off int64) (int, error) {
	if off != f.off+int64(len(f.buf)) || len(f.buf)+len(p) > gatherBytes {
		if err := f.handOn(); err != nil {
			return 0, err
		}
		f.off = off
	}
	f.buf = append(f.buf, p...)
	return len(p), nil
}

// ReadAt implements vfs.File.
func (f *gathered) ReadAt(p []byte, off int64) (int, error) {
	if err := f.handOnAside(); err != nil {
		return 0, err
	}
	return f.File.ReadAt(p, off)
}

// Size implements vfs.File.
func (f *gathered) Size() (int64, error) {
	if err := f.handOnAside(); err != nil {
		return 0, err
	}
	return f.File.Size()
}

// Truncate implements vfs.File.
func (f *gathered) Truncate(size int64) error {
	if err := f.handOnAside(); err != nil {
		return err
	}
	return f.File.Truncate(size)
}

// Sync implements vfs.File.
func (f *gathered) Sync(flags vfs.SyncFlag) error {
	err := f.lost
	if f.lost = nil; err == nil {
		err = f.handOn()
	}
	if err != nil {
		return err
	}
	return f.File.Sync(flags)
}

// Unlock implements vfs.File. The lock is given up in any case: the journal is
// there for whoever comes next.
func (f *gathered) Unlock(lock vfs.LockLevel) error {
	err := f.handOnAside()
	if failed := f.File.Unlock(lock); err == nil {
		err = failed
	}
	if lock == vfs.LOCK_NONE {
		f.lost = nil // the next transaction has nothing to do with it
	}
	return err
}

// HasMoved implements vfs.FileHasMoved: SQLite asks it before it writes to a
// database that somebody may have renamed.
func (f *gathered) HasMoved() (bool, error) {
	if file, ok := f.File.(vfs.FileHasMoved); ok {
		return file.HasMoved()
	}
	return false, nil
}

// SizeHint implements vfs.FileSizeHint: a full disk is told before the first page is written.
func (f *gathered) SizeHint(size int64) error {
	if file, ok := f.File.(vfs.FileSizeHint); ok {
		return file.SizeHint(size)
	}
	return nil
}

// SharedMemory implements vfs.FileSharedMemory: a file that another program
// has left with a write-ahead log is still read, and taken back from it.
func (f *gathered) SharedMemory() vfs.SharedMemory {
	if file, ok := f.File.(vfs.FileSharedMemory); ok {
		return file.SharedMemory()
	}
	return nil
}
