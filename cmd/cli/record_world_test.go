package cli

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"asleft/config/record"
)

// workshop is a folder with a record in it, and asleft to work on it.
type workshop struct {
	t     testing.TB
	dir   string
	now   time.Time
	stdin string
	term  bool // standard error is a terminal
}

const comebackEntry = "c0ffee00112233445566778899aabbcc"

func newWorkshop(t testing.TB) *workshop {
	return &workshop{t: t, dir: t.TempDir(), now: time.Date(2026, 11, 25, 9, 0, 0, 0, time.FixedZone("", 3600)), stdin: "8841\n"}
}

func (w *workshop) env() map[string]string {
	return map[string]string{
		"HOME": w.dir, "ASLEFT_RECORD": filepath.Join(w.dir, "shop", "shop.book"), "ASLEFT_STATE": filepath.Join(w.dir, "state"),
		"ASLEFT_NOW": w.now.Format(time.RFC3339), "ASLEFT_MACHINE": "bay-1", "LANG": "C.UTF-8", "PATH": os.Getenv("PATH"),
	}
}

// world is this workshop as commands within this process see it.
func (w *workshop) world() World {
	env := w.env()
	return World{
		In: strings.NewReader(w.stdin), Getenv: func(name string) string { return env[name] },
		Now: func() time.Time { return w.now }, Context: context.Background(), ErrTerminal: w.term,
	}
}

// answer is what a command said.
type answer struct {
	status   Status
	out, err string
}

// run runs a command within this process.
func (w *workshop) run(args ...string) answer { return w.runIn(context.Background(), args...) }

func (w *workshop) runIn(ctx context.Context, args ...string) answer {
	var out, errs bytes.Buffer
	world := w.world()
	world.Args, world.Out, world.Err, world.Context = args, &out, &errs, ctx
	status := Main(world)
	return answer{status, out.String(), errs.String()}
}

// must runs a command that has to go well.
func (w *workshop) must(args ...string) answer {
	w.t.Helper()
	a := w.run(args...)
	if a.status != Done {
		w.t.Fatalf("%s: status %d: %s", strings.Join(args, " "), a.status, a.err)
	}
	return a
}

// line makes the words of a command line of a table, quotes and names in it resolved.
func (w *workshop) line(text string) []string {
	jobs, err := filepath.Abs("../../testdata/jobs")
	if err != nil {
		w.t.Fatal(err)
	}
	var words []string
	for i, part := range strings.Split(text, "'") {
		if i%2 == 1 {
			words = append(words, part)
		} else {
			words = append(words, strings.Fields(part)...)
		}
	}
	names := strings.NewReplacer("$JOBS", jobs, "$WORK", w.dir, "$COMEBACK", comebackEntry)
	for i := range words {
		words[i] = names.Replace(words[i])
	}
	return words
}

// tableLines are the lines of a file in testdata/record without its comments.
func tableLines(t testing.TB, name string) []string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../testdata/record", name))
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		if !strings.HasPrefix(line, "#") {
			lines = append(lines, line)
		}
	}
	return lines
}

// writingVerb is a line of writing.txt.
type writingVerb struct{ name, kind, line string }

func writingVerbs(t testing.TB) []writingVerb {
	var verbs []writingVerb
	for _, line := range tableLines(t, "writing.txt") {
		part := strings.Split(line, "\t")
		if len(part) != 3 {
			t.Fatalf("%q", line)
		}
		verbs = append(verbs, writingVerb{part[0], part[1], part[2]})
	}
	return verbs
}

// lived is a workshop in which the life of life.txt took place, and another laptop's export.
func lived(t testing.TB) *workshop {
	w := newWorkshop(t)
	for _, line := range tableLines(t, "life.txt") {
		w.now = w.now.Add(time.Minute)
		w.must(append(append([]string{"record"}, w.line(line)...), "--by", "T.V.")...)
	}
	other := newWorkshop(t)
	other.must("record", "open", other.line("$JOBS/estate.toml")[0], "--by", "J.K.")
	other.must("record", "export", filepath.Join(w.dir, "other.export"), "--by", "J.K.")
	w.now = w.now.Add(time.Minute)
	return w
}

