package record

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// deadProcess is the number of a process of ours that has ended.
func deadProcess(t *testing.T) int {
	t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	if err := cmd.Run(); err != nil {
		t.Fatal(err)
	}
	return cmd.Process.Pid
}

// leftBehind are the names in dir that begin as unfinished files do.
func leftBehind(t *testing.T, dir string) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(dir, ".new-*"))
	if err != nil {
		t.Fatal(err)
	}
	for i := range found {
		found[i] = filepath.Base(found[i])
	}
	return found
}

// What a killed process left is taken away by the next one that writes, in the
// state folder, beside the record and where a new file is made. Files of
// processes that live, of other machines and of other programs stay.
func TestUnfinishedFilesGo(t *testing.T) {
	w := newBench(t)
	w.record(Draft{Kind: Opened})
	w.b.Close()
	away := t.TempDir()
	dirs := []string{w.o.StateDir, filepath.Dir(w.o.Path), away}
	stay := []string{
		fmt.Sprintf(".new-%s-%d-77", machineMark(), os.Getpid()), fmt.Sprintf(".new-%s-%d-77", machineMark(), os.Getppid()),
		".new-0badf00d-1-77", ".new-77", ".new-" + machineMark() + "-0x1-77", ".new-" + machineMark() + "-999999999999999999999-77",
	}
	dead := deadProcess(t)
	gone := fmt.Sprintf(".new-%s-%d-77", machineMark(), dead)
	stay = append(stay, fmt.Sprintf(".new-%s-%d-78", machineMark(), dead)) // a folder
	for _, dir := range dirs {
		for _, name := range append(stay[:6:6], gone) {
			if err := os.WriteFile(filepath.Join(dir, name), []byte("half"), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.Mkdir(filepath.Join(dir, stay[6]), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	slices.Sort(stay)
	want := func(when string, dir string, left []string) {
		if is := leftBehind(t, dir); !slices.Equal(is, left) {
			t.Errorf("%s, in %s: %q, want %q", when, dir, is, left)
		}
	}
	all := append(slices.Clone(stay), gone)
	slices.Sort(all)
	if _, err := w.look(); err != nil {
		t.Fatal(err)
	}
	want("after looking", w.o.StateDir, all)
	w.open()
	want("after opening", w.o.StateDir, stay)
	want("after opening", filepath.Dir(w.o.Path), stay)
	want("after opening", away, all)
	if err := w.b.ExtractFile(t.Context(), w.minibus(), Copy{File: filepath.Join(away, "x"), By: "T.V."}); err != nil {
		t.Fatal(err)
	}
	want("after a new file was made", away, stay)
}

// The new head of a writer is taken away under its hands, as by a process that
// cannot see that it lives: it is made again, and the entry is witnessed.
func TestUnfinishedHeadTakenAway(t *testing.T) {
	w := newBench(t)
	w.record(Draft{Kind: Opened})
	var r Receipt
	err := w.b.store.Write(t.Context(), func(tx Writer) error {
		p, err := w.b.newPen(tx)
		if err != nil {
			return err
		}
		d := Draft{Kind: Opened, By: "T.V."}
		if err := errors.Join(w.b.identify(&d), p.write(&d)); err != nil {
			return err
		}
		receipts, err := p.finish()
		r = receipts[0]
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	next := w.b.state.prepareHead(r.Checkpoint)
	<-next.done
	if err := os.Remove(next.name); err != nil {
		t.Fatal(err)
	}
	if err := w.b.keepHead(t.Context(), next); err != nil {
		t.Fatal(err)
	}
	if head, ok, err := w.b.headFile(); err != nil || !ok || head.Size != 2 {
		t.Errorf("%+v %v %v", head, ok, err)
	}
	if left := leftBehind(t, w.o.StateDir); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

// A file that cannot be searched for erased values is a fault with a message
// that says what stands and what to do.
func TestUnsearched(t *testing.T) {
	s := &SQLite{path: filepath.Join(t.TempDir(), "gone"), dropped: remains{[]byte("needle")}}
	err := s.swept(s.scrub())
	var fault *FileError
	if !errors.As(err, &fault) || fault.Class != Broken || fault.Hint() == "" || !strings.Contains(err.Error(), "are erased, but old copies") {
		t.Errorf("%v", err)
	}
}
