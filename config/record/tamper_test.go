package record

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"golang.org/x/mod/sumdb/tlog"

	"asleft/config/source"
)

// look verifies the file as it is now, without touching it. A file that is
// refused as a whole is a flaw too.
func (w *bench) look(against ...Witness) (*Report, error) {
	o := w.o
	o.Looking, o.Create = true, false
	b, err := Open(context.Background(), o)
	if err != nil {
		return nil, err
	}
	defer b.Close()
	return b.Verify(context.Background(), against...)
}

// tampered puts the file back as it was, changes it, and looks.
func (w *bench) tampered(good []byte, statements string) *Report {
	w.t.Helper()
	if err := os.WriteFile(w.o.Path, good, 0o600); err != nil {
		w.t.Fatal(err)
	}
	sql(w.t, w.o.Path, statements)
	r, err := w.look()
	if err != nil {
		return &Report{Outcome: Flawed, Flaws: []Flaw{{Class: FileDamaged, N: -1, Text: err.Error()}}}
	}
	return r
}

func (w *bench) file() []byte {
	w.t.Helper()
	w.b.Close()
	data, err := os.ReadFile(w.o.Path)
	if err != nil {
		w.t.Fatal(err)
	}
	return data
}

// Whoever edits the file by SQL is found, and the entry is named.
func TestEditedBySQL(t *testing.T) {
	w := newBench(t)
	w.minibus()
	v := w.minibus()
	w.record(Draft{Kind: Fitted, Vehicle: v, Secrets: map[string]string{"override-code": "4711-0815"}})
	good := w.file()
	const third = "(1 << 40) + 2"
	for _, c := range []struct {
		what, sql string
		class     FlawClass
		n         int64
	}{
		{"edited", "UPDATE entry SET bytes = CAST(replace(CAST(bytes AS TEXT), '12.4', '12.9') AS BLOB) WHERE id = " + third, EntryChanged, 2},
		{"deleted", "DELETE FROM entry WHERE id = " + third, EntryMissing, 2},
		{"end cut off", "DELETE FROM entry WHERE id > " + third, RolledBack, 3},
		{"swapped", "UPDATE entry SET id = -1 WHERE id = " + third + "; UPDATE entry SET id = " + third + " WHERE id = " + third + " + 1; UPDATE entry SET id = " + third + " + 1 WHERE id = -1", EntryMoved, 2},
		{"inserted", "INSERT INTO entry SELECT (1 << 40) + 11, subject, identity, bytes, hashes, signature FROM entry WHERE id = " + third, EntryMoved, 11},
		{"filed under another vehicle", "UPDATE entry SET subject = randomblob(16) WHERE id = " + third, IndexChanged, 2},
		{"filed under another identity", "UPDATE entry SET identity = randomblob(16) WHERE id = " + third, IndexChanged, 2},
		{"tree edited", "UPDATE entry SET hashes = CAST(substr(hashes, 1, 32) || zeroblob(32) AS BLOB) WHERE id = (1 << 40) + 1", HashChanged, 1},
		{"signature gone", "UPDATE entry SET signature = NULL WHERE id = (1 << 40) + 10", Unsigned, 10},
		{"document edited", "UPDATE document SET bytes = CAST('other' AS BLOB) WHERE id = (SELECT max(id) FROM document)", DocumentChanged, -1},
		{"document gone", "DELETE FROM document WHERE id = 1", DocumentMissing, 1},
		{"sealed value edited", "UPDATE beside SET value = randomblob(80) WHERE kind = 'sealed.personal' AND value = (SELECT min(value) FROM beside WHERE kind = 'sealed.personal')", ValueChanged, -1},
		{"sealed value deleted", "DELETE FROM beside WHERE kind = 'sealed.personal' AND value = (SELECT min(value) FROM beside WHERE kind = 'sealed.personal')", ValueMissing, -1},
		{"a vehicle's sealed values deleted with their key", "DELETE FROM beside WHERE kind IN ('sealed.personal', 'key.personal')", ValueMissing, 0},
		{"sealed secret deleted", "DELETE FROM beside WHERE kind LIKE '%.secret'", ValueMissing, 10},
	} {
		r := w.tampered(good, c.sql)
		fits := func(f Flaw) bool { return f.Class == c.class && (f.N == c.n || c.n < 0) }
		if r.Outcome != Flawed || !slices.ContainsFunc(r.Flaws, fits) {
			t.Errorf("%s: %s %v; want %s at %d", c.what, r.Outcome, r.Flaws, c.class, c.n)
		}
	}
}

