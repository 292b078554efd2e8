package record

import (
	"context"
	"errors"
	"fmt"
	"testing"
)

// What an answer rests on is checked when it is read, whichever document was changed; what it does not rest on is
// left to Verify, which finds every one.
func TestWhichReadsNothingThatWasChanged(t *testing.T) {
	w := newBench(t)
	v := w.minibus()
	digests := map[string]Digest{}
	for _, item := range w.history(v).Items {
		for role, digest := range item.Blobs {
			digests[role] = digest
		}
	}
	good := w.file()
	for role, digest := range digests {
		t.Run(role, func(t *testing.T) {
			r := w.tampered(good, fmt.Sprintf(`UPDATE document SET bytes = CAST(CAST(bytes AS TEXT) || ' ' AS BLOB) WHERE digest = x'%s'`, digest))
			if r.Outcome != Flawed {
				t.Fatal("the document was not changed")
			}
			o := w.o
			o.Looking = true
			b, err := Open(context.Background(), o)
			if err != nil {
				t.Fatal(err)
			}
			defer b.Close()
			a, err := b.Which(context.Background(), v, func(h *History) error {
				_, _, err := h.Snapshot("left")
				return err
			})
			read := digest == digests["plan"] || digest == digests["left"] // "required" may be the same document
			var flaw *FlawError
			if told := errors.As(err, &flaw) || a != nil && a.Report.Outcome == Flawed; told != read {
				t.Errorf("read: %v; %+v, %v", read, a, err)
			}
			if a != nil && role == "plan" && a.Plan != nil {
				t.Errorf("a plan that was changed is given: %s", a.Plan)
			}
		})
	}
	if len(digests) < 6 {
		t.Errorf("only the documents %v", digests)
	}
}
