package record

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// reference finds the programs that a check needs. Without them the check is
// left out with a line that says so, or fails when all were asked for.
func reference(t *testing.T, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err == nil {
			continue
		}
		if os.Getenv("ASLEFT_REFERENCE") == "all" {
			t.Fatalf("%s is missing", p)
		}
		fmt.Printf("%s: left out, %s is not here\n", t.Name(), p)
		t.Skip()
	}
}

// The root by sqlite3 and sha256sum alone is the one on the checkpoint.
func TestRootByHand(t *testing.T) {
	reference(t, "sh", "sqlite3", "sha256sum", "xxd")
	w := newBench(t)
	w.minibus()
	w.minibus()
	w.record(Draft{Kind: Opened})
	c, err := w.b.Checkpoint(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("sh", "../../testdata/record/root_by_hand.sh", w.o.Path).CombinedOutput()
	if want := fmt.Sprintf("%d %s\n", c.Size, c.Root); err != nil || string(out) != want {
		t.Errorf("%q %v; want %q", out, err, want)
	}
}

// A verifier in another language, written from the package comment, agrees
// about good extracts and about broken ones.
func TestVerifierInAnotherLanguage(t *testing.T) {
	reference(t, "python3")
	w := newBench(t)
	v := w.minibus()
	for range 4 {
		w.record(Draft{Kind: Opened})
	}
	w.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": "p\u00e9ch\u00e9 \U0001f602"}})
	var good bytes.Buffer
	if err := w.b.Extract(context.Background(), v, &good); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "extract")
	agree := func(what string, data []byte) {
		t.Helper()
		x, err := VerifyExtract(bytes.NewReader(data), "x", ExtractOptions{})
		ours := err == nil && x.Report.Outcome != Flawed
		os.WriteFile(file, data, 0o600)
		out, err := exec.Command("python3", "-B", "../../testdata/record/verify_extract.py", file).CombinedOutput()
		if theirs := err == nil; ours != theirs {
			t.Errorf("%s: ours %v, the other %v: %s", what, ours, theirs, out)
		}
	}
	agree("good", good.Bytes())
	lines := strings.SplitAfter(strings.TrimSuffix(good.String(), "\n"), "\n")
	lines = lines[:len(lines)-1]
	for i := range counted(t, "forged lines", len(lines), 3) {
		without := append(append([]string{}, lines[:i]...), lines[i+1:]...)
		if !strings.Contains(lines[i], `"line":"continues"`) { // the other verifier does not read these
			agree("line left out", []byte(strings.Join(withEnd(without), "")))
		}
		changed := append([]string{}, lines...)
		changed[i] = strings.Replace(lines[i], "T.V.", "X.Y.", 1)
		agree("name changed", []byte(strings.Join(withEnd(changed), "")))
	}
	agree("cut short", good.Bytes()[:good.Len()/2])
}

// Every vector of one fault is found by a verifier in another language too, at the same entry, and the
// frozen book without a fault has none.
func TestVectorsInAnotherLanguage(t *testing.T) { everyFormat(t, testVectorsInAnotherLanguage) }

func testVectorsInAnotherLanguage(t *testing.T, format int) {
	reference(t, "python3")
	run := func(more ...string) string {
		args := append([]string{"-B", "../../testdata/record/verify_book.py", frozen(format) + "/record.db", frozen(format) + "/book.head"}, more...)
		out, err := exec.Command("python3", args...).CombinedOutput()
		if err != nil {
			t.Errorf("%v: %s", err, out)
		}
		return string(out)
	}
	if out := run(); out != "" {
		t.Errorf("the frozen book: %s", out)
	}
	if out := run(frozen(1) + "/vectors.txt"); out != "87 vectors, 0 disagree\n" {
		t.Errorf("%s", out)
	}
}

func TestVerifiersAreShort(t *testing.T) {
	for _, script := range []string{"verify_book.py", "verify_extract.py"} {
		data, err := os.ReadFile("../../testdata/record/" + script)
		if lines := bytes.Count(data, []byte("\n")); err != nil || lines >= 200 {
			t.Errorf("%s has %d lines: another hand must be able to read it at one sitting", script, lines)
		}
	}
}
