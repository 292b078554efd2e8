package bench

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/ncruces/go-sqlite3"

	"asleft/config/record"
	"asleft/config/setting"
)

// The record is measured through what it exports alone; the other side is a table of plain bytes on
// the same driver with the pragmas that the record sets.

const samePragmas = `PRAGMA cell_size_check=ON; PRAGMA mmap_size=0; PRAGMA temp_store=MEMORY; PRAGMA secure_delete=ON;
	PRAGMA journal_mode=DELETE; PRAGMA synchronous=EXTRA`

func bareTable(b *testing.B) *sqlite3.Conn {
	b.Helper()
	conn, err := sqlite3.Open(filepath.Join(b.TempDir(), "bare.db"))
	if err == nil {
		err = conn.Exec(samePragmas + `; CREATE TABLE entry(id INTEGER PRIMARY KEY, bytes BLOB NOT NULL)`)
	}
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { conn.Close() })
	return conn
}

// insertBare writes rows in one commit.
func insertBare(conn *sqlite3.Conn, rows [][]byte) error {
	if err := conn.Exec(`BEGIN IMMEDIATE`); err != nil {
		return err
	}
	stmt, _, err := conn.Prepare(`INSERT INTO entry(bytes) VALUES(?)`)
	if err != nil {
		return err
	}
	defer stmt.Close()
	for _, row := range rows {
		if err := stmt.BindBlob(1, row); err != nil {
			return err
		}
		if err := stmt.Exec(); err != nil {
			return err
		}
	}
	return conn.Exec(`COMMIT`)
}

// openBook starts a book; state is the folder of its head file, "" for one beside nothing else.
func openBook(b *testing.B, number byte, state string) (*record.Book, record.Options) {
	b.Helper()
	dir := b.TempDir()
	if state == "" {
		state = filepath.Join(dir, "state")
	}
	o := record.Options{Path: filepath.Join(dir, "shop.book"), StateDir: state, Create: true,
		Random: rand.NewChaCha8([32]byte{number}), Machine: "bay-1", User: "tv", Tool: "asleft bench"}
	book, err := record.Open(context.Background(), o)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { book.Close() })
	return book, o
}

// memoryFolder is a folder whose syncs cost nothing, where the system has one.
func memoryFolder(b *testing.B) string {
	if runtime.GOOS != "linux" {
		return ""
	}
	dir, err := os.MkdirTemp("/dev/shm", "asleft-bench-")
	if err != nil {
		return ""
	}
	b.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

func note(i int) record.Draft {
	return record.Draft{Kind: record.Opened, By: "T.V.", Reason: "usual service",
		Data: map[string]string{"text": fmt.Sprint("reading ", i), "keys": "2"}}
}

// life is what a vehicle leaves in the record: opened with a fleet number, found, measured, left with its plan, handed over.
func life(i int, plan []byte) []record.Draft {
	settings := func(value setting.Value) *setting.Snapshot {
		return &setting.Snapshot{Readings: []setting.Reading{{Key: setting.Key{Device: "controller", Setting: "unlock.steps"},
			Value: value, Status: setting.StatusKnown, Origin: setting.OriginRead}}}
	}
	id := func(part byte) (id record.ID) {
		rng := rand.NewChaCha8([32]byte{part, byte(i), byte(i >> 8), byte(i >> 16), byte(i >> 24)})
		rng.Read(id[:])
		return id
	}
	vehicle := id(0)
	return []record.Draft{
		{Kind: record.Opened, Vehicle: vehicle, By: "T.V.", Attributes: map[record.Attribute]string{record.Fleet: fmt.Sprint("fleet ", i)}},
		{Kind: record.Found, Vehicle: vehicle, By: "T.V.", Snapshot: settings("all")},
		{Kind: record.Measured, Vehicle: vehicle, By: "T.V.", Data: map[string]string{"text": fmt.Sprint("battery 12.6 V, reading ", i)}},
		{Kind: record.Left, Vehicle: vehicle, By: "T.V.", Snapshot: settings("driver-first"), Documents: []record.Document{{Role: "plan", Bytes: plan}}},
		{Kind: record.HandedOver, Vehicle: vehicle, By: "M.O.", Data: map[string]string{"sheet": fmt.Sprint("sheet ", i)}},
	}
}

// fill records the lives of vehicles, some thousand entries a commit.
func fill(b *testing.B, book *record.Book, from, to int, lives func(i int) []record.Draft) {
	b.Helper()
	const commit = 20_000
	var drafts []record.Draft
	for i := from; i < to; i++ {
		if drafts = append(drafts, lives(i)...); len(drafts) < commit && i+1 < to {
			continue
		}
		if _, err := book.RecordAll(context.Background(), drafts); err != nil {
			b.Fatal(err)
		}
		drafts = drafts[:0]
	}
}

// full reports whether the largest sizes were asked for.
func full() bool { return os.Getenv("ASLEFT_FULL") == "1" }

func vehicles() int {
	if full() {
		return 1_000_000
	}
	return 20_000
}
