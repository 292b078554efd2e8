package bench

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/mod/sumdb/tlog"

	"asleft/config/record"
)

var ctx = context.Background()

// BenchmarkRecordAppend writes one durable entry a commit, hashed and indexed. The goal, 0.8 of the bare
// table, is about the database; the head file is a witness outside it and costs a rename and a sync
// of its own after the commit, so it is told apart: with its folder in memory, and as shipped.
func BenchmarkRecordAppend(b *testing.B) {
	conn := bareTable(b)
	inMemory, _ := openBook(b, 1, memoryFolder(b))
	shipped, _ := openBook(b, 2, "")
	var c contest
	row := bytes.Repeat([]byte("entry "), 60)
	for i := 0; b.Loop(); i++ {
		c.time(b, "bare-sqlite", func() error { return insertBare(conn, [][]byte{row}) })
		c.time(b, "book-head-in-memory", func() error { _, err := inMemory.Record(ctx, note(i)); return err })
		c.time(b, "book-as-shipped", func() error { _, err := shipped.Record(ctx, note(i)); return err })
	}
	c.report(b)
}

// exported makes a file of another laptop's book and the entries in it.
func exported(b *testing.B, number byte, vehicles int) (file []byte, entries [][]byte) {
	b.Helper()
	book, _ := openBook(b, number, memoryFolder(b))
	fill(b, book, int(number)<<20, int(number)<<20+vehicles, func(i int) []record.Draft { return life(i, []byte(`{"rows":[]}`)) })
	var out bytes.Buffer
	if err := book.Export(ctx, &out, record.ExportOptions{}); err != nil {
		b.Fatal(err)
	}
	return out.Bytes(), entriesOf(b, out.Bytes())
}

func entriesOf(b *testing.B, file []byte) (entries [][]byte) {
	b.Helper()
	for line := range bytes.Lines(file) {
		var l struct{ Line, Entry string }
		if err := json.Unmarshal(line, &l); err != nil {
			b.Fatal(err)
		}
		if l.Line == "entry" {
			entries = append(entries, []byte(l.Entry))
		}
	}
	return entries
}

const batch = 1000

// BenchmarkRecordImport takes other laptops' books in, each file checked and in one commit, beside the
// same entries put into the bare table a thousand a commit. The goal is 0.6.
func BenchmarkRecordImport(b *testing.B) {
	for _, size := range []struct {
		name    string
		entries int
		rounds  int
	}{{"1000-entries", 1000, 21}, {"20000-entries", 20_000, 7}} {
		b.Run(size.name, func(b *testing.B) {
			conn := bareTable(b)
			book, _ := openBook(b, 200, "")
			var files, rows [][][]byte
			for i := range size.rounds {
				file, entries := exported(b, byte(i+1), size.entries/len(life(0, nil)))
				files, rows = append(files, [][]byte{file}), append(rows, entries)
			}
			var c contest
			for i := range size.rounds {
				c.time(b, "bare-sqlite", func() error {
					for from := 0; from < len(rows[i]); from += batch {
						if err := insertBare(conn, rows[i][from:min(from+batch, len(rows[i]))]); err != nil {
							return err
						}
					}
					return nil
				})
				c.time(b, "import", func() error {
					_, err := book.Import(ctx, bytes.NewReader(files[i][0]), record.ImportOptions{By: "T.V."})
					return err
				})
			}
			c.report(b)
		})
	}
}

// BenchmarkRecordVerify reads a whole log from the store, beside SHA-256 once over the same entries in
// memory, and a Merkle tree built from them by tlog. The goal is 0.45 of SHA-256, the next one 0.6.
func BenchmarkRecordVerify(b *testing.B) {
	book, _ := openBook(b, 1, "")
	fill(b, book, 0, vehicles()/5, func(i int) []record.Draft { return life(i, []byte(`{"rows":[]}`)) })
	path := filepath.Join(b.TempDir(), "export")
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	if err := book.Export(ctx, f, record.ExportOptions{}); err != nil {
		b.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		b.Fatal(err)
	}
	entries := entriesOf(b, data)
	var c contest
	for b.Loop() {
		c.time(b, "sha256", func() error {
			for _, e := range entries {
				sha256.Sum256(e)
			}
			return nil
		})
		c.time(b, "verify", func() error {
			r, err := book.Verify(ctx)
			if err == nil && r.Outcome != record.Witnessed {
				b.Fatal(r.Flaws)
			}
			return err
		})
		c.time(b, "tlog-tree", func() error { return buildTree(entries) })
	}
	c.report(b)
}

// buildTree is the tree of the same entries, by the library alone.
func buildTree(entries [][]byte) error {
	var stored hashes
	for i, e := range entries {
		more, err := tlog.StoredHashesForRecordHash(int64(i), tlog.RecordHash(e), stored)
		if err != nil {
			return err
		}
		stored = append(stored, more...)
	}
	_, err := tlog.TreeHash(int64(len(entries)), stored)
	return err
}

type hashes []tlog.Hash

func (h hashes) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, index := range indexes {
		out[i] = h[index]
	}
	return out, nil
}
