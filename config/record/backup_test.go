package record

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestBackupAndRestore(t *testing.T) {
	w := newBench(t)
	ctx := context.Background()
	v := w.minibus()
	file := filepath.Join(w.dir, "monday.db")
	if err := w.b.Backup(ctx, Copy{File: file, By: "T.V."}); err != nil {
		t.Fatal(err)
	}
	if err := w.b.Backup(ctx, Copy{File: file, By: "T.V."}); err == nil {
		t.Error("a backup was written over")
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v %v", info.Mode(), err)
	}
	w.record(Draft{Kind: Note, Vehicle: v})
	w.b.Close()
	var loss *LossError
	if _, err := Restore(ctx, w.o, file, Who{By: "T.V."}, false); !errors.As(err, &loss) || loss.Lost != 1 {
		t.Fatalf("an older backup was taken: %v", err)
	}
	got, err := Restore(ctx, w.o, file, Who{By: "T.V."}, true)
	if err != nil || got.Lost != 1 || got.Aside == "" {
		t.Fatalf("%+v %v", got, err)
	}
	w.open()
	if w.b.Origin() != got.Origin {
		t.Errorf("goes on as %s", w.b.Origin())
	}
	if values, err := w.b.Personal(ctx, v); err != nil || len(values) != 4 {
		t.Errorf("personal values after a restore: %v %v", values, err)
	}
	w.record(Draft{Kind: Note, Vehicle: v})
	if r := w.verify(); r.Outcome != Witnessed || len(r.Books) != 2 {
		t.Errorf("%+v", r)
	}
	if h := w.history(v); len(h.Items) != 6 {
		t.Errorf("%d entries", len(h.Items))
	}
}

// A whole backup, with the head at the same place, goes on as the same book.
func TestRestoreOfTheNewest(t *testing.T) {
	w := newBench(t)
	ctx := context.Background()
	v := w.minibus()
	origin := w.b.Origin()
	file := filepath.Join(w.dir, "copy.db")
	if err := w.b.store.(copier).Copy(ctx, file, nil); err != nil {
		t.Fatal(err)
	}
	w.b.Close()
	os.WriteFile(w.o.Path, []byte("the disk ate it"), 0o600)
	if _, err := Open(ctx, w.o); err == nil {
		t.Fatal("opened what is no record")
	}
	got, err := Restore(ctx, w.o, file, Who{By: "T.V."}, false)
	if err != nil || got.Lost != 0 {
		t.Fatalf("%+v %v", got, err)
	}
	w.open()
	w.record(Draft{Kind: Note, Vehicle: v})
	if r := w.verify(); r.Outcome != Witnessed || w.b.Origin() != origin {
		t.Errorf("%+v", r)
	}
}

func TestRestoreRefusesATamperedBackup(t *testing.T) {
	w := newBench(t)
	ctx := context.Background()
	w.minibus()
	file := filepath.Join(w.dir, "copy.db")
	if err := w.b.store.(copier).Copy(ctx, file, nil); err != nil {
		t.Fatal(err)
	}
	sql(t, file, `UPDATE entry SET bytes = CAST(replace(CAST(bytes AS TEXT), 'T.V.', 'X.Y.') AS BLOB) WHERE id & 255 = 2`)
	w.b.Close()
	var flaw *FlawError
	if _, err := Restore(ctx, w.o, file, Who{By: "T.V."}, true); !errors.As(err, &flaw) || flaw.Class != EntryChanged || flaw.N != 2 {
		t.Errorf("%v", err)
	}
	w.open()
	if r := w.verify(); r.Outcome != Witnessed {
		t.Errorf("the record in place was touched: %+v", r)
	}
}

// The key is lost: looking still works, and a new book goes on in the record.
func TestLostKey(t *testing.T) {
	w := newBench(t)
	ctx := context.Background()
	v := w.minibus()
	w.b.Close()
	os.Remove(w.b.state.keyPath(w.b.Origin()))
	var fault *FileError
	if _, err := Open(ctx, w.o); !errors.As(err, &fault) || fault.Class != NoKey {
		t.Fatalf("%v", err)
	}
	o := w.o
	o.Looking = true
	look, err := Open(ctx, o)
	if err != nil {
		t.Fatal(err)
	}
	if a, err := look.Which(ctx, v, nil); err != nil || a.Report.Outcome != Witnessed {
		t.Errorf("%+v %v", a, err)
	}
	look.Close()
	b, err := Renew(ctx, w.o, "T.V.", "the state folder was lost")
	if err != nil {
		t.Fatal(err)
	}
	b.Close()
	w.open()
	w.record(Draft{Kind: Note, Vehicle: v})
	if list, err := w.b.List(ctx); err != nil || len(list) != 1 {
		t.Errorf("%v %v", list, err)
	}
	if r := w.verify(); r.Outcome != Witnessed {
		t.Errorf("%+v", r)
	}
}

