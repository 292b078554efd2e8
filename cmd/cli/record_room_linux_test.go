package cli

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"asleft/config/record"
)

// oneMessage wants one error line, one hint, and nothing else on standard error.
func oneMessage(t *testing.T, what string, a answer, status Status, words ...string) {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(a.err), "\n")
	if a.status != status || len(lines) != 2 || !strings.HasPrefix(lines[0], "asleft: error: ") || !strings.HasPrefix(lines[1], "asleft: hint: ") {
		t.Errorf("%s: status %d, want %d with one message and one hint: %s%s", what, a.status, status, a.out, a.err)
		return
	}
	for _, w := range words {
		if !regexp.MustCompile(w).MatchString(a.err) {
			t.Errorf("%s: %q is not said: %s", what, w, a.err)
		}
	}
}

// A file may not grow beyond a limit (RLIMIT_FSIZE), which cuts a write short and then refuses it; SQLite
// calls that a write error (778). One plain message, nothing half, and the same command goes through later.
func TestFileSizeLimit(t *testing.T) {
	base := lived(t)
	size := len(base.entries())
	info, err := os.Stat(base.env()["ASLEFT_RECORD"])
	if err != nil {
		t.Fatal(err)
	}
	blocks := int(info.Size()/512) + 40
	step, said := 1, 0
	if os.Getenv("ASLEFT_FULL") != "1" {
		step = blocks / 6
		fmt.Printf("%s: 7 of %d limits; all with: ASLEFT_FULL=1 go test -timeout 60m -run '^%[1]s$' ./cmd/cli\n", t.Name(), blocks)
	}
	w := base.copied(t)
	for limit := 0; limit < blocks; limit += step {
		base.copyTo(w)
		args := append([]string{"record"}, w.line("open $JOBS/estate.toml --by T.V. --entry "+triedEntryOf)...)
		cmd := exec.Command("sh", append([]string{"-c", fmt.Sprintf("ulimit -f %d; exec \"$@\"", limit), "sh", realAsleft(t)}, args...)...)
		w.surround(cmd)
		a := finished(cmd)
		if a.status != Done {
			said++
			oneMessage(t, fmt.Sprintf("limit of %d blocks", limit), a, Broken, "no room|too large|is written and safe")
		}
		if v := w.run("record", "verify"); v.status != Done {
			t.Errorf("limit of %d blocks: verify: %d %s%s", limit, v.status, v.out, v.err)
		}
		w.must(args...)
		if n := len(w.entries()); n != size+1 {
			t.Errorf("limit of %d blocks: %d entries, want %d", limit, n, size+1)
		}
	}
	t.Logf("%d limits of %d tried, %d of them met", (blocks+step-1)/step, blocks, said)
	if said == 0 {
		t.Error("no limit was ever met")
	}
}

const triedEntryOf = "0badf00d00112233445566778899aabb"

// mounted runs a shell script in a mount namespace of its own; where that is forbidden it says so.
func mounted(t *testing.T, script string, args ...string) (string, bool) {
	t.Helper()
	for _, flags := range []string{"-m", "-rm"} {
		if exec.Command("unshare", flags, "sh", "-c", "mount -t tmpfs -o size=64k none /mnt").Run() == nil {
			out, err := exec.Command("unshare", append([]string{flags, "sh", "-ec", script, "sh"}, args...)...).CombinedOutput()
			if err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			return string(out), true
		}
	}
	fmt.Printf("%s: left out, this machine lets nobody mount (neither as root nor in a user namespace)\n", t.Name())
	return "", false
}

// The disk is full for real: a small file system of its own.
func TestSmallDisk(t *testing.T) {
	base := lived(t)
	place := t.TempDir()
	out, ran := mounted(t, `
mount -t tmpfs -o size=1600k none "$1"
cp -a "$2"/shop "$2"/state "$1"
export ASLEFT_RECORD="$1"/shop/shop.book ASLEFT_STATE="$1"/state ASLEFT_NOW=2026-11-25T10:00:00Z
cat /dev/zero > "$1"/filler 2>/dev/null || true
tail -c 8192 "$1"/filler > /dev/null
truncate -s -8192 "$1"/filler
code=0; "$3" record open "$4" --by T.V. --entry `+triedEntryOf+` || code=$?
echo "full $code"
code=0; "$3" record verify > /dev/null || code=$?
echo "verify $code"
rm "$1"/filler
"$3" record open "$4" --by T.V. --entry `+triedEntryOf+`
code=0; "$3" record verify || code=$?
echo "after $code"
`, place, base.dir, realAsleft(t), base.line("$JOBS/estate.toml")[0])
	if !ran {
		return
	}
	for _, want := range []string{"asleft: error: .*no (room|space)", "asleft: hint: .*make room", "full 1", "verify 0", "Recorded: opened", "after 0"} {
		if !regexp.MustCompile(want).MatchString(out) {
			t.Errorf("%q is not in: %s", want, out)
		}
	}
	if strings.Count(out, "asleft: error:") != 1 {
		t.Errorf("more than one message: %s", out)
	}
}

