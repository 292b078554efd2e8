//go:build unix

package record

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A process is stopped while it holds the lock: who waits is refused in time
// and told which process of which user it is; afterwards all goes on.
func TestFrozenHolder(t *testing.T) {
	w := newBench(t)
	w.minibus()
	w.b.Close()
	cmd := w.child(1, "RECORD_HOLD=1")
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { cmd.Process.Kill(); cmd.Wait() }()
	if line, err := bufio.NewReader(out).ReadString('\n'); line != "held\n" {
		t.Fatalf("%q %v", line, err)
	}
	cmd.Process.Signal(syscall.SIGSTOP)
	w.o.LockWait = 500 * time.Millisecond
	w.open()
	begin := time.Now()
	_, err = w.b.Record(context.Background(), Draft{Kind: Opened, By: "T.V."})
	var fault *FileError
	if !errors.As(err, &fault) || fault.Class != Locked || !strings.Contains(fault.Text, fmt.Sprintf("process %d of user tv", cmd.Process.Pid)) {
		t.Errorf("%v", err)
	}
	if took := time.Since(begin); took > 5*time.Second || defaultLockWait >= 10*time.Second {
		t.Errorf("refused after %s", took)
	}
	if r := w.verify(); r.Outcome != Witnessed {
		t.Errorf("looking goes on meanwhile: %+v", r)
	}
	cmd.Process.Kill()
	cmd.Wait()
	w.record(Draft{Kind: Opened})
}

// What is no plain file is refused before anything is opened or written.
func TestPathTricks(t *testing.T) {
	dir := t.TempDir()
	target := filepath.Join(dir, "target")
	os.WriteFile(target, nil, 0o600)
	os.Symlink(target, filepath.Join(dir, "link"))
	syscall.Mkfifo(filepath.Join(dir, "pipe"), 0o600)
	os.Mkdir(filepath.Join(dir, "folder"), 0o700)
	for _, name := range []string{"link", "pipe", "folder", "/dev/null"} {
		path := name
		if !filepath.IsAbs(name) {
			path = filepath.Join(dir, name)
		}
		_, err := Open(context.Background(), Options{Path: path, StateDir: filepath.Join(dir, "state"), Create: true})
		var fault *FileError
		if !errors.As(err, &fault) || fault.Class != NotARecord {
			t.Errorf("%s: %v", name, err)
		}
	}
	if info, _ := os.Stat(target); info.Size() != 0 {
		t.Error("the link was followed")
	}
}
