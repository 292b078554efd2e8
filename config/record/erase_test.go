package record

import (
	"bytes"
	"context"
	"encoding/hex"
	"os"
	"path/filepath"
	"testing"
)

// After an erasure no file of the book holds value, salt or key, and every
// proof made before still holds.
func TestErase(t *testing.T) {
	w := newBench(t)
	ctx := context.Background()
	for range 20 { // neighbours, so that pages are shared
		w.record(Draft{Kind: Opened, Personal: map[string]string{"customer": "somebody else"}})
	}
	v := w.minibus()
	w.record(Draft{Kind: Fitted, Vehicle: v, Secrets: map[string]string{"override-code": "4711-0815"}})
	var extract bytes.Buffer
	if err := w.b.Extract(ctx, v, &extract); err != nil {
		t.Fatal(err)
	}
	if err := w.b.NoteCopy(ctx, Copy{What: "extract", File: "minibus.extract", By: "T.V."}, v); err != nil {
		t.Fatal(err)
	}
	needles := map[string][]byte{}
	w.b.store.Read(ctx, func(r Reader) error {
		key, err := w.b.subjectKeyOf(r, personalClass, v)
		if err != nil {
			t.Fatal(err)
		}
		wrapped, _ := r.Beside(personalClass.keys(), v[:])
		needles["key"], needles["wrapped key"] = key[:], wrapped[0]
		values, _ := w.b.openValues(r, personalClass, v)
		for _, value := range values {
			needles["value "+value.Field] = []byte(value.Text)
			needles["salt "+value.Field] = append([]byte(nil), value.salt[:]...)
		}
		sealed, _ := r.Beside(personalClass.values(), v[:])
		for _, s := range sealed {
			needles["sealed"+hex.EncodeToString(s[:2])] = s
		}
		needles["plate's keyed hash"] = w.b.findName(Plate.beside(), "TH04QC")
		return nil
	})
	if len(needles) != 3+3*4 {
		t.Fatalf("%d needles", len(needles))
	}
	e, err := w.b.Erase(ctx, Erase{Vehicle: v, By: "T.V.", Reason: "asked for by the owner"})
	if err != nil {
		t.Fatal(err)
	}
	if len(e.Fields) != 4 || len(e.Copies) != 1 || e.Copies[0].File != "minibus.extract" {
		t.Errorf("erased %v, copies %v", e.Fields, e.Copies)
	}
	filepath.Walk(w.dir, func(path string, info os.FileInfo, err error) error {
		if err != nil || info.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		for name, needle := range needles {
			if bytes.Contains(data, needle) || bytes.Contains(data, []byte(hex.EncodeToString(needle))) {
				t.Errorf("%s stands in %s", name, filepath.Base(path))
			}
		}
		return err
	})
	if r := w.verify(); r.Outcome != Witnessed {
		t.Errorf("after erasing: %+v", r)
	}
	if x, err := VerifyExtract(&extract, "x", ExtractOptions{}); err != nil || x.Report.Outcome != Unwitnessed {
		t.Errorf("the extract made before: %+v %v", x, err)
	}
	if m, err := w.b.Matches(ctx, "TH 04 QC", Looking); err != nil || len(m) != 0 {
		t.Errorf("still found by its plate: %v %v", m, err)
	}
	if values, err := w.b.Personal(ctx, v); err != nil || len(values) != 0 {
		t.Errorf("still opens: %v %v", values, err)
	}
	shown, err := w.b.Reveal(ctx, Reveal{Vehicle: v, Field: "override-code", By: "T.V.", To: "M.O."})
	if err != nil || len(shown.Secrets) != 1 || shown.Secrets[0].Text != "4711-0815" {
		t.Errorf("secrets stay: %v %v", shown, err)
	}
	guess(t, w, v)
	if e, err := w.b.Erase(ctx, Erase{Vehicle: v, By: "T.V.", Reason: "asked for again"}); err != nil || len(e.Fields) != 1 || e.Fields[0] != ShownTo {
		t.Errorf("erased again: %+v %v", e, err)
	}
	if e, err := w.b.Erase(ctx, Erase{Vehicle: v, By: "T.V.", Reason: "asked for again"}); err != nil || len(e.Fields) != 0 {
		t.Errorf("nothing was left to erase: %+v %v", e, err)
	}
}

// guess tries every plate of the right shape against the commitment that
// stays behind: without the key none can be told from another.
func guess(t *testing.T, w *bench, v ID) {
	t.Helper()
	h, err := w.b.History(context.Background(), v)
	if err != nil {
		t.Fatal(err)
	}
	commitment := h.Items[0].Personal["plate"]
	for n := range 100 {
		plate := "TH " + string(rune('0'+n/10)) + string(rune('0'+n%10)) + " QC"
		for _, key := range []subjectKey{{}, subjectKey(w.b.keys.sealing), subjectKey(w.b.keys.joining), subjectKey(DigestOf(v[:]))} {
			if key.commit([16]byte{}, "plate", plate) == commitment || DigestOf([]byte(plate)) == commitment {
				t.Errorf("%s was guessed", plate)
			}
		}
	}
}

// A secret is shown only together with an entry that says so.
func TestRevealIsRecorded(t *testing.T) {
	w := newBench(t)
	ctx := context.Background()
	v := w.minibus()
	w.record(Draft{Kind: Fitted, Vehicle: v, Reason: "the code is 4711-0815", Secrets: map[string]string{"override-code": "4711-0815"}})
	if _, err := w.b.Reveal(ctx, Reveal{Vehicle: v, Field: "override-code"}); err == nil {
		t.Error("shown without a name")
	}
	if _, err := w.b.Reveal(ctx, Reveal{Vehicle: v, Field: "resistor", By: "T.V."}); err == nil {
		t.Error("a secret that is not there was shown")
	}
	if _, err := w.b.Reveal(ctx, Reveal{Vehicle: v, Field: "override-code", By: "T.V.", To: "M.O. of Tarnholm"}); err != nil {
		t.Fatal(err)
	}
	h, _ := w.b.History(ctx, v)
	last := h.Items[len(h.Items)-1]
	if last.Kind != Shown || last.Data["what"] != "override-code" || last.Personal["shown-to"].IsZero() {
		t.Errorf("%+v", last.Entry)
	}
	if fitted := h.Items[len(h.Items)-2]; fitted.Reason != "the code is [override-code]" {
		t.Errorf("the secret slipped into the reason: %q", fitted.Reason)
	}
}
