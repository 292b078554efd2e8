package setting

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Key names one setting of one device. Device is the name that the job gives
// the device ("controller"), not the id of its profile.
type Key struct {
	Device  string
	Setting string
}

// String is "device setting".
func (k Key) String() string { return k.Device + " " + k.Setting }

// CompareKeys is the order of listings: by device, then by Less.
func CompareKeys(a, b Key) int {
	return cmp.Or(cmp.Compare(a.Device, b.Device), Compare(a.Setting, b.Setting))
}

// Status says what is known about a reading.
type Status string

const (
	// StatusKnown: Value and Origin hold.
	StatusKnown Status = "known"
	// StatusUnknown: nobody has seen it; Value and Origin are empty.
	StatusUnknown Status = "unknown"
	// StatusNotApplicable: it has no meaning here; Value and Origin are empty.
	StatusNotApplicable Status = "not-applicable"
)

// Origin says where a known value comes from, the surest first.
type Origin string

const (
	// OriginRead was read out of the device.
	OriginRead Origin = "read"
	// OriginObserved follows from what the vehicle was seen doing.
	OriginObserved Origin = "observed"
	// OriginKeyed was set by the technician and not read back.
	OriginKeyed Origin = "keyed"
	// OriginFactory is assumed: the profile's factory value.
	OriginFactory Origin = "factory"
)

var origins = []string{string(OriginRead), string(OriginObserved), string(OriginKeyed), string(OriginFactory)}

// Origins returns the words of Origin, the surest first.
func Origins() []string { return slices.Clone(origins) }

// Reading is what is known about one setting of one device.
type Reading struct {
	Key
	Value  Value
	Status Status
	Origin Origin
}

// StateReading is what is known about one state of one device; the status is
// known or unknown.
type StateReading struct {
	Device string
	State  string
	Value  Value
	Status Status
}

// Snapshot is all that is known about the settings and states of a vehicle's
// devices at one time. Make it with NewSnapshot; the zero value is empty.
type Snapshot struct {
	Readings []Reading
	States   []StateReading
}

// NewSnapshot sorts copies of the readings and refuses what no snapshot can
// hold: a key twice, a malformed name, a value not in canonical form, or a value
// where the status says there is none. The error names every fault.
func NewSnapshot(readings []Reading, states []StateReading) (Snapshot, error) {
	s := Snapshot{Readings: slices.Clone(readings), States: slices.Clone(states)}
	s.sort()
	if faults := s.formFaults(); len(faults) > 0 {
		return Snapshot{}, &SnapshotError{Faults: faults}
	}
	return s, nil
}

// SnapshotError lists what is wrong with a snapshot, one line a fault.
type SnapshotError struct{ Faults []string }

// Error joins the faults.
func (e *SnapshotError) Error() string { return strings.Join(e.Faults, "\n") }

// Get returns the reading of a key; the snapshot must be sorted.
func (s Snapshot) Get(k Key) (Reading, bool) {
	i, ok := slices.BinarySearchFunc(s.Readings, k, func(r Reading, k Key) int { return byteOrder(r.Key, k) })
	if !ok {
		return Reading{}, false
	}
	return s.Readings[i], true
}

// GetState returns the reading of a state.
func (s Snapshot) GetState(device, state string) (StateReading, bool) {
	for _, r := range s.States {
		if r.Device == device && r.State == state {
			return r, true
		}
	}
	return StateReading{}, false
}

// Check compares the snapshot with today's vocabulary and returns a
// *SnapshotError with every setting, state and value that it does not know.
func (s Snapshot) Check() error {
	faults := s.formFaults()
	for _, r := range s.Readings {
		f, ok := Find(r.Setting)
		if !ok {
			faults = append(faults, unknownName("setting", r.Setting, Nearest(r.Setting)))
			continue
		}
		if r.Status == StatusKnown && !f.Legal(r.Value) {
			faults = append(faults, fmt.Sprintf("%s: found %q, expected %s", r.Key, r.Value, f.Expected()))
		}
	}
	for _, r := range s.States {
		f, ok := FindState(r.State)
		if !ok {
			faults = append(faults, unknownName("state", r.State, nearest(r.State, stateNames())))
			continue
		}
		if r.Status == StatusKnown && !f.family().Legal(r.Value) {
			faults = append(faults, fmt.Sprintf("%s %s: found %q, expected %s", r.Device, r.State, r.Value, f.Expected()))
		}
	}
	if len(faults) > 0 {
		return &SnapshotError{Faults: faults}
	}
	return nil
}

func unknownName(what, name, near string) string {
	text := fmt.Sprintf("unknown %s %q", what, name)
	if near != "" {
		text += fmt.Sprintf("; nearest is %q", near)
	}
	return text
}

func stateNames() []string {
	var names []string
	for _, s := range states {
		names = append(names, s.Name)
	}
	return names
}

// sort puts readings and states into the canonical order.
func (s *Snapshot) sort() {
	slices.SortStableFunc(s.Readings, func(a, b Reading) int { return byteOrder(a.Key, b.Key) })
	slices.SortStableFunc(s.States, compareStates)
}

// byteOrder is the order of canonical bytes; it does not know the vocabulary.
func byteOrder(a, b Key) int {
	return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.Setting, b.Setting))
}

func compareStates(a, b StateReading) int {
	return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.State, b.State))
}
