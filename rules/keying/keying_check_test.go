package keying

import (
	"strings"
	"testing"

	"asleft/config/profile"
)

func TestDemoDevicesPassTheCheck(t *testing.T) {
	for _, p := range profile.Demo().All() {
		for _, f := range Check(p) {
			t.Errorf("%s: %v: %s", p.ID, f.Path, f.Message)
		}
	}
}

func checkedState(name, option string, moves ...profile.KeyingMove) profile.KeyingState {
	return profile.KeyingState{Name: name, Words: name, Option: option, Limit: 30, Moves: moves}
}

func checkedOption(id string, item int) profile.Option {
	return profile.Option{ID: id, How: "keyed", Bank: 1, Item: item, Factory: "a", Values: []profile.OptionValue{{Name: "a"}, {Name: "b"}}}
}

func checkedWritten(options []profile.Option, states ...profile.KeyingState) *profile.Profile {
	return &profile.Profile{ID: "x", Options: options, Keying: &profile.Keying{Begin: "out", States: states}}
}

// checkedStyle is a sound device of three options with one change made to it.
func checkedStyle(change func(k *profile.Keying)) *profile.Profile {
	k := &profile.Keying{Levels: "side-by-side", Store: "press", TimeOut: profile.TimeOut{Seconds: 30}}
	k.Enter = profile.Sequence{Steps: []string{"key-run", "tap", "tap"}, Within: 10}
	k.Leave.Steps = []string{"key-off"}
	k.Option = profile.Level{Way: "forward", Input: "tap", Shows: []string{"led number"}}
	k.Value = profile.Level{Way: "cycle", Input: "brake", Shows: []string{"horn value"}}
	change(k)
	return &profile.Profile{ID: "x", Options: []profile.Option{checkedOption("one", 1), checkedOption("two", 2), checkedOption("three", 3)}, Keying: k}
}

// TestCheckFinds: each flaw that would strand a technician is found, at its place.
func TestCheckFinds(t *testing.T) {
	if found := Check(checkedStyle(func(*profile.Keying) {})); len(found) > 0 {
		t.Errorf("a sound device has %v", found)
	}
	for _, c := range []struct {
		name, path, message string
		p                   *profile.Profile
	}{
		{"no such state", "keying.state.in.on.brake", `"away" is not a state`, checkedWritten([]profile.Option{checkedOption("one", 1)},
			checkedState("out", "", profile.KeyingMove{On: "tap", To: "in"}),
			checkedState("in", "one", profile.KeyingMove{On: "brake", To: "away", Does: "next"}))},
		{"no such option", "keying.state.in.option", "not a keyed option", checkedWritten([]profile.Option{checkedOption("one", 1)},
			checkedState("out", "", profile.KeyingMove{On: "tap", To: "in"}), checkedState("in", "two"))},
		{"two at one place", "option.two.item", "same place", checkedWritten([]profile.Option{checkedOption("one", 1), checkedOption("two", 1)}, checkedState("out", ""))},
		{"no exit", "keying.state.trap", "nothing leads out", checkedWritten([]profile.Option{checkedOption("one", 1)},
			checkedState("out", "", profile.KeyingMove{On: "tap", To: "in"}),
			checkedState("in", "one", profile.KeyingMove{On: "brake", To: "in", Does: "next"}, profile.KeyingMove{On: "hold-2", To: "out"}, profile.KeyingMove{On: "hold-5", To: "trap"}),
			checkedState("trap", ""))},
		{"unreachable state", "keying.state.island", "no row of inputs leads", checkedWritten([]profile.Option{checkedOption("one", 1)},
			checkedState("out", "", profile.KeyingMove{On: "tap", To: "in"}),
			checkedState("in", "one", profile.KeyingMove{On: "brake", To: "in", Does: "next"}, profile.KeyingMove{On: "hold-2", To: "out"}),
			checkedState("island", "", profile.KeyingMove{On: "tap", To: "out"}))},
		{"unreachable option", "keying", "option two cannot be reached", checkedWritten([]profile.Option{checkedOption("one", 1), checkedOption("two", 2)},
			checkedState("out", "", profile.KeyingMove{On: "tap", To: "in"}),
			checkedState("in", "one", profile.KeyingMove{On: "brake", To: "in", Does: "next"}, profile.KeyingMove{On: "hold-2", To: "out"}))},
		{"unreachable value", "keying", "option one cannot be set to b", checkedWritten([]profile.Option{checkedOption("one", 1)},
			checkedState("out", "", profile.KeyingMove{On: "tap", To: "in"}),
			checkedState("in", "one", profile.KeyingMove{On: "brake", To: "in", Does: "set a"}, profile.KeyingMove{On: "hold-2", To: "out"}))},
		{"alike", "keying", "answer alike", checkedStyle(func(k *profile.Keying) { k.Option.Shows = []string{"led 1"} })},
		{"no echo", "keying.option.shows", "wrong count", checkedStyle(func(k *profile.Keying) {
			k.Option = profile.Level{Way: "count", Input: "tap", Gap: 2, Shows: []string{"led 1"}}
		})},
		{"short gap", "keying.option.gap", "slow finger", checkedStyle(func(k *profile.Keying) {
			k.Option = profile.Level{Way: "count", Input: "tap", Gap: 0.4, Shows: []string{"led number"}}
		})},
		{"short entry", "keying.enter.within", "hands need 2 s", checkedStyle(func(k *profile.Keying) { k.Enter.Within = 1.5 })},
		{"short time-out", "keying.time-out.seconds", "time limit of 1 s", checkedStyle(func(k *profile.Keying) { k.TimeOut.Seconds = 1 })},
		{"holds", "keying", "cannot tell them apart", checkedStyle(func(k *profile.Keying) { k.Value.Input, k.Leave.Steps = "hold-2", []string{"hold-2.5"} })},
		{"two meanings", "keying", "means two things", checkedStyle(func(k *profile.Keying) { k.Value.Input = "tap" })},
		{"no way in", "keying", "no steps", checkedStyle(func(k *profile.Keying) { k.Enter.Steps = nil })},
	} {
		found := Check(c.p)
		ok := false
		for _, f := range found {
			ok = ok || strings.Join(f.Path, ".") == c.path && strings.Contains(f.Message, c.message)
		}
		if !ok {
			t.Errorf("%s: found %v, want %q at %s", c.name, found, c.message, c.path)
		}
	}
}
