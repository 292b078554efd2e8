package record

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"asleft/config/setting"
)

// bench is a book in a temporary folder with a clock and randomness of its own.
type bench struct {
	t     *testing.T
	dir   string
	clock time.Time
	o     Options
	b     *Book
}

func newBench(t *testing.T) *bench { return newBenchOf(t, 1) }

// newBenchOf is another laptop for each number.
func newBenchOf(t *testing.T, number byte) *bench {
	t.Helper()
	w := &bench{t: t, dir: t.TempDir(), clock: time.Date(2026, 11, 20, 9, 0, 0, 0, time.FixedZone("", 3600))}
	w.o = Options{
		Path: filepath.Join(w.dir, "shop", "record.db"), StateDir: filepath.Join(w.dir, "state"), Create: true,
		Now:    func() time.Time { w.clock = w.clock.Add(time.Minute); return w.clock },
		Random: rand.NewChaCha8([32]byte{number}), Machine: fmt.Sprintf("bay-%d", number), User: "tv", Tool: "asleft test",
	}
	w.open()
	return w
}

func (w *bench) open() {
	w.t.Helper()
	b, err := Open(context.Background(), w.o)
	if err != nil {
		w.t.Fatal(err)
	}
	w.b = b
	w.t.Cleanup(func() { b.Close() })
}

func (w *bench) reopen() {
	w.t.Helper()
	if err := w.b.Close(); err != nil {
		w.t.Fatal(err)
	}
	w.open()
}

func (w *bench) record(d Draft) Receipt {
	w.t.Helper()
	if d.By == "" {
		d.By = "T.V."
	}
	r, err := w.b.Record(context.Background(), d)
	if err != nil {
		w.t.Fatalf("%s: %v", d.Kind, err)
	}
	return r
}

func (w *bench) verify(against ...Witness) *Report {
	w.t.Helper()
	r, err := w.b.Verify(context.Background(), against...)
	if err != nil {
		w.t.Fatal(err)
	}
	return r
}

// readings makes a snapshot of one controller from pairs of name and value.
func readings(pairs ...string) *setting.Snapshot {
	var list []setting.Reading
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, setting.Reading{
			Key:   setting.Key{Device: "controller", Setting: pairs[i]},
			Value: setting.Value(pairs[i+1]), Status: setting.StatusKnown, Origin: setting.OriginRead,
		})
	}
	s, err := setting.NewSnapshot(list, nil)
	if err != nil {
		panic(err)
	}
	return &s
}

// minibus opens the demo minibus and works on it until it is left.
func (w *bench) minibus() ID {
	v := w.record(Draft{Kind: Opened, Attributes: map[Attribute]string{
		Label: "Quillon Carrier", Fleet: "TCW 4", Plate: "TH 04 QC", VIN: "1M8GDM9AXKP042788",
	}, Personal: map[string]string{"customer": "M.O. of Tarnholm", "phone": "555-0142"},
		Data: map[string]string{"keys": "2", "consent": "seen"}}).Subject
	w.record(Draft{Kind: Found, Vehicle: v, Snapshot: readings("unlock.steps", "all", "run.minutes", "15")})
	w.record(Draft{Kind: Measured, Vehicle: v, Data: map[string]string{"c1-03.run": "12.4"}})
	w.record(Draft{Kind: Derived, Vehicle: v, Snapshot: readings("unlock.steps", "driver-first", "run.minutes", "10"),
		Documents: []Document{{"job", []byte("vin = \"1M8GDM9AXKP042788\"\nplate = \"th04qc\"\n")}, {"rules", []byte("rules")}}})
	w.record(Draft{Kind: Left, Vehicle: v, Reason: "as derived", Snapshot: readings("unlock.steps", "driver-first", "run.minutes", "10"),
		Documents: []Document{{"plan", []byte(`{"rows":[]}`)}}})
	return v
}

