package record

import (
	"context"
	"slices"
	"strings"
)

// Answer is what the record has for the front desk: the button plan of the
// newest as-left entry, and how far it can be trusted.
type Answer struct {
	Summary   Summary  // of the vehicle
	History   *History // its entries, as they were verified
	Left      *Item    // the newest as-left entry; nil: nothing was recorded as left
	Plan      []byte   // its plan document; nil when it brought none
	Off       []string // what was set off or refused, in any as-left entry that none is newer than: no gesture may be told for it
	Rivals    []*Item  // as-left entries that were written without knowing of Left, nor it of them
	Complaint *Item    // an open comeback about safety: no gesture may be told at all
	Report    *Report  // what verification of the vehicle's entries proved
}

// Which reads the answer for one vehicle and verifies its entries and the
// head, and each document that it reads; what the answer does not rest on,
// such as the rule base of the day, is left to Verify. A history that cannot
// be read is an error; one that can be read and is not as it was written is in
// the report. more, when not nil, may read further documents of the history
// within the same read; its error is Which's.
func (b *Book) Which(ctx context.Context, vehicle ID, more func(*History) error) (*Answer, error) {
	a := &Answer{Report: &Report{}}
	readable := false
	var failed error
	err := b.store.Read(ctx, func(r Reader) (err error) {
		if a.History, err = readHistory(r, vehicle); err != nil {
			return err
		}
		if a.Summary, err = b.summarize(r, vehicle, a.History); err != nil {
			return err
		}
		readable = true
		if err := b.verifyHistory(r, a.History, a.Report); err != nil {
			return err
		}
		if err := a.fill(); err != nil || more == nil {
			return err
		}
		failed = more(a.History)
		return nil
	})
	if failed != nil {
		return nil, failed
	}
	if err != nil && !(readable && a.Report.damage(err)) {
		return nil, err
	}
	a.Report.conclude()
	a.History.docs = func(d Digest) ([]byte, error) { return b.Document(ctx, d) }
	return a, nil
}

// fill takes the answer out of the history.
func (a *Answer) fill() (err error) {
	a.Left = a.History.Last("left")
	a.Complaint = a.History.openSafety()
	if a.Left == nil {
		return nil
	}
	a.Off = a.Left.Off()
	a.Rivals = a.History.rivals(a.Left)
	for _, other := range a.Rivals {
		for _, what := range other.Off() {
			if !slices.Contains(a.Off, what) {
				a.Off = append(a.Off, what)
			}
		}
	}
	if plan, ok := a.Left.Blobs["plan"]; ok {
		a.Plan, err = a.History.docs(plan)
	}
	return err
}

// Off lists what an as-left entry says is off ("remote-start", "output:ramp").
func (e Entry) Off() []string {
	if e.Data["off"] == "" {
		return nil
	}
	return strings.Split(e.Data["off"], "+")
}

// openSafety is the newest comeback about safety that nothing has closed.
func (h *History) openSafety() *Item {
	for _, item := range h.OpenComebacks() {
		if item.Data["safety"] == "yes" {
			return item
		}
	}
	return nil
}

// OpenComebacks lists the comebacks that no closing entry points to, newest first.
func (h *History) OpenComebacks() []*Item {
	closed := map[ID]bool{}
	var open []*Item
	for i := len(h.Items) - 1; i >= 0; i-- {
		item := &h.Items[i]
		if item.Kind == Closed {
			closed[item.Points] = true
		}
		if item.Kind == Comeback && !closed[item.Identity] {
			open = append(open, item)
		}
	}
	return open
}
