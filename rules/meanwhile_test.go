package rules

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"asleft/config/job"
	"asleft/config/setting"
	"asleft/rules/keying"
)

// withoutStart makes a demo job one without remote start, of which nobody identified the lock circuit.
func withoutStart(text string) string {
	for _, change := range [][2]string{
		{"\nstart = true", "\nstart = false"},
		{"\nstart-path = \"feeds\"", "\nstart-path = \"none\""},
		{"\nstart-path = \"link\"", "\nstart-path = \"none\""},
		{"circuit = \"negative-pulse\"", "circuit = \"unknown\""},
		{"circuit = \"positive-pulse\"", "circuit = \"unknown\""},
		{"[lock]\ncircuit = \"link\"", "[lock]\ncircuit = \"unknown\""},
		{"second-pulse-deadlocks = \"no\"", "second-pulse-deadlocks = \"yes\""},
		{"crash-unlock-tested = \"yes\"", "crash-unlock-tested = \"no\""},
		{"counts = [1]", "counts = [2]"},          // the two pulses that the line needs, if there is a line, deadlock
		{"\npolicy = \"ostlin.policy.toml\"", ""}, // its limits would hide what is looked at
	} {
		text = strings.Replace(text, change[0], change[1], 1)
	}
	return text
}

// TestWhatIsOpenIsLeftSafe: without a remote start a missing fact stops no card. A setting that it leaves open, and of which safety
// bars a value whatever turns out, is set to one that is safe either way, also when the device was found at the other; the setting stays
// open, and what would settle it is named. Each line is an install that the proof once found to be left unsafe.
func TestWhatIsOpenIsLeftSafe(t *testing.T) {
	for _, c := range []struct{ job, setting, found, safe, missing string }{
		{"minibus", "lock.count", "2", "1", "lock.circuit"},   // deadlocked, or shut in by two pulses, with people inside
		{"hatchback", "lock.count", "2", "1", "lock.circuit"}, // the same on another device
		{"pickup", "lock.with", "ignition", "off", "lock.circuit"},
		{"estate", "lock.with", "speed-by-link", "off", "lock.circuit"}, // locked after a crash
	} {
		t.Run(c.job+" "+c.setting, func(t *testing.T) {
			f, err := job.ReadFound("found.toml", fmt.Appendf(nil, foundAt, c.setting, c.found))
			if err != nil {
				t.Fatal(err)
			}
			out := resolveText(t, c.job+".toml", Options{Found: f}, func(text string) string {
				text = strings.Replace(withoutStart(text), `left-inside = ["nobody"]`, `left-inside = ["children"]`, 1)
				return text + fmt.Sprintf(wishFor, c.setting, c.found)
			})
			if !out.Gate.Open {
				t.Fatalf("no card is made: %v", out.Gate.Because)
			}
			key := setting.Key{Device: "controller", Setting: c.setting}
			s, _ := out.Derived.Get(key)
			if string(s.Value) != c.safe {
				t.Errorf("%s is %q (%s), safety leaves %s", key, s.Value, s.Kind, c.safe)
			}
			if !names(out, c.missing, key.String()) {
				t.Errorf("the sheet does not say that %s settles %s", c.missing, key)
			}
			if left, by := held(t, out, key, c.found); left != c.safe {
				t.Errorf("after the card the device holds %s = %q (%s)", key, left, by)
			}
		})
	}
}

const wishFor = `
[wish.the-other-value]
setting = %q
value = %q
by = "M.O."
`

const foundAt = `schema = "asleft/found/1"
vehicle = "a vehicle"
taken = 2026-11-20
by = "T.V."
[device.controller.read]
%q = %q
`

// names reports whether a fact is listed as missing, with the setting among what it settles.
func names(out *Outcome, fact, settles string) bool {
	for _, m := range out.Derived.Missing {
		if m.Fact == fact && slices.Contains(m.Settles, settles) {
			return true
		}
	}
	return false
}

// held is what a device holds after its cards: by the simulator when the option is keyed, else by the list of what is done by hand.
func held(t *testing.T, out *Outcome, key setting.Key, found string) (value, by string) {
	t.Helper()
	i := slices.IndexFunc(out.Devices, func(d Device) bool { return d.Name == key.Device })
	d := out.Devices[i]
	option, _ := d.Profile.OptionFor(key.Setting)
	if option.How != "keyed" {
		for _, c := range out.Cards {
			for _, h := range slices.Concat(c.Straps, c.Cable) {
				if h.Option == option.ID {
					return h.To, "by hand"
				}
			}
		}
		return found, "not on any card"
	}
	machine, err := keying.Compile(d.Name, d.Profile)
	if err != nil {
		t.Fatal(err)
	}
	values, err := machine.Values(out.start(d))
	if err != nil {
		t.Fatal(err)
	}
	values = completions(machine, values)[1]
	for _, c := range out.Cards {
		if c.Device == d.Name {
			end, err := keying.Execute(machine.Machine, values, c.Card)
			if err != nil {
				t.Fatal(err)
			}
			values = end.Stored
		}
	}
	left, err := machine.Snapshot(values, setting.OriginKeyed)
	if err != nil {
		t.Fatal(err)
	}
	r, _ := left.Get(key)
	return string(r.Value), "keyed"
}
