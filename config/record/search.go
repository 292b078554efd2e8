package record

import (
	"context"
	"strings"
	"time"

	"asleft/config/setting"
)

// Query says what to look for over all vehicles. With a Setting the answer is
// settings as left now; without one it is entries. What is empty fits all.
type Query struct {
	Setting string // name of a setting, or the pattern of its family
	Value   setting.Value
	Device  string
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

// Search calls visit for every hit, vehicle by vehicle; memory does not grow
// with the record.
func (b *Book) Search(ctx context.Context, q Query, visit func(Hit) error) error {
	return b.store.Read(ctx, func(r Reader) error {
		return r.Subjects(func(id ID) error {
			if err := ctx.Err(); err != nil {
				return err
			}
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
		})
	})
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
			(q.Device == "" || p.Device == q.Device) &&
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
	return q.Device == ""
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