func TestLifeOfAVehicle(t *testing.T) {
	w := newBench(t)
	v := w.minibus()
	ctx := context.Background()
	for text, by := range map[string]string{
		"Quillon  carrier": "label", "tcw 4": "fleet", "th-04 qc": "plate", "1M8GD M9AXKP 042788": "vin", "KP042788": "vin-end", v.String(): "subject",
	} {
		m, err := w.b.Matches(ctx, text, Looking)
		if err != nil || len(m) != 1 || m[0].Vehicle != v || m[0].By[0] != by {
			t.Errorf("Matches(%q) = %v, %v; want %s", text, m, err, by)
		}
	}
	if _, err := w.b.Vehicle(ctx, "KP042788", Writing); err == nil {
		t.Error("the last eight of a VIN must not do for writing")
	}
	s, err := w.b.State(ctx, v, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Settings) != 2 || s.Settings[0].Setting != "unlock.steps" || s.Settings[0].Value != "driver-first" ||
		s.Settings[0].Before != "all" || s.Settings[0].By != "T.V." || s.Settings[0].Why != "as derived" {
		t.Errorf("state: %+v", s.Settings)
	}
	if r := w.verify(); r.Outcome != Witnessed || r.Books[0].Intact != 5 || r.Books[0].WitnessedTo != 5 {
		t.Errorf("verify: %+v", r)
	}
	a, err := w.b.Which(ctx, v, nil)
	if err != nil || string(a.Plan) != `{"rows":[]}` || a.Report.Outcome != Witnessed {
		t.Errorf("which: %+v %v", a, err)
	}
	list, err := w.b.Status(ctx)
	if err != nil || len(list) != 1 || list[0].Next != Tested || list[0].Attributes[Plate] != "TH 04 QC" {
		t.Errorf("status: %+v %v", list, err)
	}
}

// A job file holds VIN and plate; neither may reach the record in the clear.
func TestPersonalValuesStayOut(t *testing.T) {
	w := newBench(t)
	v := w.minibus()
	h, err := w.b.History(context.Background(), v)
	if err != nil {
		t.Fatal(err)
	}
	job, _, err := h.Document("job")
	if err != nil || string(job) != "vin = \"[vin]\"\nplate = \"[plate]\"\n" {
		t.Errorf("job in the record: %q %v", job, err)
	}
	var all bytes.Buffer
	for _, item := range h.Items {
		all.Write(item.Canonical())
	}
	for _, secret := range []string{"1M8GDM9AXKP042788", "TH 04 QC", "555-0142"} {
		if bytes.Contains(all.Bytes(), []byte(secret)) {
			t.Errorf("%q stands in an entry", secret)
		}
	}
}

// The same identity twice is one entry, whatever happened in between.
func TestRetryMakesNoDouble(t *testing.T) {
	w := newBench(t)
	id, _ := NewID(rand.NewChaCha8([32]byte{9}))
	d := Draft{Kind: Opened, Identity: id, Attributes: map[Attribute]string{Label: "Veldra Pip"}}
	first := w.record(d)
	w.reopen()
	second := w.record(d)
	if !second.Again || second.Subject != first.Subject || second.N != first.N {
		t.Errorf("retry: %+v", second)
	}
	if r := w.verify(); r.Books[0].Size != 1 {
		t.Errorf("%d entries", r.Books[0].Size)
	}
}

// A retry of what made two vehicles one comes under the number of either.
func TestRetryAfterJoiningMakesNoDouble(t *testing.T) {
	w := newBench(t)
	a, b := w.record(Draft{Kind: Opened}).Subject, w.record(Draft{Kind: Opened}).Subject
	id, _ := NewID(rand.NewChaCha8([32]byte{9}))
	joins := func(vehicle, other ID) Draft {
		return Draft{Kind: SameAs, Identity: id, Vehicle: vehicle, Data: map[string]string{"same-as": other.String()}, Reason: "one bus"}
	}
	first := w.record(joins(a, b))
	for _, d := range []Draft{joins(a, b), joins(b, a)} {
		if again := w.record(d); !again.Again || again.N != first.N {
			t.Errorf("retry under %s: %+v", d.Vehicle, again)
		}
	}
	if r := w.verify(); r.Books[0].Size != 3 {
		t.Errorf("%d entries, expected 3", r.Books[0].Size)
	}
}

func TestRootsAtEverySize(t *testing.T) {
	w := newBench(t)
	v := w.record(Draft{Kind: Opened}).Subject
	for i := range 40 {
		w.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": fmt.Sprint(i)}})
		if r := w.verify(); r.Outcome != Witnessed {
			t.Fatalf("after %d: %+v", i, r)
		}
	}
}
