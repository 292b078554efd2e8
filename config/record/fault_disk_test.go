package record

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/ncruces/go-sqlite3"
)

// diskFault is one way in which a call to the disk fails.
type diskFault struct {
	name string
	err  error
	only string // calls it can happen to; "" all
	ever bool   // from then on every call fails, as for a process that was killed
}

var diskFaults = []diskFault{
	{name: "error", err: sqlite3.IOERR},
	{name: "full", err: sqlite3.FULL, only: "write truncate open sync"},
	{name: "short write", err: errShort, only: "write"},
	{name: "killed", err: sqlite3.IOERR, ever: true},
}

// faultRun makes every call to the disk fail in turn while one thing is
// written, and looks at what is then there.
type faultRun struct {
	t     *testing.T
	o     Options
	base  *crashDisk
	other []byte // another laptop's export
	v     ID
	n     int64 // entries on the base disk
}

// writing is one way to write to the book, that may be given again after a failure.
type writing struct {
	name string
	adds int64
	do   func(ctx context.Context, b *Book, f *faultRun) error
}

func writings() []writing {
	draft := func(n byte, v ID) Draft {
		return Draft{Kind: Opened, Vehicle: v, By: "T.V.", Identity: ID{1, n}, Attributes: map[Attribute]string{Plate: fmt.Sprint("TH ", n)},
			Documents: []Document{{"job", bytes.Repeat([]byte{n}, 9000)}}}
	}
	return []writing{
		{"record", 1, func(ctx context.Context, b *Book, f *faultRun) error {
			_, err := b.Record(ctx, draft(1, f.v))
			return err
		}},
		{"record several", 12, func(ctx context.Context, b *Book, f *faultRun) error {
			var all []Draft
			for n := range byte(12) {
				all = append(all, draft(n+1, ID{}))
			}
			_, err := b.RecordAll(ctx, all)
			return err
		}},
		{"import", 1, func(ctx context.Context, b *Book, f *faultRun) error {
			_, err := b.Import(ctx, bytes.NewReader(f.other), ImportOptions{By: "T.V.", Name: "other"})
			return err
		}},
	}
}

// Every call of the store to its disk fails once, in each way: nothing half
// is there afterwards, the record verifies, and the same thing given again
// goes through and makes no double.
func TestEveryDiskCallFails(t *testing.T) {
	f := newFaultRun(t)
	points := 0
	for _, w := range writings() {
		calls := f.count(w)
		step := every(len(calls), 12)
		for k := 0; k < len(calls); k += step {
			for _, fault := range diskFaults {
				if fault.only == "" || strings.Contains(fault.only, calls[k]) {
					f.fail(w, fault, k, calls[k])
					points++
				}
			}
		}
	}
	if points < raced(80) {
		t.Errorf("only %d points", points)
	}
	t.Logf("%d faults", points)
	if !full() {
		fmt.Printf("%s: %d faults; all with: ASLEFT_FULL=1 go test -timeout 60m -run '^%[1]s$' ./config/record\n", t.Name(), points)
	}
}

