package record

import (
	"context"
	"strings"
)

// Answer is what the record has for the front desk: the button plan of the
// newest as-left entry, and how far it can be trusted.
type Answer struct {
	Vehicle   ID
	Left      *Item    // the newest as-left entry; nil: nothing was recorded as left
	Plan      []byte   // its plan document; nil when it brought none
	Off       []string // what was set off or refused: no gesture may be told for it
	Complaint *Item    // an open comeback about safety: no gesture may be told at all
	Report    *Report  // what verification of the vehicle's entries proved
}

// Which reads the answer for one vehicle and verifies its entries and the head.
func (b *Book) Which(ctx context.Context, vehicle ID) (*Answer, error) {
	a := &Answer{Vehicle: vehicle, Report: &Report{}}
	err := b.store.Read(ctx, func(r Reader) error {
		h, err := b.verifyVehicle(r, vehicle, a.Report)
		if err != nil {
			return err
		}
		a.Left = h.Last("left")
		a.Complaint = h.openSafety()
		if a.Left == nil {
			return nil
		}
		a.Off = a.Left.Off()
		if _, ok := a.Left.Blobs["plan"]; ok {
			a.Plan, err = h.docs(a.Left.Blobs["plan"])
		}
		return err
	})
	if err != nil && !a.Report.damage(err) {
		return nil, err
	}
	a.Report.conclude()
	return a, nil
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