// Each entry in turn, and random pairs, deleted, changed or moved.
func TestEveryEntryEdited(t *testing.T) {
	w := newBench(t)
	for i := range 24 {
		w.record(Draft{Kind: Opened, Data: map[string]string{"text": fmt.Sprint("entry ", i)}})
	}
	good := w.file()
	rng := rand.New(rand.NewPCG(3, 4))
	edits := []string{
		"DELETE FROM entry WHERE id = (1 << 40) + %[1]d",
		"UPDATE entry SET bytes = CAST(bytes || x'20' AS BLOB) WHERE id = (1 << 40) + %[1]d",
		"UPDATE entry SET bytes = (SELECT bytes FROM entry WHERE id = (1 << 40) + (%[1]d + 1) %% 24) WHERE id = (1 << 40) + %[1]d",
		"UPDATE entry SET id = -1 WHERE id = (1 << 40) + %[1]d; UPDATE entry SET id = (1 << 40) + %[1]d WHERE id = (1 << 40) + (%[1]d + %[2]d) %% 24; UPDATE entry SET id = (1 << 40) + (%[1]d + %[2]d) %% 24 WHERE id = -1",
		"UPDATE entry SET id = -id WHERE id > (1 << 40) + %[1]d; UPDATE entry SET id = 1 - id WHERE id < 0; INSERT INTO entry SELECT (1 << 40) + %[1]d + 1, subject, identity, bytes, hashes, signature FROM entry WHERE id = (1 << 40) + %[2]d %% (%[1]d + 1)",
		"DELETE FROM entry WHERE id IN ((1 << 40) + %[1]d, (1 << 40) + (%[1]d + %[2]d) %% 24)",
		"UPDATE entry SET bytes = CAST(replace(CAST(bytes AS TEXT), 'entry %[1]d\"', 'entry %[2]d.\"') AS BLOB) WHERE id = (1 << 40) + %[1]d",
		"UPDATE entry SET (bytes, hashes, subject, identity, signature) = (SELECT bytes, hashes, subject, identity, signature FROM entry WHERE id = (1 << 40) + (%[1]d + %[2]d) %% 24) WHERE id = (1 << 40) + %[1]d",
	}
	for n := range counted(t, "edits", 1000, 96) {
		edit := fmt.Sprintf(edits[n%len(edits)], n/len(edits)%24, 1+rng.IntN(22))
		if r := w.tampered(good, edit); r.Outcome != Flawed {
			t.Errorf("not found: %s", edit)
		}
	}
}

// Each entry in turn is replaced and everything hashed again, as somebody
// without the key could: the signature says so, and from which entry on.
func TestRehashed(t *testing.T) {
	w := newBench(t)
	const entries = 20
	for i := range entries {
		w.record(Draft{Kind: Opened, Data: map[string]string{"text": fmt.Sprint("entry ", i)}})
	}
	os.Remove(w.b.state.headPath(w.b.Origin())) // not even the witness is there
	good := w.file()
	for bad := range int64(entries) {
		os.WriteFile(w.o.Path, good, 0o600)
		rehash(t, w.o.Path, bad)
		r, err := w.look()
		if err != nil || r.Outcome != Flawed || r.Flaws[0].Class != Rewritten || r.Flaws[0].N != bad {
			t.Errorf("entry %d: %+v %v", bad, r, err)
		}
	}
}

