package keying

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"asleft/config/setting"
)

// snapshots of a job for a device: factory to every third option's next value.
func jobOf(t testing.TB, d *Device) (start, target setting.Snapshot) {
	t.Helper()
	values := d.Machine.Factory()
	start, err := d.Snapshot(values, setting.OriginFactory)
	if err != nil {
		t.Fatal(err)
	}
	for o := range values {
		if o%3 == 0 {
			values[o] = int8((int(values[o]) + 1) % len(d.Machine.Options[o].Values))
		}
	}
	target, err = d.Snapshot(values, setting.OriginKeyed)
	if err != nil {
		t.Fatal(err)
	}
	return start, target
}

// follow types lines into a session and checks every line that it says.
func follow(t testing.TB, d *Device, typed string) *Session {
	t.Helper()
	start, target := jobOf(t, d)
	s, said, err := NewSession(d, start, target, fullCircumstances())
	if err != nil {
		t.Fatal(err)
	}
	check := func(lines []string) {
		for _, l := range lines {
			if utf8.RuneCountInString(l) > columns || strings.ContainsAny(l, "\n\r\x1b\x00") {
				t.Fatalf("line %q", l)
			}
		}
	}
	check(said)
	for n, line := range strings.Split(typed, "\n") {
		if n > 200 {
			break
		}
		check(s.Line(line))
	}
	return s
}

// play lets a simulated device answer a session until it is over; slip presses something else once.
func play(t *testing.T, s *Session, at *Configuration, slip int) (log []string) {
	t.Helper()
	m := s.f.d.Machine
	for n := 0; !s.Over() && n < 500; n++ {
		row, text := []string{s.f.Probe()}, ""
		if step, _, ok := s.f.Step(); ok {
			row = rowOf(step.Step)
		}
		if n == slip {
			row = slices.Insert(slices.Clone(row), 0, row[0])
		}
		var last Answer
		for _, in := range row {
			*at, last = m.Step(*at, in)
		}
		text = last.Seen(s.f.wired).String()
		log = append(log, "> "+text)
		log = append(log, s.Line(text)...)
	}
	return log
}

// TestSessionWithAWrongCount: one press too many in the middle, and the way back is found; the values are right at
// the end, every line keeps to 40 columns.
func TestSessionWithAWrongCount(t *testing.T) {
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		start, target := jobOf(t, d)
		for slip := 6; slip < 16; slip += 3 {
			s, _, err := NewSession(d, start, target, fullCircumstances())
			if err != nil {
				t.Fatal(err)
			}
			at := d.Machine.At(d.Machine.Factory())
			log := play(t, s, &at, slip)
			if !s.Finished() {
				t.Fatalf("%s: not finished\n%s", id, lastLines(log, 30))
			}
			got, _ := d.Snapshot(at.Stored, setting.OriginKeyed)
			if diff := setting.Differences(target, got); len(diff) > 0 {
				t.Fatalf("%s, slip at %d: %v\n%s", id, slip, diff, lastLines(log, 60))
			}
			if !slices.Equal(s.Values(), at.Stored) {
				t.Fatalf("%s: the session thinks %v, the device holds %v", id, s.Values(), at.Stored)
			}
		}
	}
}

// TestSessionResumes: broken off after any number of lines and resumed, with and without a time-out of the device in
// between, it ends right. The progress is canonical: resumed and written again it differs by the resumption only.
func TestSessionResumes(t *testing.T) {
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		m := d.Machine
		start, target := jobOf(t, d)
		for cut := 1; cut < 30; cut += 4 {
			for _, timedOut := range []bool{false, true} {
				s, _, _ := NewSession(d, start, target, fullCircumstances())
				at := m.At(m.Factory())
				for n := 0; n < cut && !s.Over(); n++ {
					step, _, _ := s.f.Step()
					var last Answer
					for _, in := range rowOf(step.Step) {
						at, last = m.Step(at, in)
					}
					s.Line(last.String())
				}
				progress := s.Progress()
				if timedOut {
					at, _ = m.Step(at, "silence")
				}
				back, _, err := Resume(d, start, target, fullCircumstances(), progress)
				if err != nil {
					t.Fatal(err)
				}
				again, _, err := Resume(d, start, target, fullCircumstances(), back.Progress())
				if err != nil || !bytes.HasPrefix(again.Progress(), progress[:len(progress)-40]) {
					t.Fatalf("progress\n%s\nbecomes\n%s, %v", progress, again.Progress(), err)
				}
				log := play(t, back, &at, -1)
				got, _ := d.Snapshot(at.Stored, setting.OriginKeyed)
				if diff := setting.Differences(target, got); len(diff) > 0 || !back.Finished() {
					t.Fatalf("%s, cut at %d, timed out %v: %v\n%s", id, cut, timedOut, diff, lastLines(log, 40))
				}
			}
		}
		s, _, _ := NewSession(d, start, target, fullCircumstances())
		if _, _, err := Resume(d, target, start, fullCircumstances(), s.Progress()); !errors.Is(err, ErrOtherCard) {
			t.Errorf("%s: the progress of another card gives %v", id, err)
		}
	}
}

// TestEmptyLineIsNoObservation: Enter says that the step is made; where an answer can be seen it is asked for as often
// as it takes, and nothing is taken for granted.
func TestEmptyLineIsNoObservation(t *testing.T) {
	d := demoDevice(t, "demo-alder")
	start, target := jobOf(t, d)
	s, _, _ := NewSession(d, start, target, fullCircumstances())
	for range 50 {
		s.Line("")
	}
	step, _, ok := s.f.Step()
	if !ok || step.Title != "entry" || step.Expect.Exact != "led steady green" {
		t.Errorf("fifty empty lines lead to %q, %q", step.Title, step.Hands)
	}
}
