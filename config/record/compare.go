package record

import (
	"context"
	"slices"

	"asleft/config/setting"
)

// Today is what a comparison is made with, as far as the caller has it.
type Today struct {
	Required *setting.Snapshot // derived today from the job; nil: the newest derived entry
	Found    *setting.Snapshot // read just now; nil: the newest as-found entry after as left, if any
	Factory  *setting.Snapshot // the devices' factory values, to see lost power
	Rules    Digest            // of today's rule base; zero: not compared
	Job      bool              // the job is another one now: [Book.JobChanged]
}

// Comparison puts required, left and found side by side.
type Comparison struct {
	Rows    []CompareRow
	Differ  bool // any row differs: status 5
	Derived *Item
	Left    *Item
	Found   *Item   // nil when Found was given by the caller, or nothing was found since
	Rivals  []*Item // as-left entries that were written without knowing of Left, nor it of them

	before setting.Snapshot // as found before it was left
}

// CompareRow is one setting. A reading that is not there has an empty Status.
type CompareRow struct {
	setting.Key
	Required, Left, Found setting.Reading
	Differs               bool
	Why                   []string // word ids, likeliest first: rules-changed, job-changed, overridden, not-set, as-before, lost-power, somebodys-hand
}

// Compare puts required today, as left and as found side by side and says
// what may be behind each difference.
func (h *History) Compare(today Today) (*Comparison, error) {
	c := &Comparison{Derived: h.Last("required")}
	var snaps [3]setting.Snapshot
	var err error
	if today.Required != nil {
		snaps[0] = *today.Required
	} else if snaps[0], _, err = h.Snapshot("required"); err != nil {
		return nil, err
	}
	if snaps[1], c.Left, err = h.Snapshot("left"); err != nil {
		return nil, err
	}
	if snaps[2], c.Found, err = h.foundSince(today, c.Left); err != nil {
		return nil, err
	}
	if c.before, err = h.foundBefore(c.Left); err != nil {
		return nil, err
	}
	c.Rivals = h.rivals(c.Left)
	for _, key := range allKeys(snaps[:]) {
		row := CompareRow{Key: key}
		row.Required, _ = snaps[0].Get(key)
		row.Left, _ = snaps[1].Get(key)
		row.Found, _ = snaps[2].Get(key)
		c.explain(&row, today)
		c.Differ = c.Differ || row.Differs
		c.Rows = append(c.Rows, row)
	}
	return c, nil
}

// JobChanged reports whether a job is another than the one that the vehicle's
// newest required settings rest on. The record keeps a job without its personal
// values, so both are compared without them; once they are erased nobody can
// tell, and nothing is said.
func (b *Book) JobChanged(ctx context.Context, vehicle ID, today []byte) (changed bool, err error) {
	err = b.store.Read(ctx, func(r Reader) error {
		h, err := readHistory(r, vehicle)
		if err != nil {
			return err
		}
		derived := h.Last("required")
		if derived == nil || derived.Blobs["job"].IsZero() || h.lastIndex(Erased) >= 0 {
			return nil
		}
		kept, err := h.docs(derived.Blobs["job"])
		if err != nil {
			return err
		}
		clean, err := b.redactorOf(r, vehicle)
		changed = clean.redact(string(kept)) != clean.redact(string(today))
		return err
	})
	return changed, err
}

// foundSince is what was found now, or last found after as left.
func (h *History) foundSince(today Today, left *Item) (setting.Snapshot, *Item, error) {
	if today.Found != nil {
		return *today.Found, nil, nil
	}
	found := h.Last("found")
	if found == nil || left != nil && h.index(found.Identity) < h.index(left.Identity) {
		return setting.Snapshot{}, nil, nil
	}
	snap, err := h.snapshot(found.Blobs["found"])
	return snap, found, err
}

// rivals are the as-left entries that did not know of this one, nor it of them.
func (h *History) rivals(left *Item) []*Item {
	var out []*Item
	for i := range h.Items {
		item := &h.Items[i]
		if _, is := item.Blobs["left"]; is && left != nil && slices.Contains(left.Concurrent, item.Identity) {
			out = append(out, item)
		}
	}
	return out
}

// foundBefore is what was found before the work that left was the end of.
func (h *History) foundBefore(left *Item) (setting.Snapshot, error) {
	if left != nil {
		for i := h.index(left.Identity) - 1; i >= 0; i-- {
			if digest, ok := h.Items[i].Blobs["found"]; ok {
				return h.snapshot(digest)
			}
		}
	}
	return setting.Snapshot{}, nil
}

func allKeys(snaps []setting.Snapshot) []setting.Key {
	seen := map[setting.Key]bool{}
	var keys []setting.Key
	for _, s := range snaps {
		for _, r := range s.Readings {
			if !seen[r.Key] {
				seen[r.Key] = true
				keys = append(keys, r.Key)
			}
		}
	}
	slices.SortFunc(keys, setting.CompareKeys)
	return keys
}

// differs reports whether both are known and not the same value.
func differs(a, b setting.Reading) bool {
	return a.Status == setting.StatusKnown && b.Status == setting.StatusKnown && a.Value != b.Value
}

func (c *Comparison) explain(row *CompareRow, today Today) {
	if differs(row.Required, row.Left) {
		row.Differs = true
		row.Why = append(row.Why, c.whyLeft(row, today)...)
	}
	if differs(row.Left, row.Found) {
		row.Differs = true
		b, ok := c.before.Get(row.Key)
		asBefore := ok && b.Status == setting.StatusKnown && b.Value == row.Found.Value
		if asBefore {
			row.Why = append(row.Why, "as-before")
		}
		if today.Factory != nil {
			if f, ok := today.Factory.Get(row.Key); ok && f.Value == row.Found.Value {
				row.Why = append(row.Why, "lost-power")
			}
		}
		if !asBefore {
			row.Why = append(row.Why, "somebodys-hand")
		}
	}
	if row.Left.Status == "" && differs(row.Required, row.Found) {
		row.Differs = true
		row.Why = append(row.Why, c.whyNotSet())
	}
}

// whyLeft says why what is required today was not left that day.
func (c *Comparison) whyLeft(row *CompareRow, today Today) []string {
	var why []string
	for _, item := range []*Item{c.Left, c.Derived} {
		if item == nil {
			continue
		}
		for _, change := range item.Changes {
			if change.Override && change.Device == row.Device && change.Setting == row.Setting {
				return []string{"overridden"}
			}
		}
	}
	if c.Derived != nil {
		if rules, ok := c.Derived.Blobs["rules"]; ok && !today.Rules.IsZero() && rules != today.Rules {
			why = append(why, "rules-changed")
		}
		if today.Job {
			why = append(why, "job-changed")
		}
	}
	if len(why) == 0 {
		why = append(why, c.whyNotSet())
	}
	return why
}

// whyNotSet tells work that is not at its end from work that was done otherwise.
func (c *Comparison) whyNotSet() string {
	if c.Left == nil {
		return "nothing-left"
	}
	return "not-set"
}