// rehash replaces an entry and writes the hashes of the whole tree anew.
func rehash(t *testing.T, path string, bad int64) {
	t.Helper()
	s, err := OpenSQLite(context.Background(), SQLiteOptions{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.Write(context.Background(), func(Writer) error {
		view := sqliteTxn{sqliteView{s: s}}
		tree := &frontier{}
		var rows []Row
		view.Scan(1, 0, 1<<20, func(n int64, r *Row) error { rows = append(rows, r.clone()); return nil })
		for n, row := range rows {
			if int64(n) == bad {
				row.Bytes = bytes.Replace(row.Bytes, []byte(`"by":"T.V."`), []byte(`"by":"X.Y."`), 1)
			}
			hashes := joinHashes(tree.push(tlog.RecordHash(row.Bytes), nil))
			if err := view.exec(`UPDATE entry SET bytes = ?, hashes = ? WHERE id = ?`, row.Bytes, hashes, rowNumber(1, int64(n))); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Every earlier state of the file, put back, is found by the head file and by
// a sheet's code; without both, the record says that nobody can tell.
func TestOldCopiesPutBack(t *testing.T) {
	w := newBench(t)
	var copies [][]byte
	var code string
	for range 12 {
		w.record(Draft{Kind: Opened})
		data, err := os.ReadFile(w.o.Path)
		if err != nil {
			t.Fatal(err)
		}
		copies = append(copies, data)
		c, _ := w.b.Checkpoint(context.Background())
		code = SheetCode(c.Head)
	}
	sheet, err := w.b.CodeWitness(context.Background(), code)
	if err != nil {
		t.Fatal(err)
	}
	head := w.b.state.headPath(w.b.Origin())
	w.b.Close()
	for i, old := range copies[:11] {
		os.WriteFile(w.o.Path, old, 0o600)
		gone := source.Counted(int64(11-i), "is", "are") + " gone"
		r, err := w.look()
		if err != nil || r.Outcome != Flawed || r.Flaws[0].Class != RolledBack || !bytes.Contains([]byte(r.Flaws[0].Text), []byte(gone)) {
			t.Errorf("head file, copy %d: %+v %v", i, r, err)
		}
		kept, _ := os.ReadFile(head)
		os.Remove(head)
		if r, err := w.look(); err != nil || r.Outcome != Unwitnessed {
			t.Errorf("no witness, copy %d: %+v %v", i, r, err)
		}
		if r, err := w.look(sheet); err != nil || r.Outcome != Flawed || r.Flaws[0].Class != RolledBack {
			t.Errorf("sheet code, copy %d: %+v %v", i, r, err)
		}
		os.WriteFile(head, kept, 0o600)
	}
	b, err := Open(context.Background(), w.o)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if _, err := b.Record(context.Background(), Draft{Kind: Opened, By: "T.V."}); err == nil {
		t.Error("a rolled back record was written on")
	}
}

// The end of a record is cut off, and the only witness taken away with it. The
// next write says so in the record for good: no head file that is made anew
// makes it a witnessed one. A sheet finds the cut; a new book ends the doubt.
func TestWitnessLost(t *testing.T) {
	w := newBench(t)
	var copies [][]byte
	var code string
	for range 4 {
		w.record(Draft{Kind: Opened})
		data, _ := os.ReadFile(w.o.Path)
		copies = append(copies, data)
		c, _ := w.b.Checkpoint(context.Background())
		code = SheetCode(c.Head)
	}
	sheet, err := w.b.CodeWitness(context.Background(), code)
	if err != nil {
		t.Fatal(err)
	}
	w.b.Close()
	os.WriteFile(w.o.Path, copies[1], 0o600)
	os.Remove(w.b.state.headPath(w.b.Origin()))
	if r, err := w.look(); err != nil || r.Outcome != Unwitnessed {
		t.Fatalf("without the head file: %+v %v", r, err)
	}
	w.open()
	if r := w.record(Draft{Kind: Opened, Identity: ID{7}}); r.N != 3 || r.Identity != (ID{7}) {
		t.Errorf("the entry after the one that tells of the loss: %+v", r)
	}
	w.record(Draft{Kind: Opened})
	r := w.verify()
	if r.Outcome != Unwitnessed || r.Books[0].HeadLost != 2 || r.Books[0].Intact != 5 {
		t.Errorf("a head file made anew is taken for a witness: %+v", r)
	}
	if r := w.verify(sheet); r.Outcome != Flawed || r.Flaws[0].Class != Forked {
		t.Errorf("the sheet does not find the cut: %+v", r)
	}
	w.b.Close()
	b, err := Renew(context.Background(), w.o, "T.V.", "head file lost")
	if err != nil {
		t.Fatal(err)
	}
	b.Close()
	w.open()
	if r := w.verify(); r.Outcome != Witnessed {
		t.Errorf("in the new book: %+v", r)
	}
}

// A log rebuilt with the stolen key from any entry on is found by any witness
// of a later state, and by no earlier one: that is what a witness is worth.
func TestRebuiltWithStolenKey(t *testing.T) {
	w := newBenchOf(t, 1)
	const entries = 6
	var forgers []*bench
	var heads []Head
	for n := range entries {
		forger := newBenchOf(t, byte(10+n))
		copyBook(t, w, forger) // it has the first n entries, and the key
		forgers = append(forgers, forger)
		w.record(Draft{Kind: Opened, Data: map[string]string{"text": "true"}})
		c, _ := w.b.Checkpoint(context.Background())
		heads = append(heads, c.Head)
	}
	for from, forger := range forgers {
		for range entries - from + 1 {
			forger.record(Draft{Kind: Opened, Data: map[string]string{"text": "false"}})
		}
		if r := forger.verify(); r.Outcome != Witnessed {
			t.Errorf("the forger's own head must fit: %+v", r)
		}
		for _, head := range heads {
			r := forger.verify(Witness{"sheet", head, codeBits})
			found := r.Outcome == Flawed && r.Flaws[0].Class == Forked
			if want := head.Size > int64(from); found != want {
				t.Errorf("rebuilt from entry %d, witness of %d entries: found %v", from, head.Size, found)
			}
		}
	}
}

// Bits of the file are turned over one by one. What changes the content is a
// flaw or a refusal; the rest of the file is slack that means nothing.
func TestEveryBit(t *testing.T) {
	w := newBench(t)
	w.minibus()
	want := w.verify()
	good := w.file()
	content, rows := w.content(), w.rows()
	bits := 8 * len(good)
	missed, tried, flawed, refused := 0, 0, 0, 0
	part, parts := part(t)
	step := max(1, bits/counted(t, "bits", bits, 350)) * parts
	for bit := part * step / parts; bit < bits; bit += step {
		tried++
		bad := bytes.Clone(good)
		bad[bit/8] ^= 1 << (bit % 8)
		os.WriteFile(w.o.Path, bad, 0o600)
		r, err := w.look()
		if err != nil {
			refused++
			continue
		}
		if r.Outcome == Flawed {
			flawed++
			w.namedByEntry(bit, rows, r)
			continue
		}
		if got := w.content(); got != content || r.Books[0].Root != want.Books[0].Root {
			missed++
			t.Errorf("bit %d changed the content and was not found", bit)
		}
		if missed > 10 {
			t.FailNow()
		}
	}
	t.Logf("%d of %d bits: %d flaws, %d files refused, %d that mean nothing", tried, bits, flawed, refused, tried-flawed-refused)
}

// namedByEntry wants each entry whose bytes are not what they were among the flaws, unless the
// database itself is damaged so that it cannot be read on.
func (w *bench) namedByEntry(bit int, good map[int64]string, r *Report) {
	w.t.Helper()
	if slices.ContainsFunc(r.Flaws, func(f Flaw) bool { return f.Class == FileDamaged }) {
		return
	}
	for n, data := range w.rows() {
		if was, there := good[n]; there && was != data && !slices.ContainsFunc(r.Flaws, func(f Flaw) bool { return f.N == n }) {
			w.t.Errorf("bit %d: entry %d was changed and is not named: %v", bit, n, r.Flaws)
		}
	}
}

// rows are the bytes of the entries, as far as they can be read.
func (w *bench) rows() map[int64]string {
	out := map[int64]string{}
	s, err := OpenSQLite(context.Background(), SQLiteOptions{Path: w.o.Path, Looking: true})
	if err != nil {
		return out
	}
	defer s.Close()
	s.Read(context.Background(), func(r Reader) error {
		return r.Scan(1, 0, 1<<30, func(n int64, row *Row) error { out[n] = string(row.Bytes); return nil })
	})
	return out
}

// content is everything that the log says, as one digest.
func (w *bench) content() Digest {
	s, err := OpenSQLite(context.Background(), SQLiteOptions{Path: w.o.Path, Looking: true})
	if err != nil {
		return Digest{}
	}
	defer s.Close()
	var all bytes.Buffer
	s.Read(context.Background(), func(r Reader) error {
		r.Scan(1, 0, 1<<30, func(n int64, row *Row) error {
			fmt.Fprint(&all, n, row.Subject, row.Identity)
			all.Write(row.Bytes)
			return nil
		})
		return r.Documents(func(d Digest, data []byte) error { all.Write(d[:]); all.Write(data); return nil })
	})
	return DigestOf(all.Bytes())
}