// copied is the same workshop in another folder, the paths in it being its own.
func (w *workshop) copied(t testing.TB) *workshop {
	t.Helper()
	to := *w
	to.t, to.dir = t, t.TempDir()
	w.copyTo(&to)
	return &to
}

// copyTo fills another workshop's folder anew.
func (w *workshop) copyTo(to *workshop) {
	w.t.Helper()
	if err := os.RemoveAll(to.dir); err != nil {
		w.t.Fatal(err)
	}
	if err := os.CopyFS(to.dir, os.DirFS(w.dir)); err != nil {
		w.t.Fatal(err)
	}
	for _, dir := range []string{"shop", "state"} {
		os.Chmod(filepath.Join(to.dir, dir), 0o700)
	}
	keys, _ := filepath.Glob(filepath.Join(to.dir, "state", "*"))
	for _, key := range keys {
		os.Chmod(key, 0o600)
	}
}

// entries are all entries of the record, by position in our own book.
func (w *workshop) entries() []record.Item {
	w.t.Helper()
	b, err := record.Open(context.Background(), record.Options{
		Path: w.env()["ASLEFT_RECORD"], StateDir: w.env()["ASLEFT_STATE"], Looking: true,
	})
	if err != nil {
		w.t.Fatal(err)
	}
	defer b.Close()
	var items []record.Item
	take := func(h *record.History) {
		for _, item := range h.Items {
			if item.Book == b.Origin() {
				items = append(items, item)
			}
		}
	}
	all, err := b.List(context.Background())
	if err != nil {
		w.t.Fatal(err)
	}
	ids := []record.ID{{}}
	for _, s := range all {
		ids = append(ids, s.Vehicle)
	}
	for _, id := range ids {
		h, err := b.History(context.Background(), id)
		if err != nil {
			w.t.Fatal(err)
		}
		take(h)
	}
	slices.SortFunc(items, func(a, b record.Item) int { return cmp.Compare(a.N, b.N) })
	return slices.CompactFunc(items, func(a, b record.Item) bool { return a.N == b.N }) // vehicles that are one share their history
}

var built struct {
	once sync.Once
	path string
	err  error
}

// realAsleft builds the real binary, once.
func realAsleft(t testing.TB) string {
	t.Helper()
	built.once.Do(func() {
		dir, err := os.MkdirTemp("", "asleft-built-")
		if err != nil {
			built.err = err
			return
		}
		built.path = filepath.Join(dir, "asleft")
		build := exec.Command("go", "build", "-buildvcs=false", "-o", built.path, "asleft/cmd/asleft")
		build.Env = append(os.Environ(), "CGO_ENABLED=0") // as released: no loader, no C library
		out, err := build.CombinedOutput()
		if err != nil {
			built.err = fmt.Errorf("%w: %s", err, out)
		}
	})
	if built.err != nil {
		t.Fatal(built.err)
	}
	return built.path
}

// TestMain takes the built binary away again.
func TestMain(m *testing.M) {
	status := m.Run()
	if built.path != "" {
		os.RemoveAll(filepath.Dir(built.path))
	}
	os.Exit(status)
}

// command is the real binary with this workshop's surroundings.
func (w *workshop) command(args ...string) *exec.Cmd {
	cmd := exec.Command(realAsleft(w.t), args...)
	w.surround(cmd)
	return cmd
}

func (w *workshop) surround(cmd *exec.Cmd) {
	for name, value := range w.env() {
		cmd.Env = append(cmd.Env, name+"="+value)
	}
	cmd.Stdin = strings.NewReader(w.stdin)
	cmd.Dir = w.dir
}

// exec runs the real binary.
func (w *workshop) exec(args ...string) answer { return finished(w.command(args...)) }

// finished runs a command to its end.
func finished(cmd *exec.Cmd) answer {
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	err := cmd.Run()
	status := Done
	if exit, failed := err.(*exec.ExitError); failed {
		status = Status(exit.ExitCode())
	} else if err != nil {
		status = Broken
		fmt.Fprint(&errs, err)
	}
	return answer{status, out.String(), errs.String()}
}
