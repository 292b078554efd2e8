package record

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// frozen is the folder of the frozen book of a format.
func frozen(format int) string { return fmt.Sprintf("../../testdata/record/format-%d", format) }

// everyFormat runs a test for each format that was ever written.
func everyFormat(t *testing.T, test func(t *testing.T, format int)) {
	for format := 1; format <= schemaVersion; format++ {
		t.Run(fmt.Sprint("format ", format), func(t *testing.T) { test(t, format) })
	}
}

// frozenCopy puts the frozen book of a format into a folder of its own. Its
// key stayed with the machine that made it: looking needs none.
func frozenCopy(t *testing.T, format int) Options {
	t.Helper()
	dir := t.TempDir()
	o := Options{Path: filepath.Join(dir, "record.db"), StateDir: filepath.Join(dir, "state"), Looking: true}
	os.Mkdir(o.StateDir, 0o700)
	for from, to := range map[string]string{"record.db": o.Path, "book.head": ""} {
		data, err := os.ReadFile(filepath.Join(frozen(format), from))
		if err != nil {
			t.Fatal(err)
		}
		if to == "" {
			origin, _, _ := strings.Cut(string(data), "\n")
			to = filepath.Join(o.StateDir, origin+".head")
		}
		if err := os.WriteFile(to, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return o
}

func lookAt(t *testing.T, o Options) *Report {
	t.Helper()
	b, err := Open(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	r, err := b.Verify(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A book written by any version opens and verifies for ever.
func TestFrozenBook(t *testing.T) { everyFormat(t, testFrozenBook) }

func testFrozenBook(t *testing.T, format int) {
	o := frozenCopy(t, format)
	if r := lookAt(t, o); r.Outcome != Witnessed || r.Books[0].Intact != 12 {
		t.Fatalf("%+v", r)
	}
	b, err := Open(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	v, err := b.Vehicle(context.Background(), "Quillon Carrier", Looking)
	if err != nil {
		t.Fatal(err)
	}
	if a, err := b.Which(context.Background(), v, nil); err != nil || string(a.Plan) != `{"rows":[]}` {
		t.Errorf("%+v %v", a, err)
	}
}

// The vectors are the frozen book with one fault each: class and entry of the
// flaw, then the statement that makes it. The formats hold the same entries,
// so that they have the vectors in common.
func TestFrozenVectors(t *testing.T) { everyFormat(t, testFrozenVectors) }

func testFrozenVectors(t *testing.T, format int) {
	data, err := os.ReadFile(filepath.Join(frozen(1), "vectors.txt"))
	if err != nil {
		t.Fatal(err)
	}
	o := frozenCopy(t, format)
	good, _ := os.ReadFile(o.Path)
	count := 0
	for lines := bufio.NewScanner(bytes.NewReader(data)); lines.Scan(); {
		part := strings.SplitN(lines.Text(), "\t", 3)
		if len(part) != 3 || strings.HasPrefix(part[0], "#") {
			continue
		}
		count++
		os.WriteFile(o.Path, good, 0o600)
		sql(t, o.Path, part[2])
		r := lookAt(t, o)
		fits := func(f Flaw) bool { return string(f.Class) == part[0] && fmt.Sprint(f.N) == part[1] }
		if r.Outcome != Flawed || !slices.ContainsFunc(r.Flaws, fits) {
			t.Errorf("%s: %v", lines.Text(), r.Flaws)
		}
	}
	if count < 60 {
		t.Errorf("%d vectors", count)
	}
}

// TestFreezeFormat makes the frozen book anew. It is run by hand, once for a
// format, and only then: ASLEFT_FREEZE=1.
func TestFreezeFormat(t *testing.T) {
	if os.Getenv("ASLEFT_FREEZE") != "1" {
		return
	}
	w := newBench(t)
	w.minibus()
	v := w.record(Draft{Kind: Opened, Attributes: map[Attribute]string{Label: "Veldra Pip", Plate: "TH 11 VP"}}).Subject
	for i := range 6 {
		w.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": fmt.Sprint("note ", i)}})
	}
	dir := frozen(schemaVersion)
	os.MkdirAll(dir, 0o755)
	head, _ := os.ReadFile(w.b.state.headPath(w.b.Origin()))
	os.WriteFile(filepath.Join(dir, "record.db"), w.file(), 0o644)
	os.WriteFile(filepath.Join(dir, "book.head"), head, 0o644)
}
