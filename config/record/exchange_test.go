package record

import (
	"bytes"
	"context"
	"errors"
	"os"
	"slices"
	"strings"
	"testing"
)

func (w *bench) export(o ExportOptions) []byte {
	w.t.Helper()
	var file bytes.Buffer
	if err := w.b.Export(context.Background(), &file, o); err != nil {
		w.t.Fatal(err)
	}
	return file.Bytes()
}

func (w *bench) imports(file []byte, o ImportOptions) *Imported {
	w.t.Helper()
	o.By, o.Name = "T.V.", "book"
	in, err := w.b.Import(context.Background(), bytes.NewReader(file), o)
	if err != nil {
		w.t.Fatal(err)
	}
	return in
}

func (w *bench) history(v ID) *History {
	w.t.Helper()
	h, err := w.b.History(context.Background(), v)
	if err != nil {
		w.t.Fatal(err)
	}
	return h
}

// Two technicians work on one vehicle at once on two laptops: both histories
// come out the same, and say that neither knew of the other.
func TestTwoLaptops(t *testing.T) {
	a, b := newBenchOf(t, 1), newBenchOf(t, 2)
	ctx := context.Background()
	v := a.minibus()
	in := b.imports(a.export(ExportOptions{Personal: true}), ImportOptions{})
	if len(in.Books) != 1 || in.Books[0].New != 5 {
		t.Fatalf("%+v", in.Books)
	}
	if m, err := b.b.Vehicle(ctx, "TH 04 QC", Writing); err != nil || m != v {
		t.Fatalf("not found on the other laptop: %v %v", m, err)
	}
	onA := a.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": "on a"}})
	onB := b.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": "on b"}})
	b.imports(a.export(ExportOptions{}), ImportOptions{})
	a.imports(b.export(ExportOptions{}), ImportOptions{})
	ha, hb := a.history(v), b.history(v)
	order := func(h *History) []ID {
		var ids []ID
		for _, item := range h.Items {
			ids = append(ids, item.Identity)
		}
		return ids
	}
	if !slices.Equal(order(ha), order(hb)) || len(ha.Items) != 7 {
		t.Errorf("%v\n%v", order(ha), order(hb))
	}
	if item := ha.Find(onA.Identity); len(item.Concurrent) != 1 || item.Concurrent[0] != onB.Identity {
		t.Errorf("concurrent: %v", item.Concurrent)
	}
	for _, w := range []*bench{a, b} {
		if r := w.verify(); r.Outcome != Witnessed || len(r.Books) != 2 {
			t.Errorf("%+v", r)
		}
	}
	after := b.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": "knows both"}})
	if item := b.history(v).Find(after.Identity); len(item.Concurrent) != 0 {
		t.Errorf("it knew both: %v", item.Concurrent)
	}
}

// Without values, laptops that share a joining key still see that two
// subjects are one vehicle; without the key they do not.
func TestJoinedByKeyedHash(t *testing.T) {
	a, b := newBenchOf(t, 1), newBenchOf(t, 2)
	ctx := context.Background()
	va, vb := a.minibus(), b.minibus()
	b.imports(a.export(ExportOptions{}), ImportOptions{})
	if h := b.history(vb); len(h.Subjects) != 1 {
		t.Errorf("joined without a shared key: %v", h.Subjects)
	}
	if err := b.b.AdoptJoiningKey(ctx, a.b.JoiningKey()); err != nil {
		t.Fatal(err)
	}
	if m, err := b.b.Vehicle(ctx, "TH04QC", Writing); err != nil || m == va && m == vb {
		t.Errorf("after filing anew: %v %v", m, err)
	}
	a.record(Draft{Kind: Note, Vehicle: va})
	b.imports(a.export(ExportOptions{}), ImportOptions{})
	c := newBenchOf(t, 3)
	if err := c.b.AdoptJoiningKey(ctx, a.b.JoiningKey()); err != nil {
		t.Fatal(err)
	}
	vc := c.minibus()
	c.imports(a.export(ExportOptions{}), ImportOptions{})
	if h := c.history(vc); len(h.Subjects) != 2 || !slices.Contains(h.Subjects, va) {
		t.Errorf("not joined: %v", h.Subjects)
	}
}

// A vehicle erased on one laptop is erased on the other when they meet, and
// does not come back from an older export.
func TestErasureTravels(t *testing.T) {
	a, b := newBenchOf(t, 1), newBenchOf(t, 2)
	ctx := context.Background()
	v := a.minibus()
	old := a.export(ExportOptions{Personal: true})
	b.imports(old, ImportOptions{})
	if _, err := a.b.Erase(ctx, Erase{Vehicle: v, By: "T.V.", Reason: "asked"}); err != nil {
		t.Fatal(err)
	}
	b.imports(a.export(ExportOptions{Personal: true}), ImportOptions{})
	b.imports(old, ImportOptions{})
	if values, err := b.b.Personal(ctx, v); err != nil || len(values) != 0 {
		t.Errorf("%v %v", values, err)
	}
	if m, _ := b.b.Matches(ctx, "TH04QC", Looking); len(m) != 0 {
		t.Errorf("still found: %v", m)
	}
}

