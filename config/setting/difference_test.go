package setting

import (
	"testing"

	"pgregory.net/rapid"
)

func TestDifferences(t *testing.T) {
	from, err := NewSnapshot([]Reading{
		reading("controller", "run.minutes", "15", OriginFactory),
		reading("controller", "lock.count", "1", OriginFactory),
		reading("controller", "engine-speed.source", "voltage", OriginFactory),
		{Key: Key{"controller", "preheat.source"}, Status: StatusUnknown},
		reading("controller", "door.settle", "3", OriginRead),
	}, []StateReading{{Device: "controller", State: "valet", Value: "on", Status: StatusKnown}})
	if err != nil {
		t.Fatal(err)
	}
	to, err := NewSnapshot([]Reading{
		reading("controller", "run.minutes", "15", OriginRead), // the origin is no difference
		reading("controller", "lock.count", "2", OriginKeyed),
		reading("controller", "engine-speed.source", "wire", OriginKeyed),
		{Key: Key{"module", "link.form"}, Status: StatusUnknown}, // unknown and not held are the same
	}, []StateReading{{Device: "controller", State: "valet", Value: "off", Status: StatusKnown}})
	if err != nil {
		t.Fatal(err)
	}
	got := Differences(from, to)
	want := []struct {
		setting, from, to string
		certain           bool
	}{
		{"engine-speed.source", "voltage", "wire", true},
		{"door.settle", "3", "", false},
		{"lock.count", "1", "2", true},
	}
	if len(got) != len(want) {
		t.Fatalf("found %v", got)
	}
	for i, w := range want {
		d := got[i]
		if d.Setting != w.setting || string(d.From.Value) != w.from || string(d.To.Value) != w.to || d.Certain() != w.certain {
			t.Errorf("difference %d is %+v, want %+v", i, d, w)
		}
	}
	states := StateDifferences(from, to)
	if len(states) != 1 || states[0].From.Value != "on" || states[0].To.Value != "off" {
		t.Errorf("states differ as %v", states)
	}
}

// A snapshot does not differ from itself; turned round, From and To change places.
func TestDifferencesAreSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := anySnapshot(t, "x"), anySnapshot(t, "y")
		a, errA := NewSnapshot(x.Readings, x.States)
		b, errB := NewSnapshot(y.Readings, y.States)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if d := Differences(a, a); d != nil {
			t.Fatalf("differs from itself: %v", d)
		}
		there, back := Differences(a, b), Differences(b, a)
		if len(there) != len(back) {
			t.Fatalf("%v\n%v", there, back)
		}
		for i := range there {
			if there[i].From != back[i].To || there[i].To != back[i].From {
				t.Fatalf("%v\n%v", there[i], back[i])
			}
		}
	})
}