// A read-only file system: looking works, writing says so.
func TestReadOnlyDisk(t *testing.T) {
	base := lived(t)
	place := t.TempDir()
	out, ran := mounted(t, `
cp -a "$2"/shop "$2"/state "$1"
mount --bind "$1" "$1"; mount -o remount,ro,bind "$1"
export ASLEFT_RECORD="$1"/shop/shop.book ASLEFT_STATE="$1"/state ASLEFT_NOW=2026-11-25T10:00:00Z
code=0; "$3" record note pickup hello --by T.V. || code=$?
echo "note $code"
code=0; "$3" record show pickup > /dev/null || code=$?
echo "show $code"
code=0; "$3" record verify > /dev/null || code=$?
echo "verify $code"
`, place, base.dir, realAsleft(t))
	if !ran {
		return
	}
	for _, want := range []string{"asleft: error: .*read-only", "asleft: hint: .*nothing was written", "note 1", "show 0", "verify 0"} {
		if !regexp.MustCompile(want).MatchString(out) {
			t.Errorf("%q is not in: %s", want, out)
		}
	}
}

// asNobody makes a command run as a user whom permissions bind; root hands over its files.
func asNobody(t *testing.T, w *workshop, cmd *exec.Cmd) {
	t.Helper()
	if os.Getuid() != 0 {
		return
	}
	const nobody = 65534
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	os.Chmod(filepath.Dir(w.dir), 0o755)
	os.Chmod(filepath.Dir(realAsleft(t)), 0o755)
	filepath.WalkDir(w.dir, func(path string, _ os.DirEntry, err error) error { return os.Lchown(path, nobody, nobody) })
}

// Folders and files that this user may not write to.
func TestNoPermission(t *testing.T) {
	base := lived(t)
	size := len(base.entries())
	for _, c := range []struct {
		name   string
		modes  map[string]os.FileMode
		adds   int
		words  []string
		looks  Status
		status Status
	}{
		{"folder and file", map[string]os.FileMode{"shop/shop.book": 0o400, "shop": 0o500}, 0, []string{"read-only", "nothing was written; check who may write"}, Done, Broken},
		{"folder", map[string]os.FileMode{"shop": 0o500}, 0, []string{"read-only|cannot be opened|disk answered", "check"}, Done, Broken},
		{"state folder", map[string]os.FileMode{"state": 0o500}, 0, []string{"state", "permission denied"}, Done, Broken},
		{"no reading", map[string]os.FileMode{"shop": 0o000}, 0, []string{"permission denied|may not use it"}, Broken, Broken},
	} {
		w := base.copied(t)
		run := func(args ...string) answer {
			cmd := w.command(args...)
			asNobody(t, w, cmd)
			return finished(cmd)
		}
		run("record", "list") // hands the files over
		for name, mode := range c.modes {
			os.Chmod(filepath.Join(w.dir, name), mode)
		}
		note := run("record", "note", "pickup", "hello", "--by", "T.V.")
		looked := run("record", "show", "pickup")
		for name := range c.modes {
			os.Chmod(filepath.Join(w.dir, name), 0o700)
		}
		oneMessage(t, c.name, note, c.status, c.words...)
		if looked.status != c.looks {
			t.Errorf("%s: looking gives %d: %s", c.name, looked.status, looked.err)
		}
		if v := run("record", "verify"); v.status != Done {
			t.Errorf("%s: verify: %d %s%s", c.name, v.status, v.out, v.err)
		}
		written := strings.Contains(note.err, "is written and safe")
		if n := len(w.entries()); n != size+c.adds && !(written && n == size+1) {
			t.Errorf("%s: %d entries, before %d: %s", c.name, n, size, note.err)
		}
	}
}

