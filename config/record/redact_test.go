package record

import (
	"errors"
	"strings"
	"testing"
)

// A value is replaced wherever it stands as a whole word, in any case, with its
// quotes written out, and the longer of two first; other words stay.
func TestRedact(t *testing.T) {
	r := redactor{
		personal: []Value{{Field: "plate", Text: "TH 04-QC"}, {Field: "customer", Text: "Q.X."}},
		secrets:  []Value{{Field: "hidden-place", Text: `under "the" mat`}, {Field: "override-code", Text: "4711-22"}, {Field: "resistor", Text: "4711"}},
	}
	r.sort()
	for text, want := range map[string]string{
		"code 4711-22, or 4711":   "code [override-code], or [resistor]",
		"14711 47110 a4711":       "14711 47110 a4711",
		"(4711)":                  "([resistor])",
		`UNDER "THE" MAT`:         "[hidden-place]",
		`t = "under \"the\" mat"`: `t = "[hidden-place]"`,
		"th 04-qc and TH04QC":     "[plate] and [plate]",
		"for q.x. by T.V.":        "for [customer] by T.V.",
		"":                        "",
		"ſtraße":                  "ſtraße",
		"bad \xff 4711 \xff":      "bad \xff [resistor] \xff",
	} {
		if got := r.redact(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	if got := r.withoutSecrets("4711 of Q.X."); got != "[resistor] of Q.X." {
		t.Errorf("%q", got)
	}
}

// A secret is no name, slips into no personal value, and is known under every
// number of a vehicle. A try says what would stand there and writes nothing.
func TestSecretsStayOutOfEverything(t *testing.T) {
	w := newBench(t)
	a, b := w.minibus(), w.record(Draft{Kind: Opened, Attributes: map[Attribute]string{Label: "the other one"}}).Subject
	w.record(Draft{Kind: Note, Vehicle: a, Secrets: map[string]string{"override-code": "4711zz", "hidden-place.tracker": "mat"}})
	w.record(Draft{Kind: SameAs, Vehicle: b, Data: map[string]string{"same-as": a.String()}})
	tried, err := w.b.Try(t.Context(), Draft{Kind: Note, Vehicle: b, By: "T.V.", Reason: "4711ZZ", Data: map[string]string{"text": "the mat"}, Secrets: map[string]string{"resistor": "1k1"}})
	if err != nil || tried.Reason != "[override-code]" || tried.Data["text"] != "the [hidden-place.tracker]" {
		t.Errorf("tried: %+v %v", tried, err)
	}
	w.record(Draft{Kind: Note, Vehicle: a, Data: map[string]string{"text": "told to Q.Z. in the yard"}})
	w.record(Draft{Kind: Note, Vehicle: b, Documents: []Document{{"job", []byte("by = \"Q.Z.\"")}}})
	clear, err := w.b.InClear(t.Context(), Draft{Vehicle: a, Personal: map[string]string{"customer": "Q.Z."}, Secrets: map[string]string{"resistor": "9k9"}})
	if err != nil || len(clear) != 2 || clear[0].Data["text"] != "told to Q.Z. in the yard" {
		t.Errorf("%+v %v", clear, err)
	}
	size := w.verify().Books[0].Size
	for what, d := range map[string]Draft{
		"who":          {Kind: Note, Vehicle: b, By: "4711zz"},
		"a reading":    {Kind: Fitted, Vehicle: b, Data: map[string]string{"code.4711zz": "x"}},
		"a document":   {Kind: Note, Vehicle: b, Documents: []Document{{Role: "profile.4711zz"}}},
		"no kind":      {Kind: Note, Vehicle: b, Secrets: map[string]string{"5522": "x"}},
		"a wrong kind": {Kind: Note, Vehicle: b, Secrets: map[string]string{"hidden-places": "x"}},
	} {
		if d.By == "" {
			d.By = "T.V."
		}
		for _, f := range []func() error{
			func() error { _, err := w.b.Record(t.Context(), d); return err },
			func() error { _, err := w.b.Try(t.Context(), d); return err },
		} {
			var bad *DraftError
			if err := f(); !errors.As(err, &bad) || bad.Hint() == "" || strings.Contains(err.Error()+bad.Hint(), "4711") || strings.Contains(err.Error(), "5522") {
				t.Errorf("%s: %v", what, err)
			}
		}
	}
	if got := w.verify().Books[0].Size; got != size {
		t.Errorf("%d entries, before %d", got, size)
	}
	w.record(Draft{Kind: Note, Vehicle: b, Data: map[string]string{"text": "4711zz"}, Personal: map[string]string{"phone": "555, code 4711zz"}})
	values, err := w.b.Personal(t.Context(), a)
	if err != nil || values[0].Text != "555, code [override-code]" {
		t.Errorf("%v %v", values, err)
	}
	if h := w.history(a); h.Items[len(h.Items)-1].Data["text"] != "[override-code]" {
		t.Errorf("%+v", h.Items[len(h.Items)-1].Entry)
	}
}

// What another laptop keeps sealed cannot be shown here: that is said, and no
// showing is recorded.
func TestSecretsOfAnotherLaptop(t *testing.T) {
	a, b := newBenchOf(t, 1), newBenchOf(t, 2)
	v := a.minibus()
	a.record(Draft{Kind: Note, Vehicle: v, Secrets: map[string]string{"override-code": "4711zz"}})
	b.imports(a.export(ExportOptions{}), ImportOptions{By: "T.V.", Name: "a"})
	size := b.verify().Books[0].Size
	_, err := b.b.Reveal(t.Context(), Reveal{Vehicle: v, By: "T.V.", To: "M.O."})
	var bad *DraftError
	if !errors.As(err, &bad) || !strings.Contains(bad.Hint(), "on the laptop where it was kept") {
		t.Errorf("%v", err)
	}
	if got := b.verify().Books[0].Size; got != size {
		t.Errorf("a showing that was none is recorded")
	}
	b.record(Draft{Kind: Note, Vehicle: v, Secrets: map[string]string{"resistor": "1k18"}})
	shown, err := b.b.Reveal(t.Context(), Reveal{Vehicle: v, By: "T.V.", To: "M.O.", Sheet: "owner's sheet"})
	if err != nil || len(shown.Secrets) != 1 || len(shown.Elsewhere) != 1 || shown.Elsewhere[0] != "override-code" || shown.Secrets[0].Kept.By != "T.V." {
		t.Errorf("%+v %v", shown, err)
	}
}
