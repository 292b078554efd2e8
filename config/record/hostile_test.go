package record

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// Files with tables, views and triggers of another origin are refused before
// any statement of ours touches them.
func TestForeignSchema(t *testing.T) {
	w := newBench(t)
	w.minibus()
	good := w.file()
	for _, statements := range []string{
		`CREATE TRIGGER t AFTER INSERT ON entry BEGIN DELETE FROM entry; END`,
		`CREATE VIEW v AS SELECT * FROM entry`,
		`CREATE TABLE more(a)`,
		`CREATE INDEX i ON entry(bytes)`,
		`DROP INDEX entry_subject`,
		`DROP TABLE entry; CREATE VIEW entry AS SELECT 1 AS id, x'' AS subject, x'' AS identity, x'' AS bytes, x'' AS hashes, x'' AS signature`,
		`ALTER TABLE entry ADD COLUMN extra TEXT`,
	} {
		os.WriteFile(w.o.Path, good, 0o600)
		sql(t, w.o.Path, statements)
		before, _ := os.ReadFile(w.o.Path)
		_, err := Open(context.Background(), w.o)
		var fault *FileError
		if !errors.As(err, &fault) || fault.Class != Foreign {
			t.Errorf("%s: %v", statements, err)
		}
		if after, _ := os.ReadFile(w.o.Path); !bytes.Equal(before, after) {
			t.Errorf("%s: the file was written to", statements)
		}
	}
}

// Files of other kinds are named for what they are, and stay as they are.
func TestNotARecord(t *testing.T) {
	dir := t.TempDir()
	other := filepath.Join(dir, "other.db")
	sql(t, other, "CREATE TABLE customers(name)")
	text := filepath.Join(dir, "job.toml")
	os.WriteFile(text, bytes.Repeat([]byte("[vehicle]\n"), 100), 0o600)
	for _, path := range []string{other, text} {
		before, _ := os.ReadFile(path)
		_, err := Open(context.Background(), Options{Path: path, StateDir: filepath.Join(dir, "state"), Create: true})
		var fault *FileError
		if !errors.As(err, &fault) || fault.Class != NotARecord {
			t.Errorf("%s: %v", path, err)
		}
		if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
			t.Errorf("%s was written to", path)
		}
	}
	_, err := Open(context.Background(), Options{Path: filepath.Join(dir, "none.db"), StateDir: dir})
	var fault *FileError
	if !errors.As(err, &fault) || fault.Class != NoFile {
		t.Errorf("%v", err)
	}
}

// A book that was here and is gone is missed, not started anew.
func TestLostFile(t *testing.T) {
	w := newBench(t)
	w.minibus()
	w.b.Close()
	os.Remove(w.o.Path)
	_, err := Open(context.Background(), w.o)
	var fault *FileError
	if !errors.As(err, &fault) || fault.Class != Lost {
		t.Errorf("%v", err)
	}
}

// A folder on a network is refused unless somebody says otherwise.
func TestNetworkFolder(t *testing.T) {
	w := newBench(t)
	w.b.Close()
	w.o.folderKind = func(string) (string, error) { return "nfs", nil }
	_, err := Open(context.Background(), w.o)
	var fault *FileError
	if !errors.As(err, &fault) || fault.Class != NetworkFolder {
		t.Errorf("%v", err)
	}
	w.o.AllowNetwork = true
	w.open()
}

// Damaged files of any kind end in a report or a plain message: no panic, no
// hang, no write.
func TestMutatedFiles(t *testing.T) {
	w := newBench(t)
	w.minibus()
	good := w.file()
	rng := rand.New(rand.NewPCG(7, 8))
	for i := range counted(t, "mutated files", 10000, 250) {
		bad := bytes.Clone(good)
		for range 1 + rng.IntN(20) {
			at := rng.IntN(len(bad))
			switch rng.IntN(4) {
			case 0:
				bad[at] = byte(rng.Uint32())
			case 1:
				copy(bad[at:], garbage(rng, min(64, len(bad)-at)))
			case 2:
				copy(bad[at:], bad[rng.IntN(len(bad)):])
			case 3:
				bad = bad[:max(1, at)]
			}
		}
		os.WriteFile(w.o.Path, bad, 0o600)
		begin := time.Now()
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		o := w.o
		o.Looking, o.Create = true, false
		if b, err := Open(ctx, o); err == nil {
			b.Verify(ctx)
			b.List(ctx)
			b.Close()
		}
		cancel()
		if took := time.Since(begin); took > 5*time.Second {
			t.Errorf("file %d took %s", i, took)
		}
		if after, _ := os.ReadFile(w.o.Path); !bytes.Equal(after, bad) {
			t.Fatalf("file %d was written to", i)
		}
	}
}
