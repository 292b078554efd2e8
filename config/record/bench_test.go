package record

import (
	"context"
	"crypto/sha256"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/tlog"
)

// What only this package can reach: rows of an import without its file, and
// the tree by itself. All else is measured in testdata/bench, beside what it
// is compared with. go test -run NONE -bench . ./config/record

func benchOptions(b *testing.B) Options {
	dir := b.TempDir()
	return Options{Path: filepath.Join(dir, "record.db"), StateDir: filepath.Join(dir, "state"), Create: true,
		Random: rand.NewChaCha8([32]byte{1}), Machine: "bay-1", User: "tv", Tool: "asleft bench"}
}

func openBench(b *testing.B, o Options) *Book {
	b.Helper()
	book, err := Open(context.Background(), o)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { book.Close() })
	return book
}

func sampleEntry() []byte {
	e := Entry{Kind: Opened, At: time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC), By: "T.V.", Machine: "bay-1", Tool: "asleft bench",
		Identity: ID{1}, Subject: ID{2}, Reason: "usual service", Data: map[string]string{"text": "reading 1", "keys": "2"}}
	return e.Canonical()
}

const batch = 1000

// BenchmarkRows: a thousand ready entries a commit, hung into the tree and indexed.
func BenchmarkRows(b *testing.B) {
	book := openBench(b, benchOptions(b))
	n := 0
	for b.Loop() {
		if err := appendRows(book, n, batch); err != nil {
			b.Fatal(err)
		}
		n += batch
	}
}

// BenchmarkTree: the Merkle tree of 20 000 entries, beside SHA-256 once over
// each. The goal is 0.56 of it, the next one 0.75.
func BenchmarkTree(b *testing.B) {
	entries := make([][]byte, 20_000)
	for i := range entries {
		entries[i] = sampleEntry()
	}
	b.Run("sha256", func(b *testing.B) {
		for b.Loop() {
			for _, e := range entries {
				sha256.Sum256(e)
			}
		}
	})
	b.Run("tree", func(b *testing.B) {
		leaf := make([]byte, 0, 4096)
		for b.Loop() {
			var tree frontier
			var hashes []tlog.Hash
			for _, e := range entries {
				leaf = append(append(leaf[:0], leafPrefix), e...)
				hashes = tree.push(tlog.Hash(DigestOf(leaf)), hashes)
			}
		}
	})
}

// appendRows hangs ready entries into the tree and stores them with the
// index, as an import does once a line is read.
func appendRows(book *Book, from, count int) error {
	return book.store.Write(context.Background(), func(w Writer) error {
		log, err := benchLog(w)
		if err != nil {
			return err
		}
		tree, err := loadFrontier(w, log, int64(from))
		if err != nil {
			return err
		}
		in := &incoming{Log: Log{ID: log}, tree: *tree, parted: -1}
		e := &importEntry{data: sampleEntry()}
		e.leaf = tlog.RecordHash(e.data)
		for i := range count {
			e.N = int64(from + i)
			e.Subject, e.Identity = ID(sha256Of(i+from)), ID{byte(i), byte(i >> 8)}
			if _, err := in.take(w, e, false); err != nil {
				return err
			}
		}
		return nil
	})
}

func sha256Of(i int) []byte {
	sum := sha256.Sum256([]byte{byte(i), byte(i >> 8), byte(i >> 16), byte(i >> 24)})
	return sum[:16]
}

func benchLog(w Writer) (int64, error) {
	logs, err := w.Logs()
	if err != nil {
		return 0, err
	}
	if len(logs) > 1 {
		return logs[1].ID, nil
	}
	l, err := w.AddLog("asleft-book-bench", "key")
	return l.ID, err
}
