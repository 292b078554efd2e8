package keying

import (
	"slices"
	"testing"
)

// FuzzParseInputs: what is read can be written and read again to the same; what is refused says where.
func FuzzParseInputs(f *testing.F) {
	for _, s := range []string{"", "tap", "key-run tap*3 key-off key-run # enter", "hold-2,brake\nwait-2.5", "tapp", "tap*0", "wait-", "remote-0", "hold-9999", "tap*99 tap*99", "é*2", "\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		inputs, err := ParseInputs("typed", text)
		if err != nil {
			if inputs != nil || err.Error() == "" {
				t.Fatalf("%v with %v", inputs, err)
			}
			return
		}
		again, err := ParseInputs("written", FormatInputs(inputs))
		if err != nil || !slices.Equal(inputs, again) {
			t.Fatalf("%q reads as %v, written as %q, then %v, %v", text, inputs, FormatInputs(inputs), again, err)
		}
	})
}

// FuzzSimulator: whatever is pressed, the device stays in a declared state and holds declared values, and answers
// nothing that cannot be counted.
func FuzzSimulator(f *testing.F) {
	f.Add(uint8(0), []byte{1, 2, 3, 4, 5})
	f.Add(uint8(4), []byte{200, 100, 7, 7, 7})
	words := []string{"tap", "hold-1", "hold-2", "hold-3", "hold-4", "hold-5", "hold-6", "hold-12", "brake", "key-out", "key-off", "key-acc", "key-run", "remote-1", "remote-2", "remote-3", "power-off", "power-on", "silence", "wait-3", "wait-100"}
	var devices []*Device
	for _, id := range demoIDs {
		devices = append(devices, demoDevice(f, id))
	}
	f.Fuzz(func(t *testing.T, which uint8, presses []byte) {
		m := devices[int(which)%len(devices)].Machine
		s := NewSimulator(m, m.Factory())
		for _, p := range presses {
			inputs, err := ParseInputs("", words[int(p)%len(words)])
			if err != nil {
				t.Fatal(err)
			}
			before := s.Seconds
			e := s.Do(inputs[0])
			if s.At.State < 0 || s.At.State >= len(m.States) || s.Seconds < before || e.Words == "" {
				t.Fatalf("after %v: state %d, %v s", inputs, s.At.State, s.Seconds)
			}
			for o, v := range s.At.Stored {
				if v < 0 || int(v) >= len(m.Options[o].Values) || s.At.Working[o] < 0 || int(s.At.Working[o]) >= len(m.Options[o].Values) {
					t.Fatalf("option %d holds %d", o, v)
				}
			}
			if !m.States[s.At.State].Inside && s.At.State == m.Start && !slices.Equal(s.At.Stored, s.At.Working) {
				t.Fatalf("outside programming a change is pending")
			}
			for _, a := range e.Answers {
				for _, x := range a {
					if x.Of != "" || !x.Steady && (x.Count < 1 || x.Count > 60) {
						t.Fatalf("answer %v", a)
					}
				}
			}
		}
	})
}

// FuzzSession: whatever is typed, a session goes on, keeps to its width, and takes no empty line for an observation.
func FuzzSession(f *testing.F) {
	f.Add(uint8(0), "\n\n5\nlost\nnothing\n")
	f.Add(uint8(3), "steady\n4\n4 2\nled 3 red, lamps 1\nout\n\n\n")
	var devices []*Device
	for _, id := range demoIDs {
		devices = append(devices, demoDevice(f, id))
	}
	f.Fuzz(func(t *testing.T, which uint8, typed string) {
		d := devices[int(which)%len(devices)]
		follow(t, d, typed)
	})
}