// A copy of a book that goes its own way is found when the two meet, and the
// proof of it needs neither.
func TestForkIsFound(t *testing.T) {
	a, other, b := newBenchOf(t, 1), newBenchOf(t, 9), newBenchOf(t, 2)
	v := a.minibus()
	copyBook(t, a, other)
	for range 3 {
		a.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": "here"}})
		other.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": "there"}})
	}
	other.record(Draft{Kind: Note, Vehicle: v})
	b.imports(a.export(ExportOptions{}), ImportOptions{})
	in, err := b.b.Import(context.Background(), bytes.NewReader(other.export(ExportOptions{})), ImportOptions{By: "T.V.", Name: "x"})
	var flaw *FlawError
	if !errors.As(err, &flaw) || flaw.Class != Forked || flaw.N != 5 || len(in.Proofs) != 1 {
		t.Fatalf("%+v %v", in, err)
	}
	p, err := CheckForkProof(bytes.NewReader(in.Proofs[0]), "proof")
	if err != nil || p.N != 5 || p.A.Size != 8 || p.B.Size != 9 || p.Key != a.b.PublicKey() {
		t.Errorf("%+v %v", p, err)
	}
	proof := in.Proofs[0]
	for i := 0; i < len(proof); i += every(len(proof), 300) {
		changed := bytes.Clone(proof)
		changed[i] ^= 1
		if _, err := CheckForkProof(bytes.NewReader(changed), "proof"); err == nil {
			t.Errorf("byte %d (%q) does not count", i, proof[i])
		}
	}
	if r := b.verify(); r.Outcome != Witnessed {
		t.Errorf("nothing was to be taken: %+v", r)
	}
	_, err = a.b.Import(context.Background(), bytes.NewReader(other.export(ExportOptions{})), ImportOptions{By: "T.V.", Name: "x"})
	if !errors.As(err, &flaw) || flaw.Class != Forked {
		t.Errorf("the book itself does not see its fork: %v", err)
	}
}

func copyBook(t *testing.T, from, to *bench) {
	t.Helper()
	to.b.Close()
	if err := os.RemoveAll(to.dir); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(to.dir, os.DirFS(from.dir)); err != nil {
		t.Fatal(err)
	}
	keys, _ := os.ReadDir(to.o.StateDir)
	for _, f := range keys {
		os.Chmod(to.o.StateDir+"/"+f.Name(), 0o600)
	}
	to.open()
}

// Another laptop remembers what a rolled back book has lost, says so, and can
// give it back.
func TestOtherBookIsWitness(t *testing.T) {
	a, b, old := newBenchOf(t, 1), newBenchOf(t, 2), newBenchOf(t, 9)
	v := a.minibus()
	copyBook(t, a, old)
	for range 3 {
		a.record(Draft{Kind: Note, Vehicle: v})
	}
	b.imports(a.export(ExportOptions{}), ImportOptions{})
	file := b.export(ExportOptions{All: true})
	in, err := old.b.Import(context.Background(), bytes.NewReader(file), ImportOptions{By: "T.V.", Name: "x"})
	var flaw *FlawError
	if !errors.As(err, &flaw) || flaw.Class != RolledBack || !strings.Contains(flaw.Text, "3 are gone") {
		t.Fatalf("%+v %v", in, err)
	}
	alone := b.export(ExportOptions{})
	if _, err = old.b.Import(context.Background(), bytes.NewReader(alone), ImportOptions{By: "T.V.", Name: "x"}); !errors.As(err, &flaw) || flaw.Class != RolledBack {
		t.Errorf("what the other book had seen of us does not count: %v", err)
	}
	got := old.imports(file, ImportOptions{Recover: true})
	if got.Books[1].New != 3 || !got.Books[1].Own {
		t.Errorf("%+v", got.Books)
	}
	if h := old.history(v); len(h.Items) != 8 {
		t.Errorf("%d entries after recovery", len(h.Items))
	}
	if r := old.verify(); r.Outcome != Witnessed {
		t.Errorf("%+v", r)
	}
}

// Every changed byte of an export is refused and nothing of it is taken.
func TestImportTakesNothingBroken(t *testing.T) {
	a, b := newBenchOf(t, 1), newBenchOf(t, 2)
	a.minibus()
	file := a.export(ExportOptions{Personal: true})
	n := counted(t, "changed bytes", len(file), 300)
	for i := 0; i < len(file); i += max(1, len(file)/n) {
		changed := bytes.Clone(file)
		changed[i] ^= 1
		if _, err := b.b.Import(context.Background(), bytes.NewReader(changed), ImportOptions{By: "T.V.", Name: "x"}); err == nil {
			t.Fatalf("byte %d: %q in %q was taken", i, file[i], file[max(0, i-60):min(len(file), i+20)])
		}
	}
	if r := b.verify(); r.Outcome != Witnessed || len(r.Books) != 1 || r.Books[0].Size != 0 {
		t.Errorf("%+v", r)
	}
}

// Long lines are read ahead one by one: what waits for the database stays small.
func TestLongLinesAreNotHeaped(t *testing.T) {
	line := `{"line":"note","text":"` + strings.Repeat("x", 2<<20) + "\"}\n"
	stop := make(chan struct{})
	defer close(stop)
	batches := newLineReader(strings.NewReader(strings.Repeat(line, 6)), "x").ahead(stop)
	for range 6 {
		if batch := <-batches; len(batch) != 1 || batch[0].kind != "note" {
			t.Fatalf("%d lines of 2 MiB at once", len(batch))
		}
	}
}
