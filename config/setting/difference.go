package setting

import "slices"

// Difference is a setting that two snapshots do not say the same about. A
// snapshot that does not hold the key counts as saying unknown.
type Difference struct {
	Key
	From, To Reading
}

// Certain reports whether both sides are known or not applicable; otherwise the
// difference may only be one of knowledge.
func (d Difference) Certain() bool {
	return d.From.Status != StatusUnknown && d.To.Status != StatusUnknown
}

// Differences lists what changed between two snapshots, in the order of
// listings. The origin of a value is no difference.
func Differences(from, to Snapshot) []Difference {
	keys := make([]Key, 0, len(from.Readings)+len(to.Readings))
	for _, r := range from.Readings {
		keys = append(keys, r.Key)
	}
	for _, r := range to.Readings {
		keys = append(keys, r.Key)
	}
	slices.SortFunc(keys, CompareKeys)
	var out []Difference
	for _, k := range slices.Compact(keys) {
		a, b := from.reading(k), to.reading(k)
		if a.Status != b.Status || a.Value != b.Value {
			out = append(out, Difference{Key: k, From: a, To: b})
		}
	}
	return out
}

// reading is Get with unknown for what the snapshot does not hold.
func (s Snapshot) reading(k Key) Reading {
	if r, ok := s.Get(k); ok {
		return r
	}
	return Reading{Key: k, Status: StatusUnknown}
}

// StateDifference is a state that two snapshots do not say the same about.
type StateDifference struct {
	Device, State string
	From, To      StateReading
}

// StateDifferences lists the states that changed, by device and state.
func StateDifferences(from, to Snapshot) []StateDifference {
	all := slices.Concat(from.States, to.States)
	slices.SortFunc(all, compareStates)
	all = slices.CompactFunc(all, func(a, b StateReading) bool { return compareStates(a, b) == 0 })
	var out []StateDifference
	for _, r := range all {
		a, b := from.state(r.Device, r.State), to.state(r.Device, r.State)
		if a != b {
			out = append(out, StateDifference{Device: r.Device, State: r.State, From: a, To: b})
		}
	}
	return out
}

func (s Snapshot) state(device, name string) StateReading {
	if r, ok := s.GetState(device, name); ok {
		return r
	}
	return StateReading{Device: device, State: name, Status: StatusUnknown}
}