// A file of an earlier format is brought forward with a copy put aside; one
// of a later format is refused untouched.
func TestFormats(t *testing.T) {
	w := newBench(t)
	ctx := context.Background()
	w.minibus()
	w.b.Close()
	next := format{version: 3, schema: append(schema[:len(schema):len(schema)],
		schemaObject{"table", "extra", `CREATE TABLE extra(id INTEGER PRIMARY KEY) STRICT`}),
		steps: map[int64]string{2: `CREATE TABLE extra(id INTEGER PRIMARY KEY) STRICT`}}
	open := func(f *format, looking bool) error {
		s, err := OpenSQLite(ctx, SQLiteOptions{Path: w.o.Path, format: f, Looking: looking})
		if err == nil {
			s.Close()
		}
		return err
	}
	class := func(err error) Class {
		var fault *FileError
		errors.As(err, &fault)
		if fault == nil {
			return ""
		}
		return fault.Class
	}
	before, _ := os.ReadFile(w.o.Path)
	if err := open(&next, true); class(err) != OlderVersion {
		t.Errorf("looking at an older file: %v", err)
	}
	bad := next
	bad.steps = map[int64]string{2: `CREATE TABLE extra(id INTEGER PRIMARY KEY) STRICT; INSERT INTO nowhere VALUES(1)`}
	if err := open(&bad, false); err == nil {
		t.Error("a step that fails went through")
	}
	if _, err := os.Stat(w.o.Path + ".before-format-3"); err == nil {
		t.Error("a step that failed left its copy")
	}
	if after, _ := os.ReadFile(w.o.Path); string(after[100:]) != string(before[100:]) {
		t.Error("a step that failed left something behind")
	}
	// What a process that died on the way has left is not written over.
	if err := os.WriteFile(w.o.Path+".before-format-3", before, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := open(&next, false); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(w.o.Path + ".before-format-3-2"); err != nil {
		t.Error("no copy was put aside")
	}
	if err := open(&next, true); err != nil {
		t.Error(err)
	}
	if err := open(nil, false); class(err) != NewerVersion {
		t.Errorf("a newer file: %v", err)
	}
	if err := os.Rename(w.o.Path+".before-format-3-2", w.o.Path); err != nil {
		t.Fatal(err)
	}
	w.open()
	if r := w.verify(); r.Outcome != Witnessed {
		t.Errorf("the copy put aside: %+v", r)
	}
}

// A book of format 1 is looked at as it is, and brought forward by the first
// write, with every entry where it was; two processes at once do it once.
func TestFormat1(t *testing.T) {
	w := newBench(t)
	other := newBenchOf(t, 2)
	v, u := w.minibus(), other.minibus()
	w.imports(other.export(ExportOptions{}), ImportOptions{})
	leaves := func() (all []Digest) {
		for _, id := range []ID{v, u} {
			for _, item := range w.history(id).Items {
				all = append(all, item.Leaf)
			}
		}
		return all
	}
	want := leaves()
	w.b.Close()
	sql(t, w.o.Path, `DROP INDEX entry_subject; CREATE INDEX entry_subject ON entry(subject, identity); PRAGMA user_version=1`)
	look := w.o
	look.Looking = true
	same := func(o Options) {
		t.Helper()
		b, err := Open(context.Background(), o)
		if err != nil {
			t.Fatal(err)
		}
		defer b.Close()
		w.b = b
		if got := leaves(); len(got) != 10 || !slices.Equal(got, want) {
			t.Errorf("%v, was %v", got, want)
		}
		if list, err := b.List(context.Background()); err != nil || len(list) != 2 {
			t.Errorf("%v %v", list, err)
		}
		if r := w.verify(); r.Outcome != Witnessed {
			t.Errorf("%+v", r)
		}
	}
	same(look)
	if left, _ := filepath.Glob(w.o.Path + ".before*"); len(left) > 0 {
		t.Error("looking has changed the file:", left)
	}
	done := make(chan error, 2)
	for range cap(done) {
		go func() {
			b, err := Open(context.Background(), w.o)
			if err == nil {
				err = b.Close()
			}
			done <- err
		}()
	}
	if err := errors.Join(<-done, <-done); err != nil {
		t.Fatal(err)
	}
	if left, _ := filepath.Glob(w.o.Path + ".before*"); len(left) != 1 {
		t.Error("put aside:", left)
	}
	same(w.o)
	same(look)
}

func TestSearchAndCompare(t *testing.T) {
	w := newBench(t)
	ctx := context.Background()
	v := w.minibus()
	var hits []Hit
	visit := func(h Hit) error { hits = append(hits, h); return nil }
	if err := w.b.Search(ctx, Query{Setting: "unlock.steps", Value: "driver-first"}, visit); err != nil || len(hits) != 1 || hits[0].Vehicle != v {
		t.Errorf("%v %v", hits, err)
	}
	hits = nil
	if err := w.b.Search(ctx, Query{Kind: Left, Text: "AS DERIVED", Device: "controller"}, visit); err != nil || len(hits) != 1 {
		t.Errorf("%v %v", hits, err)
	}
	c, err := w.history(v).Compare(Today{Found: readings("unlock.steps", "all", "run.minutes", "10"), Factory: readings("unlock.steps", "all")})
	if err != nil || !c.Differ {
		t.Fatalf("%+v %v", c, err)
	}
	for _, row := range c.Rows {
		if want := row.Setting == "unlock.steps"; row.Differs != want {
			t.Errorf("%+v", row)
		}
		if row.Differs && strings.Join(row.Why, " ") != "as-before lost-power" {
			t.Errorf("%v", row.Why)
		}
	}
	c, err = w.history(v).Compare(Today{Found: readings("run.minutes", "20"), Factory: readings("run.minutes", "20")})
	if err != nil || strings.Join(c.Rows[len(c.Rows)-1].Why, " ") != "lost-power somebodys-hand" {
		t.Errorf("%+v %v", c.Rows, err)
	}
	c, err = w.history(v).Compare(Today{Required: readings("unlock.steps", "all"), Rules: DigestOf([]byte("other rules"))})
	if err != nil || !c.Differ || c.Rows[0].Why[0] != "rules-changed" {
		t.Errorf("%+v %v", c, err)
	}
}

// A record with the journal of a write that was cut off is replaced by a
// backup: the journal must not be played into the backup.
func TestRestoreOverCutOffWrite(t *testing.T) {
	for _, damaged := range []bool{false, true} {
		w := newBench(t)
		ctx := context.Background()
		v := w.minibus()
		file := filepath.Join(w.dir, "monday.db")
		if err := w.b.Backup(ctx, Copy{File: file, By: "T.V."}); err != nil {
			t.Fatal(err)
		}
		s := w.b.store.(*SQLite)
		if err := s.conn.Exec(`PRAGMA cache_size = 1; BEGIN IMMEDIATE; UPDATE entry SET bytes = zeroblob(9000), hashes = zeroblob(9000)`); err != nil {
			t.Fatal(err)
		}
		journal, err := os.ReadFile(w.o.Path + "-journal")
		if err != nil {
			t.Fatal(err)
		}
		torn, _ := os.ReadFile(w.o.Path)
		s.conn.Exec(`ROLLBACK`)
		w.b.Close()
		if damaged {
			torn = []byte("the disk ate it")
		}
		os.WriteFile(w.o.Path, torn, 0o600)
		os.WriteFile(w.o.Path+"-journal", journal, 0o600)
		if _, err := Restore(ctx, w.o, file, Who{By: "T.V."}, false); err != nil {
			t.Fatal(err)
		}
		if _, err := os.Lstat(w.o.Path + "-journal"); err == nil {
			t.Error("a journal lies beside the backup")
		}
		w.open()
		w.record(Draft{Kind: Note, Vehicle: v})
		if r := w.verify(); r.Outcome != Witnessed {
			t.Errorf("damaged %v: %+v", damaged, r)
		}
	}
}

// The frozen book of each format is taken as a backup by today's version.
func TestRestoreOfFrozenBook(t *testing.T) { everyFormat(t, testRestoreOfFrozenBook) }

func testRestoreOfFrozenBook(t *testing.T, format int) {
	frozen := frozenCopy(t, format)
	o := frozen
	o.Path, o.Looking, o.Create = filepath.Join(t.TempDir(), "shop.db"), false, true
	got, err := Restore(context.Background(), o, frozen.Path, Who{By: "T.V."}, false)
	if err != nil || got.Entries != 12 || got.Lost != 0 {
		t.Fatalf("%+v %v", got, err)
	}
	o.Looking = true
	if r := lookAt(t, o); r.Outcome != Witnessed || r.Books[0].Intact != 12 {
		t.Errorf("%+v", r)
	}
}
