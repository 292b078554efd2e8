package record

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"github.com/ncruces/go-sqlite3"
	"golang.org/x/mod/sumdb/tlog"
)

// Side by side, in one run: go test -run NONE -bench . ./config/record
// ASLEFT_FULL=1 takes a million vehicles where the usual run takes 20 000.

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

func benchDraft(i int) Draft {
	return Draft{Kind: Opened, By: "T.V.", Reason: "usual service", Data: map[string]string{"text": fmt.Sprint("reading ", i), "keys": "2"}}
}

// bareSQLite is a plain table under the shipped pragmas.
func bareSQLite(b *testing.B) *sqlite3.Conn {
	b.Helper()
	conn, err := sqlite3.Open(filepath.Join(b.TempDir(), "bare.db"))
	if err == nil {
		err = conn.Exec(`PRAGMA journal_mode=DELETE; PRAGMA synchronous=EXTRA; CREATE TABLE entry(id INTEGER PRIMARY KEY, bytes BLOB NOT NULL)`)
	}
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { conn.Close() })
	return conn
}

func insertBare(b *testing.B, conn *sqlite3.Conn, entries [][]byte) {
	b.Helper()
	stmt, _, err := conn.Prepare(`INSERT INTO entry(bytes) VALUES(?)`)
	if err != nil {
		b.Fatal(err)
	}
	defer stmt.Close()
	conn.Exec(`BEGIN IMMEDIATE`)
	for _, e := range entries {
		stmt.BindBlob(1, e)
		if err := stmt.Exec(); err != nil {
			b.Fatal(err)
		}
	}
	if err := conn.Exec(`COMMIT`); err != nil {
		b.Fatal(err)
	}
}

func sampleEntry() []byte {
	e := Entry{Kind: Opened, At: time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC), By: "T.V.", Machine: "bay-1", Tool: "asleft bench",
		Identity: ID{1}, Subject: ID{2}, Reason: "usual service", Data: map[string]string{"text": "reading 1", "keys": "2"}}
	return e.Canonical()
}

// BenchmarkAppend: one durable entry a commit. The goal is 0.8 of bare SQLite
// for the database; the head file is another file that is made durable.
func BenchmarkAppend(b *testing.B) {
	b.Run("bare-sqlite", func(b *testing.B) {
		conn := bareSQLite(b)
		for b.Loop() {
			insertBare(b, conn, [][]byte{sampleEntry()})
		}
	})
	for _, head := range []bool{false, true} {
		b.Run(map[bool]string{false: "book", true: "book-and-head-file"}[head], func(b *testing.B) {
			o := benchOptions(b)
			o.noHead = !head
			book := openBench(b, o)
			for i := 0; b.Loop(); i++ {
				if _, err := book.Record(context.Background(), benchDraft(i)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

const batch = 1000

// BenchmarkImport: a thousand entries a commit. The goal is 0.6 of bare SQLite.
func BenchmarkImport(b *testing.B) {
	b.Run("bare-sqlite", func(b *testing.B) {
		conn := bareSQLite(b)
		entries := make([][]byte, batch)
		for i := range entries {
			entries[i] = sampleEntry()
		}
		for b.Loop() {
			insertBare(b, conn, entries)
		}
	})
	b.Run("rows", func(b *testing.B) {
		o := benchOptions(b)
		book := openBench(b, o)
		n := 0
		for b.Loop() {
			if err := appendRows(book, n, batch); err != nil {
				b.Fatal(err)
			}
			n += batch
		}
	})
	b.Run("file", func(b *testing.B) {
		from := openBench(b, benchOptions(b))
		fill(b, from, 0, batch)
		var file bytes.Buffer
		if err := from.Export(context.Background(), &file, ExportOptions{}); err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			b.StopTimer()
			to := openBench(b, benchOptionsOf(b, 2))
			b.StartTimer()
			if _, err := to.Import(context.Background(), bytes.NewReader(file.Bytes()), ImportOptions{By: "T.V."}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func benchOptionsOf(b *testing.B, number byte) Options {
	o := benchOptions(b)
	o.Random = rand.NewChaCha8([32]byte{number})
	return o
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

// fill opens vehicles from number from on, each as found and as left.
func fill(b *testing.B, book *Book, from, count int) {
	b.Helper()
	for done := 0; done < count; {
		n := min(batch, count-done)
		drafts := make([]Draft, 0, n)
		for i := range n {
			d := benchDraft(from + done + i)
			d.Attributes = map[Attribute]string{Fleet: fmt.Sprint("fleet ", from+done+i)}
			d.Documents = []Document{{"plan", fmt.Appendf(nil, `{"rows":[%d]}`, (done+i)%100)}}
			drafts = append(drafts, d)
		}
		if _, err := book.RecordAll(context.Background(), drafts); err != nil {
			b.Fatal(err)
		}
		done += n
	}
}

func vehicles() int {
	if full() {
		return 1_000_000
	}
	return 20_000
}

// BenchmarkVerify: a whole log from the store, beside SHA-256 of the same
// bytes in memory. The goal is 0.45 of it.
func BenchmarkVerify(b *testing.B) {
	book := openBench(b, benchOptions(b))
	fill(b, book, 0, vehicles())
	var entries [][]byte
	size := 0
	book.store.Read(context.Background(), func(r Reader) error {
		return r.Scan(book.own.ID, 0, 1<<30, func(_ int64, row *Row) error {
			entries = append(entries, bytes.Clone(row.Bytes))
			size += len(row.Bytes)
			return nil
		})
	})
	b.Run("sha256", func(b *testing.B) {
		b.SetBytes(int64(size))
		for b.Loop() {
			for _, e := range entries {
				sha256.Sum256(e)
			}
		}
	})
	b.Run("verify", func(b *testing.B) {
		b.SetBytes(int64(size))
		for b.Loop() {
			if r, err := book.Verify(context.Background()); err != nil || r.Outcome != Witnessed {
				b.Fatal(err, r)
			}
		}
	})
}

// BenchmarkWhich: look a vehicle up, verify its entries and the head. The
// goal is 1.1 between the two.
func BenchmarkWhich(b *testing.B) {
	for _, n := range []int{1000, vehicles()} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			o := benchOptions(b)
			book := openBench(b, o)
			fill(b, book, 0, n)
			book.Close()
			o.Looking = true
			for i := 0; b.Loop(); i++ {
				look, err := Open(context.Background(), o)
				if err != nil {
					b.Fatal(err)
				}
				v, err := look.Vehicle(context.Background(), fmt.Sprint("fleet ", i*7919%n), Looking)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := look.Which(context.Background(), v); err != nil {
					b.Fatal(err)
				}
				look.Close()
			}
		})
	}
}

// BenchmarkExport: memory stays flat while a book is written out.
func BenchmarkExport(b *testing.B) {
	book := openBench(b, benchOptions(b))
	fill(b, book, 0, 5000)
	for b.Loop() {
		if err := book.Export(context.Background(), io.Discard, ExportOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
