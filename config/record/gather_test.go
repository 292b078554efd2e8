package record

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"testing"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/vfs"
)

func openGathered(d *crashDisk) *gathered {
	d.files["f"] = &crashFile{}
	return &gathered{File: &crashHandle{d: d, f: d.files["f"]}}
}

// Whatever SQLite may do with a file, it reads what it would read of the file
// itself, and after a sync or an unlock everything has arrived.
func TestGatheredFileIsTheFile(t *testing.T) {
	const size = 200_000
	for seed := range uint64(50) {
		rng := rand.New(rand.NewPCG(seed, 1))
		d := newCrashDisk()
		f, plain, off := openGathered(d), []byte{}, int64(0)
		for range 300 {
			n := 1 + rng.IntN(1+rng.IntN(9000))
			if rng.IntN(4) == 0 {
				off = rng.Int64N(size)
			}
			switch rng.IntN(12) {
			case 0:
				p := make([]byte, n)
				got, err := f.ReadAt(p, off)
				want := plain[min(off, int64(len(plain))):min(off+int64(n), int64(len(plain)))]
				if !bytes.Equal(p[:got], want) || (err == nil) != (len(want) == n) {
					t.Fatalf("seed %d: read %d bytes of %d at %d, %v: not the file (%d of %d, %d at %d)", seed, got, n, off, err, len(d.files["f"].now), len(plain), len(f.buf), f.off)
				}
			case 1:
				if got, err := f.Size(); got != int64(len(plain)) || err != nil {
					t.Fatalf("seed %d: size %d, %v, want %d", seed, got, err, len(plain))
				}
			case 2:
				plain = append([]byte(nil), resized(plain, off)...)
				if err := f.Truncate(off); err != nil {
					t.Fatal(err)
				}
			case 3:
				arrive := []func() error{func() error { return f.Sync(vfs.SYNC_FULL) }, func() error { return f.Unlock(vfs.LOCK_NONE) }}
				if err := arrive[rng.IntN(2)](); err != nil || !bytes.Equal(d.files["f"].now, plain) {
					t.Fatalf("seed %d: not everything has arrived, %v", seed, err)
				}
			default:
				p := garbage(rng, n)
				plain = written(plain, p, off)
				if _, err := f.WriteAt(p, off); err != nil {
					t.Fatal(err)
				}
				off += int64(n)
				clear(p) // the memory is SQLite's own again
			}
		}
		d.close()
	}
}

// A failure is of its transaction alone.
func TestGatheredFailureEndsWithTheLock(t *testing.T) {
	d := newCrashDisk()
	defer d.close()
	f := openGathered(d)
	f.WriteAt([]byte("page"), 0)
	d.fault = func(string) error { return sqlite3.FULL }
	if err := f.Unlock(vfs.LOCK_NONE); err == nil {
		t.Error("the write failed, and the unlock says nothing")
	}
	d.fault = nil
	if err := f.Sync(vfs.SYNC_FULL); err != nil {
		t.Errorf("the next transaction's sync: %v", err)
	}
}

// A write that was gathered and then fails is told to SQLite before it can
// take the transaction for written: by the next write or the next sync.
func TestGatheredWriteFails(t *testing.T) {
	far := int64(1 << 20)
	for _, test := range []struct {
		name  string
		call  func(f *gathered) error
		aside bool // SQLite may not take the call's error for that of a write
	}{
		{"write elsewhere", func(f *gathered) error { _, err := f.WriteAt([]byte{1}, far); return err }, false},
		{"write too much", func(f *gathered) error { _, err := f.WriteAt(make([]byte, gatherBytes), 4); return err }, false},
		{"sync", func(f *gathered) error { return f.Sync(vfs.SYNC_FULL) }, false},
		{"read there", func(f *gathered) error { _, err := f.ReadAt(make([]byte, 8), 0); return err }, true},
		{"size", func(f *gathered) error { _, err := f.Size(); return err }, true},
		{"truncate", func(f *gathered) error { return f.Truncate(0) }, true},
		{"unlock", func(f *gathered) error { return f.Unlock(vfs.LOCK_SHARED) }, true},
	} {
		t.Run(test.name, func(t *testing.T) {
			d := newCrashDisk()
			defer d.close()
			f := openGathered(d)
			if _, err := f.WriteAt([]byte("page"), 0); err != nil {
				t.Fatal(err)
			}
			d.fault = func(call string) error {
				if call == "write" {
					return sqlite3.FULL
				}
				return nil
			}
			if err := test.call(f); !errors.Is(err, sqlite3.FULL) {
				t.Errorf("the write failed, and the call says %v", err)
			}
			d.fault = nil
			if err := f.Sync(vfs.SYNC_FULL); test.aside != (err != nil) {
				t.Errorf("the sync after it: %v", err)
			}
			if err := f.Sync(vfs.SYNC_FULL); err != nil || bytes.Contains(d.files["f"].now, []byte("page")) {
				t.Errorf("the write that failed came late: %q, %v", d.files["f"].now, err)
			}
		})
	}
}
