package record

import (
	"context"
	"fmt"
	"testing"
	"time"
)

// A visit may use the book: the read is over when it is called. And every
// vehicle is visited once, also when there are more than one read looks at.
func TestSearchVisitUsesTheBook(t *testing.T) {
	w := newBench(t)
	var drafts []Draft
	const vehicles = 2*searchPage + 3
	for i := range vehicles {
		drafts = append(drafts, Draft{Kind: Opened, By: "T.V.", Attributes: map[Attribute]string{Fleet: fmt.Sprint("fleet ", i)}})
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if _, err := w.b.RecordAll(ctx, drafts); err != nil {
		t.Fatal(err)
	}
	seen := map[ID]int{}
	done := make(chan error, 1)
	go func() {
		done <- w.b.Search(ctx, Query{Kind: Opened}, func(hit Hit) error {
			seen[hit.Vehicle]++
			if len(seen)%100 == 0 {
				_, err := w.b.Record(ctx, Draft{Kind: Note, Vehicle: hit.Vehicle, By: "M.O.", Data: map[string]string{"text": "seen"}})
				return err
			}
			_, err := w.b.History(ctx, hit.Vehicle)
			return err
		})
	}()
	select {
	case err := <-done:
		if err != nil || len(seen) != vehicles {
			t.Errorf("%d of %d vehicles, %v", len(seen), vehicles, err)
		}
	case <-time.After(time.Minute):
		t.Fatal("a visit that asks the book never comes back")
	}
	for id, n := range seen {
		if n != 1 {
			t.Errorf("%s was visited %d times", id, n)
		}
	}
}