func newFaultRun(t *testing.T) *faultRun {
	f := &faultRun{t: t, o: crashOptions(t), base: newCrashDisk()}
	t.Cleanup(f.base.close)
	other := newBenchOf(t, 2)
	other.minibus()
	f.other = other.export(ExportOptions{Personal: true})
	b := f.open(f.base)
	defer b.Close()
	receipts, err := b.RecordAll(context.Background(), []Draft{
		{Kind: Opened, By: "T.V.", Attributes: map[Attribute]string{Label: "Veldra Pip", Plate: "TH 11 VP"}, Personal: map[string]string{"customer": "M.O."}},
		{Kind: Opened, By: "T.V.", Documents: []Document{{"job", garbage(rand.New(rand.NewPCG(1, 1)), 30000)}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	f.v, f.n = receipts[0].Subject, 2
	return f
}

func (f *faultRun) open(d *crashDisk) *Book {
	o := f.o
	o.vfs = d.name
	b, err := Open(context.Background(), o)
	if err != nil {
		f.t.Fatalf("the record does not open: %v", err)
	}
	return b
}

// count runs the writing without a fault and lists the calls it makes.
func (f *faultRun) count(w writing) (calls []string) {
	d := f.base.copied()
	defer d.close()
	b := f.open(d)
	defer b.Close()
	d.fault = func(call string) error { calls = append(calls, call); return nil }
	if err := w.do(context.Background(), b, f); err != nil {
		f.t.Fatalf("%s: %v", w.name, err)
	}
	d.fault = nil
	return calls
}

func (f *faultRun) fail(w writing, fault diskFault, k int, call string) {
	name := fmt.Sprintf("%s, %s at call %d (%s)", w.name, fault.name, k, call)
	d := f.base.copied()
	defer d.close()
	b := f.open(d)
	defer b.Close()
	at := 0
	d.fault = func(string) error {
		at++
		if at-1 == k || fault.ever && at-1 > k {
			return fault.err
		}
		return nil
	}
	err := w.do(context.Background(), b, f)
	d.fault = nil
	f.told(name, err)
	found := d.copied()
	defer found.close()
	size := f.size(name, found)
	if err == nil && size != f.n+w.adds || size != f.n && size != f.n+w.adds {
		f.t.Errorf("%s: %d entries, error %v", name, size, err)
	}
	if !fault.ever {
		f.again(name+", again by the same process", w, b, d, size)
	}
	other := f.open(found)
	defer other.Close()
	f.again(name+", again by another process", w, other, found, size)
}

// told: a failure has a class, a plain message and something to do.
func (f *faultRun) told(name string, err error) {
	if err == nil {
		return
	}
	var fault *FileError
	if !errors.As(err, &fault) || fault.Hint() == "" || strings.Contains(fault.Error(), "goroutine") {
		f.t.Errorf("%s: a message that says nothing to do: %v", name, err)
	}
}

// size verifies what a new process finds, and counts our own entries.
func (f *faultRun) size(name string, d *crashDisk) int64 {
	b := f.open(d)
	defer b.Close()
	r, err := b.Verify(context.Background())
	if err != nil || r.Outcome == Flawed {
		f.t.Errorf("%s: %v %v", name, r, err)
		return -1
	}
	for _, book := range r.Books {
		if book.Own {
			return book.Size
		}
	}
	return -1
}

// again gives the same thing once more. An import has no identity of its own:
// it takes nothing twice and notes that it was made.
func (f *faultRun) again(name string, w writing, b *Book, d *crashDisk, before int64) {
	if err := w.do(context.Background(), b, f); err != nil {
		f.t.Errorf("%s: %v", name, err)
		return
	}
	want := f.n + w.adds
	if w.name == "import" {
		want = before + 1
	}
	found := d.copied()
	defer found.close()
	if got := f.size(name, found); got != want {
		f.t.Errorf("%s: %d entries, want %d", name, got, want)
	}
}

// A source that breaks off in the middle takes nothing with it.
func TestImportBreaksOff(t *testing.T) {
	a, b := newBenchOf(t, 1), newBenchOf(t, 2)
	a.minibus()
	file := a.export(ExportOptions{Personal: true})
	places := counted(t, "places", 500, 25)
	for n := 0; n < len(file); n += len(file) / places {
		r := io.MultiReader(bytes.NewReader(file[:n]), brokenReader{})
		if _, err := b.b.Import(context.Background(), r, ImportOptions{By: "T.V.", Name: "x"}); err == nil {
			t.Errorf("taken after %d bytes", n)
		}
	}
	if r := b.verify(); r.Outcome != Witnessed || len(r.Books) != 1 || r.Books[0].Size != 0 {
		t.Errorf("%+v", r)
	}
}

type brokenReader struct{}

func (brokenReader) Read([]byte) (int, error) { return 0, errors.New("the stick was pulled out") }

// A process dies at a random call of each write, and nobody knows whether the
// entry stands. The same draft with the same identity, given again by the next
// process, makes it stand once.
func TestRetryAfterDeath(t *testing.T) {
	entries := counted(t, "entries", 10000, 200)
	o := crashOptions(t)
	rng := rand.New(rand.NewPCG(21, 22))
	disk := newCrashDisk()
	f := &faultRun{t: t, o: o}
	f.open(disk).Close()
	stood, died := 0, 0
	for n := range entries {
		d := Draft{Kind: Opened, By: "T.V.", Identity: ID{byte(n >> 16), byte(n >> 8), byte(n), 1}, Data: map[string]string{"text": fmt.Sprint(n)}}
		b := f.open(disk)
		at, k := 0, rng.IntN(40)
		disk.fault = func(string) error {
			if at++; at > k {
				return sqlite3.IOERR
			}
			return nil
		}
		if _, err := b.Record(context.Background(), d); err != nil {
			died++
		}
		found := disk.copied() // as it is at the moment of death
		disk.fault = nil
		b.Close()
		disk.close()
		disk = found
		b = f.open(disk)
		r, err := b.Record(context.Background(), d)
		if err != nil || r.N != int64(n) {
			t.Fatalf("entry %d: %+v %v", n, r, err)
		}
		if r.Again {
			stood++
		}
		b.Close()
	}
	defer disk.close()
	if got := f.size("at the end", disk); got != int64(entries) {
		t.Errorf("%d entries, want %d", got, entries)
	}
	t.Logf("%d entries, %d deaths while writing, %d entries stood already when given again", entries, died, stood)
	if died == 0 || stood == 0 {
		t.Error("one of the two outcomes never came up")
	}
}
