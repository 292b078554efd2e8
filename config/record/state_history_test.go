package record

import (
	"errors"
	"testing"
	"time"

	"asleft/config/setting"
)

// Each state stays as it was last read, whoever read it when, until it is read again.
func TestStatesStay(t *testing.T) {
	w := newBench(t)
	v := w.record(Draft{Kind: Opened}).Subject
	states := func(pairs ...string) *setting.Snapshot {
		var list []setting.StateReading
		for i := 0; i < len(pairs); i += 2 {
			list = append(list, setting.StateReading{Device: "controller", State: pairs[i], Value: setting.Value(pairs[i+1]), Status: setting.StatusKnown})
		}
		s, err := setting.NewSnapshot(nil, list)
		if err != nil {
			t.Fatal(err)
		}
		return &s
	}
	w.record(Draft{Kind: Found, Vehicle: v, Snapshot: states("valet", "on", "learned-hz", "46.7")})
	between := w.clock
	w.record(Draft{Kind: States, Vehicle: v, By: "J.K.", Snapshot: states("valet", "off")})
	for at, want := range map[time.Time]PresentState{
		between: {By: "T.V.", From: Found, StateReading: setting.StateReading{Value: "on"}}, {}: {By: "J.K.", From: States, StateReading: setting.StateReading{Value: "off"}},
	} {
		s, err := w.b.State(t.Context(), v, at)
		if err != nil || len(s.States) != 2 || s.States[0].State != "learned-hz" || s.States[0].By != "T.V." {
			t.Fatalf("%+v %v", s, err)
		}
		if got := s.States[1]; got.By != want.By || got.From != want.From || got.Value != want.Value {
			t.Errorf("at %s: %+v, want %+v", at, got, want)
		}
	}
}

// A value that is only known in another way keeps its since and its who.
func TestSinceIsOfTheValue(t *testing.T) {
	w := newBench(t)
	v := w.minibus()
	first, err := w.b.State(t.Context(), v, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	keyed := readings("unlock.steps", "driver-first", "run.minutes", "20")
	keyed.Readings[0].Origin, keyed.Readings[1].Origin = setting.OriginKeyed, setting.OriginKeyed
	w.record(Draft{Kind: Left, Vehicle: v, By: "J.K.", Snapshot: keyed})
	s, err := w.b.State(t.Context(), v, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range s.Settings {
		same := p.Setting == "unlock.steps"
		if p.Origin != setting.OriginKeyed || (p.By == "T.V.") != same || p.Since.Equal(first.Settings[i].Since) != same {
			t.Errorf("%+v", p)
		}
	}
}

// A file that is no witness is told as such, in a line.
func TestNoWitness(t *testing.T) {
	w := newBench(t)
	w.record(Draft{Kind: Opened})
	head, _, err := w.b.state.readHead(w.b.Origin())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.b.NoteWitness(t.Context(), "head", head); err != nil {
		t.Error(err)
	}
	for name, data := range map[string]string{
		"extract": `{"line":"header","schema":"asleft/extract/1"}` + "\n", "empty": "", "changed": string(head[:len(head)-9]) + "AAAAAAAA\n", "other": "asleft-book-0123456789abcdef\n1\nx\n",
	} {
		var bad *NoteError
		if _, err := w.b.NoteWitness(t.Context(), name, []byte(data)); !errors.As(err, &bad) || bad.Hint() == "" || len(err.Error()) > 200 {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The job of today is told from the one that the record keeps without its personal values; after
// they are erased, nothing is said.
func TestJobChanged(t *testing.T) {
	w := newBench(t)
	v := w.minibus()
	same := "vin = \"1M8GDM9AXKP042788\"\nplate = \"th04qc\"\n"
	is := func(job string, want bool) {
		t.Helper()
		if got, err := w.b.JobChanged(t.Context(), v, []byte(job)); err != nil || got != want {
			t.Errorf("%q: changed %v %v", job, got, err)
		}
	}
	is(same, false)
	is(same+"fuel = \"diesel\"\n", true)
	c, err := w.history(v).Compare(Today{Required: readings("unlock.steps", "all"), Job: true})
	if err != nil || c.Rows[0].Why[0] != "job-changed" {
		t.Errorf("%+v %v", c, err)
	}
	if _, err := w.b.Erase(t.Context(), Erase{Vehicle: v, By: "T.V.", Reason: "asked for"}); err != nil {
		t.Fatal(err)
	}
	is(same+"fuel = \"diesel\"\n", false)
}
