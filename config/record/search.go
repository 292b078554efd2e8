package record

import (
	"context"
	"errors"
	"strings"
	"time"

	"asleft/config/setting"
)

// Query says what to look for over all vehicles. With a Setting the answer is
// settings as left now; without one it is entries. What is empty fits all.
type Query struct {
	Setting string // name of a setting, or the pattern of its family
	Value   setting.Value
	Device  string    // as the job names it, or by its profile
	Since   time.Time // value left, or entry written, at or after
	Until   time.Time // before
	Kind    Kind
	By      string
	Text    string // part of a reason, a reading or a word, in any case
}

// Hit is one answer.
type Hit struct {
	Vehicle ID
	Present *Present // for a setting
	Item    *Item    // for an entry
}

// searchPage is how many vehicles are looked at in one read.
const searchPage = 256

// Search calls visit for every hit, vehicle by vehicle. The hits of some
// vehicles are gathered at a time and visited when the read is over, so that
// memory does not grow with the record, visit may use the book itself, and
// nobody who wants to write waits for a visit that takes its time. What is
// written meanwhile may be found or not.
func (b *Book) Search(ctx context.Context, q Query, visit func(Hit) error) error {
	var after ID
	for more := true; more; {
		var hits []Hit
		err := b.store.Read(ctx, func(r Reader) (err error) {
			hits, after, more, err = q.page(ctx, r, after)
			return err
		})
		if err != nil {
			return err
		}
		for _, hit := range hits {
			if err := visit(hit); err != nil {
				return err
			}
		}
	}
	return nil
}

// errPageFull ends a page of a search.
var errPageFull = errors.New("page full")

// page gathers the hits of the next vehicles; more says that there are others
// after the last of them.
func (q Query) page(ctx context.Context, r Reader, after ID) (hits []Hit, last ID, more bool, err error) {
	last = after
	seen := 0
	gather := func(hit Hit) error { hits = append(hits, hit); return nil }
	err = r.Subjects(after, func(id ID) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		if seen++; seen > searchPage {
			return errPageFull
		}
		last = id
		return q.vehicle(r, id, gather)
	})
	if err == errPageFull {
		more, err = true, nil
	}
	return hits, last, more, err
}

// vehicle searches one vehicle, under the first of its subjects.
func (q Query) vehicle(r Reader, id ID, visit func(Hit) error) error {
	group, err := vehicleGroup(r, id)
	if err != nil || group[0] != id {
		return err
	}
	h, err := readHistory(r, id)
	if err != nil {
		return err
	}
	if q.Setting != "" || q.Value != "" {
		return q.settings(h, id, visit)
	}
	return q.entries(h, id, visit)
}

func (q Query) settings(h *History, id ID, visit func(Hit) error) error {
	s, err := h.State(time.Time{})
	if err != nil {
		return err
	}
	for i := range s.Settings {
		p := &s.Settings[i]
		fits := (q.Setting == "" || named(p.Setting, q.Setting)) &&
			(q.Value == "" || p.Value == q.Value) &&
			(q.Device == "" || p.Device == q.Device || s.Left != nil && q.profile(s.Left)) &&
			(q.By == "" || p.By == q.By) && q.within(p.Since)
		if !fits {
			continue
		}
		if err := visit(Hit{Vehicle: id, Present: p}); err != nil {
			return err
		}
	}
	return nil
}

// named reports whether a setting has this name or belongs to this family.
func named(name, want string) bool {
	if name == want {
		return true
	}
	f, ok := setting.Find(name)
	return ok && f.Pattern == want
}

func (q Query) within(t time.Time) bool {
	return (q.Since.IsZero() || !t.Before(q.Since)) && (q.Until.IsZero() || t.Before(q.Until))
}

func (q Query) entries(h *History, id ID, visit func(Hit) error) error {
	for i := range h.Items {
		item := &h.Items[i]
		fits := (q.Kind == "" || item.Kind == q.Kind) && (q.By == "" || item.By == q.By) &&
			q.within(item.At) && q.device(item) && q.text(item)
		if !fits {
			continue
		}
		if err := visit(Hit{Vehicle: id, Item: item}); err != nil {
			return err
		}
	}
	return nil
}

func (q Query) device(item *Item) bool {
	for _, c := range item.Changes {
		if c.Device == q.Device {
			return true
		}
	}
	return q.Device == "" || q.profile(item)
}

// profile reports whether an entry rests on the device profile of this name.
func (q Query) profile(item *Item) bool {
	_, ok := item.Blobs[ProfileRole+q.Device]
	return ok
}

func (q Query) text(item *Item) bool {
	want := strings.ToLower(q.Text)
	if want == "" || strings.Contains(strings.ToLower(item.Reason), want) {
		return true
	}
	for _, v := range item.Data {
		if strings.Contains(strings.ToLower(v), want) {
			return true
		}
	}
	return false
}
