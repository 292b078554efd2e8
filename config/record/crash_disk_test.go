package record

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"sync/atomic"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/vfs"
)

// crashDisk is a disk in memory under SQLite. It keeps, for each file, what is
// durable and what was written since the last sync, and the same for names.
// A cut of the power keeps a random part of the rest, in random order, torn
// at 512-byte sectors, some sectors garbage.
type crashDisk struct {
	name    string
	files   map[string]*crashFile // as programs see them
	durable map[string]*crashFile // as they would be found after a cut
	names   []string              // names changed since the folder was synced
	ops     int                   // changes so far
	hook    func()                // called before each change
	fault   func(call string) error
}

// fails asks whether a call to the disk is to fail; nothing fails unless a test says so.
func (d *crashDisk) fails(call string) error {
	if d.fault == nil {
		return nil
	}
	return d.fault(call)
}

type crashFile struct {
	now     []byte
	durable []byte
	pending []crashWrite
	journal bool // its first sync also syncs the folder
}

// crashWrite is a write, or a truncation when data is nil.
type crashWrite struct {
	off  int64
	data []byte
}

const sector = 512

var crashDisks atomic.Int64

// newCrashDisk registers an empty disk as a file system of its own.
func newCrashDisk() *crashDisk {
	d := &crashDisk{name: fmt.Sprintf("crash%d", crashDisks.Add(1)), files: map[string]*crashFile{}, durable: map[string]*crashFile{}}
	vfs.Register(d.name, gathering{d}) // as the system's own is
	return d
}

func (d *crashDisk) close() { vfs.Unregister(d.name) }

func (d *crashDisk) change() {
	d.ops++
	if d.hook != nil {
		d.hook()
	}
}

// errShort is a write of which only the first half arrives.
var errShort = errors.New("short write")

// copied is the disk as another process would find it now.
func (d *crashDisk) copied() *crashDisk {
	out := newCrashDisk()
	for name, f := range d.files {
		out.files[name] = &crashFile{now: append([]byte(nil), f.now...), durable: append([]byte(nil), f.now...)}
	}
	out.durable = maps.Clone(out.files)
	return out
}

// cut is the disk as it is found when the power comes back.
func (d *crashDisk) cut(rng *rand.Rand) *crashDisk {
	out := newCrashDisk()
	found := maps.Clone(d.durable)
	chance := rng.Float64()
	for _, name := range d.names { // each unsynced change of a name happened or not
		if rng.Float64() < chance {
			if f, ok := d.files[name]; ok {
				found[name] = f
			} else {
				delete(found, name)
			}
		}
	}
	for name, f := range found {
		data := f.after(rng)
		out.files[name] = &crashFile{now: data, durable: append([]byte(nil), data...)}
	}
	out.durable = maps.Clone(out.files)
	return out
}

// after is the file's content after a cut.
func (f *crashFile) after(rng *rand.Rand) []byte {
	data := append([]byte(nil), f.durable...)
	chance := rng.Float64()
	for _, i := range rng.Perm(len(f.pending)) {
		w := f.pending[i]
		if w.data == nil {
			if rng.Float64() < chance {
				data = resized(data, w.off)
			}
			continue
		}
		for at := 0; at < len(w.data); {
			end := min(len(w.data), at+sector-int(w.off+int64(at))%sector)
			part := w.data[at:end]
			if rng.Float64() < chance {
				if rng.IntN(50) == 0 {
					part = garbage(rng, len(part))
				}
				data = written(data, part, w.off+int64(at))
			}
			at = end
		}
	}
	return data
}

func garbage(rng *rand.Rand, n int) []byte {
	out := make([]byte, n)
	for i := range out {
		out[i] = byte(rng.Uint32())
	}
	return out
}

func resized(data []byte, size int64) []byte {
	if int64(len(data)) >= size {
		return data[:size]
	}
	return append(data, make([]byte, size-int64(len(data)))...)
}

func written(data, part []byte, off int64) []byte {
	if need := off + int64(len(part)); need > int64(len(data)) {
		data = resized(data, need)
	}
	copy(data[off:], part)
	return data
}

