package record

import (
	"cmp"
	"context"
	"slices"
	"time"

	"asleft/config/setting"
)

// Present is one setting as left, with its past.
type Present struct {
	setting.Reading
	Since  time.Time // when this value was first recorded as left
	Local  time.Time // the same on the writer's clock
	By     string
	Why    string
	Before setting.Value // the value before; empty when not known
	Entry  ID            // the entry that brought it
}

// PresentState is the newest reading of a state that is no setting.
type PresentState struct {
	setting.StateReading
	Local time.Time // when, on the reader's clock
	By    string
	From  Kind // the entry that brought it
}

// State is a vehicle's settings as left at one time.
type State struct {
	Vehicle    ID
	At         time.Time      // the time asked for; zero is now
	Settings   []Present      // in listing order
	States     []PresentState // the newest reading of each, as found, as left or noted
	Left       *Item          // the newest as-left entry, nil when there is none
	Concurrent bool           // two as-left entries did not know of each other: somebody has to look
}

// State works out the settings as left from the history; a zero time is now.
func (b *Book) State(ctx context.Context, vehicle ID, at time.Time) (*State, error) {
	h, err := b.History(ctx, vehicle)
	if err != nil {
		return nil, err
	}
	return h.State(at)
}

// State works out the settings as left at a time; a zero time is now.
func (h *History) State(at time.Time) (*State, error) {
	s := &State{At: at}
	if len(h.Subjects) > 0 {
		s.Vehicle = h.Subjects[0]
	}
	now := map[setting.Key]*Present{}
	for i := range h.Items {
		item := &h.Items[i]
		if !at.IsZero() && item.At.After(at) {
			continue
		}
		if err := h.apply(s, now, item); err != nil {
			return nil, err
		}
	}
	s.Settings = slices.Grow(s.Settings, len(now))
	for _, p := range now {
		s.Settings = append(s.Settings, *p)
	}
	slices.SortFunc(s.States, func(a, b PresentState) int {
		return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.State, b.State))
	})
	slices.SortFunc(s.Settings, func(a, b Present) int { return setting.CompareKeys(a.Key, b.Key) })
	return s, nil
}

// apply lets one entry speak: found gives what was before, left what is now.
func (h *History) apply(s *State, now map[setting.Key]*Present, item *Item) error {
	var snap setting.Snapshot // at last the one as left
	for _, role := range []string{"found", "states", "left"} {
		if digest, ok := item.Blobs[role]; ok {
			var err error
			if snap, err = h.snapshot(digest); err != nil {
				return err
			}
			s.read(snap.States, item)
		}
	}
	if _, left := item.Blobs["left"]; !left {
		return nil
	}
	before := map[setting.Key]setting.Value{}
	for _, c := range item.Changes {
		before[setting.Key{Device: c.Device, Setting: c.Setting}] = c.From
	}
	s.Concurrent = s.Left != nil && slices.Contains(item.Concurrent, s.Left.Identity)
	s.Left = item
	for _, r := range snap.Readings {
		old, had := now[r.Key]
		if had && old.Status == r.Status && old.Value == r.Value {
			old.Reading = r // how it is known may be new
			continue
		}
		p := &Present{Reading: r, Since: item.At, Local: item.Local(), By: item.By, Why: item.Reason, Entry: item.Identity, Before: before[r.Key]}
		if had {
			p.Before = shownValue(old.Reading)
		}
		now[r.Key] = p
	}
	for key := range now {
		if _, ok := snap.Get(key); !ok {
			delete(now, key)
		}
	}
	return nil
}

// read takes readings of states in: each stays until it is read again.
func (s *State) read(states []setting.StateReading, item *Item) {
	for _, r := range states {
		p := PresentState{r, item.Local(), item.By, item.Kind}
		same := func(old PresentState) bool { return old.Device == r.Device && old.State == r.State }
		if i := slices.IndexFunc(s.States, same); i >= 0 {
			s.States[i] = p
		} else {
			s.States = append(s.States, p)
		}
	}
}

func (h *History) snapshot(d Digest) (setting.Snapshot, error) {
	data, err := h.docs(d)
	if err != nil {
		return setting.Snapshot{}, err
	}
	return setting.ParseSnapshot(data)
}
