package record

import (
	"errors"
	"os"
	"runtime"
	"testing"
)

// A link that leads nowhere, put in the head file's place, is a missing head file: the next write says so, and what
// it makes there anew is no witness.
func TestHeadLinkedNowhere(t *testing.T) {
	if runtime.GOOS == "windows" {
		return // links need rights of their own there
	}
	w := newBench(t)
	w.record(Draft{Kind: Opened})
	cut, _ := os.ReadFile(w.o.Path)
	w.record(Draft{Kind: Opened})
	head := w.b.state.headPath(w.b.Origin())
	w.b.Close()
	os.WriteFile(w.o.Path, cut, 0o600)
	if err := errors.Join(os.Remove(head), os.Symlink("nowhere", head)); err != nil {
		t.Fatal(err)
	}
	w.open()
	w.record(Draft{Kind: Opened, Identity: ID{7}})
	if r := w.verify(); r.Outcome != Unwitnessed || r.Books[0].HeadLost != 1 || r.Books[0].Size != 3 {
		t.Errorf("a head file made anew is taken for a witness: %+v", r)
	}
}