// Open implements vfs.VFS.
func (d *crashDisk) Open(name string, flags vfs.OpenFlag) (vfs.File, vfs.OpenFlag, error) {
	if name == "" {
		return &crashHandle{d: d, f: &crashFile{}}, flags, nil // a temporary file without a name
	}
	if err := d.fails("open"); err != nil {
		return nil, flags, err
	}
	f, ok := d.files[name]
	if !ok {
		if flags&vfs.OPEN_CREATE == 0 {
			return nil, flags, sqlite3.CANTOPEN
		}
		d.change()
		f = &crashFile{journal: flags&(vfs.OPEN_MAIN_JOURNAL|vfs.OPEN_WAL|vfs.OPEN_SUPER_JOURNAL) != 0}
		d.files[name] = f
		d.names = append(d.names, name)
	}
	return &crashHandle{d: d, f: f}, flags, nil
}

// Delete implements vfs.VFS.
func (d *crashDisk) Delete(name string, syncDir bool) error {
	if err := d.fails("delete"); err != nil {
		return err
	}
	if _, ok := d.files[name]; !ok {
		return sqlite3.IOERR_DELETE_NOENT
	}
	d.change()
	delete(d.files, name)
	d.names = append(d.names, name)
	if syncDir {
		if err := d.fails("sync folder"); err != nil {
			return sqlite3.IOERR_DIR_FSYNC
		}
		d.change()
		d.syncNames()
	}
	return nil
}

func (d *crashDisk) syncNames() {
	d.names = nil
	d.durable = maps.Clone(d.files)
}

// Access implements vfs.VFS.
func (d *crashDisk) Access(name string, _ vfs.AccessFlag) (bool, error) {
	_, ok := d.files[name]
	return ok, d.fails("access")
}

// FullPathname implements vfs.VFS.
func (d *crashDisk) FullPathname(name string) (string, error) { return name, nil }

// crashHandle is an open file.
type crashHandle struct {
	d *crashDisk
	f *crashFile
}

func (h *crashHandle) Close() error { return nil }

func (h *crashHandle) ReadAt(p []byte, off int64) (int, error) {
	if err := h.d.fails("read"); err != nil {
		return 0, err
	}
	if off >= int64(len(h.f.now)) {
		return 0, io.EOF
	}
	n := copy(p, h.f.now[off:])
	if n < len(p) {
		return n, io.EOF
	}
	return n, nil
}

func (h *crashHandle) WriteAt(p []byte, off int64) (int, error) {
	if err := h.d.fails("write"); err != nil {
		if errors.Is(err, errShort) { // some of it arrives
			half := p[:len(p)/2]
			h.f.now = written(h.f.now, half, off)
			h.f.pending = append(h.f.pending, crashWrite{off, append([]byte{}, half...)})
			return len(half), sqlite3.IOERR_WRITE
		}
		return 0, err
	}
	h.d.change()
	h.f.now = written(h.f.now, p, off)
	h.f.pending = append(h.f.pending, crashWrite{off, append([]byte{}, p...)})
	return len(p), nil
}

func (h *crashHandle) Truncate(size int64) error {
	if err := h.d.fails("truncate"); err != nil {
		return err
	}
	h.d.change()
	h.f.now = resized(h.f.now, size)
	h.f.pending = append(h.f.pending, crashWrite{off: size})
	return nil
}

func (h *crashHandle) Sync(vfs.SyncFlag) error {
	if err := h.d.fails("sync"); err != nil {
		return err
	}
	h.d.change()
	h.f.durable = append([]byte(nil), h.f.now...)
	h.f.pending = nil
	if h.f.journal {
		h.f.journal = false
		h.d.change()
		h.d.syncNames()
	}
	return nil
}

func (h *crashHandle) Size() (int64, error)                            { return int64(len(h.f.now)), h.d.fails("size") }
func (h *crashHandle) Lock(vfs.LockLevel) error                        { return h.d.fails("lock") }
func (h *crashHandle) Unlock(vfs.LockLevel) error                      { return nil }
func (h *crashHandle) CheckReservedLock() (bool, error)                { return false, nil }
func (h *crashHandle) SectorSize() int                                 { return sector }
func (h *crashHandle) DeviceCharacteristics() vfs.DeviceCharacteristic { return 0 }