// bigExport is another laptop's book with so many entries that taking it in lasts a while.
func bigExport(t testing.TB, dir string, entries int) string {
	t.Helper()
	clock := time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC)
	b, err := record.Open(context.Background(), record.Options{
		Path: filepath.Join(dir, "big", "big.book"), StateDir: filepath.Join(dir, "big-state"), Create: true, Machine: "bay-9", User: "jk",
		Random: rand.NewChaCha8([32]byte{9}), Now: func() time.Time { clock = clock.Add(time.Second); return clock },
	})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	for n := 0; n < entries; n += 1000 {
		drafts := make([]record.Draft, 1000)
		for i := range drafts {
			drafts[i] = record.Draft{Kind: record.Opened, By: "J.K.", Attributes: map[record.Attribute]string{record.Label: fmt.Sprint("bus ", n+i)}}
		}
		if _, err := b.RecordAll(context.Background(), drafts); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(dir, "big.export")
	if err := b.ExportFile(context.Background(), record.Copy{File: path, By: "J.K."}, record.ExportOptions{}); err != nil {
		t.Fatal(err)
	}
	return path
}

// importing starts the import of a long book and returns while it holds the lock.
func importing(t *testing.T, w *workshop, file string) *exec.Cmd {
	t.Helper()
	cmd := w.command("record", "import", file, "--by", "T.V.")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	holder := w.env()["ASLEFT_RECORD"] + ".holder"
	for begin := time.Now(); time.Since(begin) < 10*time.Second; time.Sleep(time.Millisecond) {
		if data, err := os.ReadFile(holder); err == nil && strings.Contains(string(data), fmt.Sprint("process ", cmd.Process.Pid)) {
			return cmd
		}
	}
	t.Fatal("the import never took the lock")
	return nil
}

// A process that is stopped while it holds the lock: who waits is refused within ten seconds and told
// which process of which user it is; when it goes on, both go through.
func TestFrozenProcess(t *testing.T) {
	t.Parallel()
	w := newWorkshop(t)
	w.must(append([]string{"record"}, w.line("open $JOBS/pickup.toml --by T.V.")...)...)
	frozen := importing(t, w, bigExport(t, t.TempDir(), 6000))
	frozen.Process.Signal(syscall.SIGSTOP)
	begin := time.Now()
	a := w.exec("record", "note", "pickup", "hello", "--by", "T.V.")
	took := time.Since(begin)
	frozen.Process.Signal(syscall.SIGCONT)
	oneMessage(t, "while another is frozen", a, Broken, fmt.Sprintf("process %d of user [a-z0-9]+ on bay-1", frozen.Process.Pid), "wait for the other process or end it")
	if took > 10*time.Second {
		t.Errorf("refused after %s", took)
	}
	if err := frozen.Wait(); err != nil {
		t.Errorf("the frozen one: %v", err)
	}
	w.must("record", "note", "pickup", "hello", "--by", "T.V.")
	if v := w.run("record", "verify"); v.status != Done {
		t.Errorf("%d %s%s", v.status, v.out, v.err)
	}
}

// Ctrl-C in the middle of an import: status 130, nothing of it is there.
func TestInterruptedImport(t *testing.T) {
	w := newWorkshop(t)
	w.must(append([]string{"record"}, w.line("open $JOBS/pickup.toml --by T.V.")...)...)
	was := folderState(t, filepath.Join(w.dir, "shop"))
	cmd := importing(t, w, bigExport(t, t.TempDir(), 6000))
	cmd.Process.Signal(os.Interrupt)
	err := cmd.Wait()
	if code := cmd.ProcessState.ExitCode(); code != int(Interrupted) {
		t.Errorf("status %d (%v)", code, err)
	}
	sameState(t, was, folderState(t, filepath.Join(w.dir, "shop")))
	if v := w.run("record", "verify"); v.status != Done {
		t.Errorf("%d %s%s", v.status, v.out, v.err)
	}
}

// The state folder cannot be written: the showing of a secret is recorded all the same, so the secret is
// shown, and the head file that could not follow is told.
func TestWhatIsRecordedAsShownIsShown(t *testing.T) {
	w := lived(t)
	run := func(args ...string) answer {
		cmd := w.command(args...)
		asNobody(t, w, cmd)
		return finished(cmd)
	}
	run("record", "list") // hands the files over
	state := filepath.Join(w.dir, "state")
	os.Chmod(state, 0o500)
	a := run("record", "reveal", "bus 1", "override-code", "--to", "M.O.", "--by", "T.V.")
	os.Chmod(state, 0o700)
	if !strings.Contains(a.out, "8841") {
		t.Errorf("not shown: %s", a.out)
	}
	oneMessage(t, "shown", a, Broken, "shown, is written and safe", "do not write it again")
}
