package cli

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"unsafe"
)

// terminal opens a pseudo terminal: what a program writes to the second end is read at the first.
func terminal(t *testing.T) (ours, theirs *os.File) {
	t.Helper()
	ours, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	var number, unlock uint32
	for request, arg := range map[uintptr]*uint32{syscall.TIOCGPTN: &number, syscall.TIOCSPTLCK: &unlock} {
		if _, _, no := syscall.Syscall(syscall.SYS_IOCTL, ours.Fd(), request, uintptr(unsafe.Pointer(arg))); no != 0 {
			t.Fatal(no)
		}
	}
	theirs, err = os.OpenFile(fmt.Sprint("/dev/pts/", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	return ours, theirs
}

// The long commands show how far they are, with rate and time left, on a terminal, and nothing at all
// when standard error is a pipe; the answer on standard output is the same either way.
func TestProgress(t *testing.T) {
	base := newWorkshop(t)
	base.must(append([]string{"record"}, base.line("open $JOBS/pickup.toml --by T.V.")...)...)
	bigExport(t, base.dir, 3000)
	base.must("record", "import", filepath.Join(base.dir, "big.export"), "--by", "T.V.")
	base.must("record", "backup", filepath.Join(base.dir, "base.book"), "--by", "T.V.")
	for _, line := range []string{
		"import $WORK/big.export", "export $WORK/new.export --all", "verify", "backup $WORK/new.book", "restore $WORK/base.book",
	} {
		var outs []string
		for _, onTerminal := range []bool{false, true} {
			w := base.copied(t)
			args := append([]string{"record"}, w.line(line)...)
			if line != "verify" {
				args = append(args, "--by", "T.V.")
			}
			out, shown := watched(t, w, args, onTerminal)
			outs = append(outs, strings.ReplaceAll(out, w.dir, "DIR"))
			word := strings.Fields(line)[0]
			if !onTerminal && shown != "" {
				t.Errorf("%s: a pipe is told %q", line, shown)
			}
			if onTerminal && (!strings.Contains(shown, word) || !strings.Contains(shown, "/s")) {
				t.Errorf("%s: no bar with a rate on a terminal: %q", line, shown)
			}
		}
		if outs[0] != outs[1] {
			t.Errorf("%s: the answers differ:\n%s\n%s", line, outs[0], outs[1])
		}
	}
}

// watched runs the real binary with standard error on a terminal or a pipe.
func watched(t *testing.T, w *workshop, args []string, onTerminal bool) (out, shown string) {
	t.Helper()
	cmd := w.command(args...)
	var answer, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &answer, &errs
	if !onTerminal {
		if err := cmd.Run(); err != nil {
			t.Fatalf("%v: %v %s", args, err, errs.String())
		}
		return answer.String(), errs.String()
	}
	ours, theirs := terminal(t)
	defer ours.Close()
	cmd.Stderr = theirs
	done := make(chan struct{})
	go func() {
		defer close(done)
		buf := make([]byte, 4096)
		for {
			n, err := ours.Read(buf)
			errs.Write(buf[:n])
			if err != nil { // the last one closed the other end
				return
			}
		}
	}()
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v: %v %s", args, err, errs.String())
	}
	theirs.Close()
	<-done
	return answer.String(), errs.String()
}
