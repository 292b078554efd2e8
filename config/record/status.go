package record

import (
	"context"
	"slices"
	"time"
)

// Summary is one vehicle in a list.
type Summary struct {
	Vehicle    ID
	Attributes map[Attribute]string // newest of each; VIN and plate only when they can be opened
	Entries    int
	Opened     time.Time // of the newest job
	Last       Item      // newest entry
	Open       bool      // the newest job, or a comeback, is not closed
	Comeback   *Item     // the oldest open comeback, nil when there is none
	Unsafe     bool      // an open comeback is about safety
	Next       Kind      // the kind of entry that comes next; empty when nothing is open
}

// Label is what people call the vehicle: label, fleet number, plate or number.
func (s Summary) Label() string {
	for _, a := range []Attribute{Label, Fleet, Plate, Stock, RepairOrder} {
		if text := s.Attributes[a]; text != "" {
			return text
		}
	}
	return s.Vehicle.String()
}

// List summarises every vehicle, the one with the newest entry first.
func (b *Book) List(ctx context.Context) ([]Summary, error) {
	var out []Summary
	err := b.store.Read(ctx, func(r Reader) error {
		var subjects []ID
		if err := r.Subjects(ID{}, func(id ID) error { subjects = append(subjects, id); return nil }); err != nil {
			return err
		}
		for _, id := range subjects {
			group, err := vehicleGroup(r, id)
			if err != nil {
				return err
			}
			if group[0] != id {
				continue // told with the first of its group
			}
			s, err := b.summary(r, id)
			if err != nil {
				return err
			}
			out = append(out, s)
		}
		return nil
	})
	slices.SortStableFunc(out, func(a, b Summary) int { return b.Last.At.Compare(a.Last.At) })
	return out, err
}

// Status lists the vehicles on which something is open, unsafe ones first.
func (b *Book) Status(ctx context.Context) ([]Summary, error) {
	all, err := b.List(ctx)
	open := slices.DeleteFunc(all, func(s Summary) bool { return !s.Open })
	slices.SortStableFunc(open, func(a, b Summary) int {
		switch {
		case a.Unsafe == b.Unsafe:
			return 0
		case a.Unsafe:
			return -1
		}
		return 1
	})
	return open, err
}

// Summary summarises one vehicle.
func (b *Book) Summary(ctx context.Context, vehicle ID) (Summary, error) {
	var s Summary
	err := b.store.Read(ctx, func(r Reader) (err error) {
		s, err = b.summary(r, vehicle)
		return err
	})
	return s, err
}

func (b *Book) summary(r Reader, vehicle ID) (Summary, error) {
	h, err := readHistory(r, vehicle)
	if err != nil {
		return Summary{}, err
	}
	return b.summarize(r, vehicle, h)
}

func (b *Book) summarize(r Reader, vehicle ID, h *History) (Summary, error) {
	s := Summary{Vehicle: vehicle, Entries: len(h.Items), Attributes: h.attributes()}
	if len(h.Items) == 0 {
		return s, nil
	}
	if b.keys.origin != "" {
		for _, id := range h.Subjects {
			values, err := b.openValues(r, personalClass, id)
			if err != nil {
				return s, err
			}
			newest(s.Attributes, h, values)
		}
	}
	s.Last = h.Items[len(h.Items)-1]
	s.Next, s.Opened = h.next()
	if open := h.OpenComebacks(); len(open) > 0 {
		s.Comeback = open[len(open)-1]
		if s.Next == "" || s.Next == Closed { // a job is not closed while a comeback is open
			s.Next = h.nextOf(s.Comeback)
		}
	}
	s.Open = s.Next != ""
	s.Unsafe = h.openSafety() != nil
	return s, nil
}

// nextOf says what comes next on a comeback.
func (h *History) nextOf(comeback *Item) Kind {
	next := Observed
	for i := range h.Items {
		if h.Items[i].Points != comeback.Identity {
			continue
		}
		switch h.Items[i].Kind {
		case Observed:
			if next == Observed {
				next = Cause
			}
		case Cause:
			next = Closed
		}
	}
	return next
}

// attributes is the newest of each plain attribute.
func (h *History) attributes() map[Attribute]string {
	out := map[Attribute]string{}
	for i := range h.Items {
		for _, a := range Attributes() {
			if text := h.Items[i].Data[a.data()]; text != "" {
				out[a] = text
			}
		}
	}
	return out
}

// newest adds the VIN and plate that the newest entries committed to.
func newest(out map[Attribute]string, h *History, values []Value) {
	for i := range h.Items {
		for field, commitment := range h.Items[i].Personal {
			for _, v := range values {
				if v.Commitment == commitment && Attribute(field).Personal() {
					out[Attribute(field)] = v.Text
				}
			}
		}
	}
}

// next says what comes next in the newest job; empty when it is closed.
func (h *History) next() (next Kind, opened time.Time) {
	done := map[Kind]bool{}
	for i := range h.Items {
		item := &h.Items[i]
		if item.Kind == Opened {
			opened, done = item.At, map[Kind]bool{}
		}
		if item.Kind == Closed && !item.Points.IsZero() {
			continue // closes a comeback, not the job
		}
		done[item.Kind] = true
	}
	if done[Closed] {
		return "", opened
	}
	for _, kind := range []Kind{Found, Measured, Derived, Left, Tested, HandedOver} {
		if !done[kind] {
			return kind, opened
		}
	}
	return Closed, opened
}
