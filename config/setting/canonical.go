package setting

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// snapshotSchema names the format of the canonical bytes.
const snapshotSchema = "asleft/snapshot/1"

// maxSnapshot bounds what ParseSnapshot looks at; a vehicle with every setting
// of the vocabulary on eight devices needs a tenth of it.
const maxSnapshot = 1 << 20

// Canonical returns the one encoding of the snapshot: JSON as RFC 8785 writes
// it. Two snapshots have the same bytes exactly when they say the same. The
// snapshot need not be sorted; what NewSnapshot refuses is written as it stands
// and ParseSnapshot refuses it.
func (s Snapshot) Canonical() []byte {
	return s.canonical(nil)
}

// canonical appends the encoding to dst.
func (s Snapshot) canonical(dst []byte) []byte {
	s = Snapshot{Readings: slices.Clone(s.Readings), States: slices.Clone(s.States)}
	s.sort()
	dst = append(dst, `{"readings":[`...)
	for i, r := range s.Readings {
		dst = appendObject(dst, i, "device", r.Device, "origin", string(r.Origin),
			"setting", r.Setting, "status", string(r.Status), "value", string(r.Value))
	}
	dst = append(dst, `],"schema":"`+snapshotSchema+`","states":[`...)
	for i, r := range s.States {
		dst = appendObject(dst, i, "device", r.Device, "state", r.State,
			"status", string(r.Status), "value", string(r.Value))
	}
	return append(dst, `]}`...)
}

// appendObject writes an object of string members, leaving out the empty ones;
// the members are given in their sorted order.
func appendObject(dst []byte, place int, members ...string) []byte {
	if place > 0 {
		dst = append(dst, ',')
	}
	open := byte('{')
	for i := 0; i < len(members); i += 2 {
		if members[i+1] == "" {
			continue
		}
		dst = append(dst, open)
		dst = AppendString(dst, members[i])
		dst = append(dst, ':')
		dst = AppendString(dst, members[i+1])
		open = ','
	}
	if open == '{' {
		dst = append(dst, open)
	}
	return append(dst, '}')
}

// ParseSnapshot reads canonical bytes and refuses all others: a second order,
// white space, another escape, a member twice or unknown are errors, so that
// ParseSnapshot(b).Canonical() is always b. It checks the form of names and
// values; Check compares them with the vocabulary.
func ParseSnapshot(data []byte) (Snapshot, error) {
	if len(data) > maxSnapshot {
		return Snapshot{}, fmt.Errorf("snapshot of %d bytes is larger than %d", len(data), maxSnapshot)
	}
	if !utf8.Valid(data) {
		return Snapshot{}, fmt.Errorf("snapshot is no valid UTF-8")
	}
	s, plain := plainSnapshot(string(data))
	if !plain {
		var err error
		if s, err = jsonSnapshot(data); err != nil {
			return Snapshot{}, err
		}
	}
	// Comparing with our own encoding finds everything that the readers let
	// pass: order, doubles, unknown members, letter case, escapes, blanks.
	if again := s.canonical(make([]byte, 0, len(data))); !bytes.Equal(again, data) {
		return Snapshot{}, fmt.Errorf("snapshot is not canonical at byte %d", firstDifference(again, data))
	}
	if faults := s.formFaults(); len(faults) > 0 {
		return Snapshot{}, &SnapshotError{Faults: faults}
	}
	return s, nil
}

// jsonSnapshot reads a snapshot as JSON.
func jsonSnapshot(data []byte) (Snapshot, error) {
	var file struct {
		Readings []struct{ Device, Origin, Setting, Status, Value string }
		Schema   string
		States   []struct{ Device, State, Status, Value string }
	}
	if err := json.Unmarshal(data, &file); err != nil {
		return Snapshot{}, fmt.Errorf("snapshot: %w", err)
	}
	if file.Schema != snapshotSchema {
		return Snapshot{}, fmt.Errorf("snapshot: found schema %q, expected %q", file.Schema, snapshotSchema)
	}
	s := Snapshot{Readings: slices.Grow([]Reading(nil), len(file.Readings))}
	for _, r := range file.Readings {
		s.Readings = append(s.Readings, Reading{Key{r.Device, r.Setting}, Value(r.Value), Status(r.Status), Origin(r.Origin)})
	}
	for _, r := range file.States {
		s.States = append(s.States, StateReading{r.Device, r.State, Value(r.Value), Status(r.Status)})
	}
	return s, nil
}

func firstDifference(a, b []byte) int {
	n := min(len(a), len(b))
	for i := range n {
		if a[i] != b[i] {
			return i
		}
	}
	return n
}

// formFaults lists what breaks the form of a snapshot, without regard to the
// vocabulary; the snapshot must be sorted.
func (s Snapshot) formFaults() []string {
	var faults []string
	for i, r := range s.Readings {
		if i > 0 && s.Readings[i-1].Key == r.Key {
			faults = append(faults, fmt.Sprintf("%s is given twice", r.Key))
		}
		if fault := r.formFault(); fault != "" {
			faults = append(faults, fmt.Sprintf("%s: %s", r.Key, fault))
		}
	}
	for i, r := range s.States {
		if i > 0 && compareStates(s.States[i-1], r) == 0 {
			faults = append(faults, fmt.Sprintf("%s %s is given twice", r.Device, r.State))
		}
		if fault := r.formFault(); fault != "" {
			faults = append(faults, fmt.Sprintf("%s %s: %s", r.Device, r.State, fault))
		}
	}
	return faults
}

func (r Reading) formFault() string {
	if !isName(r.Device) {
		return "the device's name needs small letters, digits and hyphens"
	}
	for part := range strings.SplitSeq(r.Setting, ".") {
		if !isName(part) {
			return "the setting's name needs parts of small letters, digits and hyphens joined by dots"
		}
	}
	switch r.Status {
	case StatusKnown:
		if !canonicalForm(string(r.Value)) {
			return fmt.Sprintf("value %q is not in canonical form", r.Value)
		}
		if !slices.Contains(origins, string(r.Origin)) {
			return fmt.Sprintf("found origin %q, expected one of %s", r.Origin, strings.Join(origins, ", "))
		}
	case StatusUnknown, StatusNotApplicable:
		if r.Value != "" || r.Origin != "" {
			return fmt.Sprintf("status %s has neither value nor origin", r.Status)
		}
	default:
		return fmt.Sprintf("found status %q, expected known, unknown or not-applicable", r.Status)
	}
	return ""
}

func (r StateReading) formFault() string {
	switch {
	case !isName(r.Device) || !isName(r.State):
		return "names need small letters, digits and hyphens"
	case r.Status == StatusKnown && (r.Value == "" || !printable(string(r.Value))):
		return fmt.Sprintf("value %q is empty or not printable", r.Value)
	case r.Status == StatusUnknown && r.Value != "":
		return "status unknown has no value"
	case r.Status != StatusKnown && r.Status != StatusUnknown:
		return fmt.Sprintf("found status %q, expected known or unknown", r.Status)
	}
	return ""
}
