package record

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// TestMain lets the test binary stand in for another process that writes.
func TestMain(m *testing.M) {
	if os.Getenv("RECORD_CHILD") != "" {
		if err := child(os.Getenv("RECORD_CHILD")); err != nil {
			fmt.Println("fault", err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// child opens the book and writes entries, saying which are acknowledged.
func child(count string) error {
	var n int
	fmt.Sscan(count, &n)
	b, err := Open(context.Background(), Options{Path: os.Getenv("RECORD_PATH"), StateDir: os.Getenv("RECORD_STATE"), Create: true, User: "tv", Machine: "bay-1"})
	if err != nil {
		return err
	}
	defer b.Close()
	if os.Getenv("RECORD_HOLD") != "" {
		return b.store.Write(context.Background(), func(Writer) error {
			fmt.Println("held")
			time.Sleep(time.Minute)
			return nil
		})
	}
	for i := range n {
		begin := time.Now().UnixNano()
		r, err := b.Record(context.Background(), Draft{Kind: Opened, By: "T.V.", Data: map[string]string{"text": fmt.Sprint(i)}})
		if err != nil {
			return err
		}
		fmt.Println(r.Subject, r.Identity, r.N, begin, time.Now().UnixNano())
	}
	return nil
}

func (w *bench) child(count int, more ...string) *exec.Cmd {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), append([]string{fmt.Sprint("RECORD_CHILD=", count), "RECORD_PATH=" + w.o.Path, "RECORD_STATE=" + w.o.StateDir}, more...)...)
	return cmd
}

// told is what a writing process said of one entry: its place, and when it
// was begun and acknowledged.
type told struct{ n, begin, end int64 }

func parseTold(t *testing.T, line string) told {
	t.Helper()
	var x told
	var subject, identity string
	if _, err := fmt.Sscan(line, &subject, &identity, &x.n, &x.begin, &x.end); err != nil {
		t.Fatalf("%q: %v", line, err)
	}
	return x
}

// Two, then eight processes write at once: all entries are there, each at the
// place it was told, and what was acknowledged before another was begun stands
// before it.
func TestProcessesAtOnce(t *testing.T) {
	each := counted(t, "entries a process", 100, 12)
	for _, processes := range []int{2, 8} {
		w := newBench(t)
		w.b.Close()
		type said struct {
			lines []string
			err   error
		}
		done := make(chan said)
		for range processes {
			go func() {
				out, err := w.child(each).Output()
				done <- said{strings.Split(strings.TrimSpace(string(out)), "\n"), err}
			}()
		}
		at := make([]told, processes*each)
		for range processes {
			r := <-done
			if r.err != nil || len(r.lines) != each {
				t.Fatalf("%v %v", r.err, r.lines)
			}
			for _, line := range r.lines {
				x := parseTold(t, line)
				at[x.n] = x
			}
		}
		begun := int64(0) // the latest beginning among the places so far
		for n, x := range at {
			if x.end == 0 || x.n != int64(n) || x.end < begun {
				t.Errorf("%d processes: place %d: %+v, although a place before was begun at %d", processes, n, x, begun)
			}
			begun = max(begun, x.begin)
		}
		w.open()
		if r := w.verify(); r.Outcome != Witnessed || r.Books[0].Intact != int64(processes*each) {
			t.Errorf("%+v", r)
		}
		w.b.Close()
	}
}

// A process is killed at a random moment, again and again. What it had said
// is written is there, and the next start is quick.
func TestKilled(t *testing.T) {
	w := newBench(t)
	w.b.Close()
	rng := rand.New(rand.NewPCG(5, 6))
	var acked []string
	var slowest time.Duration
	kills, spread := counted(t, "kills", 300, 8), 250
	if full() {
		spread = 1500 // time enough for the entries that the full count wants
	}
	killed := 0
	for ; killed < kills || full() && len(acked) < 10000; killed++ {
		cmd := w.child(1 << 30)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.AfterFunc(time.Duration(50+rng.IntN(spread))*time.Millisecond, func() { cmd.Process.Kill() })
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			if len(strings.Fields(lines.Text())) == 5 {
				acked = append(acked, lines.Text())
			}
		}
		cmd.Wait()
		begin := time.Now()
		w.open()
		slowest = max(slowest, time.Since(begin))
		w.b.Close()
	}
	w.open()
	if left := leftBehind(t, w.o.StateDir); len(left) > 0 {
		t.Errorf("left behind after %d kills: %q", killed, left)
	}
	if slowest > time.Second {
		t.Errorf("the next start took %s", slowest)
	}
	t.Logf("%d kills, %d acknowledged entries, slowest next start %s", killed, len(acked), slowest)
	if r := w.verify(); r.Outcome != Witnessed {
		t.Errorf("%+v", r)
	}
	for _, line := range acked {
		part := strings.Fields(line)
		subject, _ := ParseID(part[0])
		identity, _ := ParseID(part[1])
		r := w.record(Draft{Kind: Opened, Vehicle: subject, Identity: identity})
		if !r.Again || fmt.Sprint(r.N) != part[2] {
			t.Fatalf("lost or doubled: %s", line)
		}
	}
}

// The store is full: one plain message, nothing half written, and the same
// call goes through when there is room.
func TestFull(t *testing.T) {
	w := newBench(t)
	w.minibus()
	before := w.verify()
	s := w.b.store.(*SQLite)
	if err := s.conn.Exec("PRAGMA max_page_count=1"); err != nil { // SQLite's own limit: reported as full
		t.Fatal(err)
	}
	d := Draft{Kind: Opened, By: "T.V.", Identity: ID{1}, Documents: []Document{{"job", make([]byte, 100000)}}}
	_, err := w.b.Record(context.Background(), d)
	var fault *FileError
	if !errors.As(err, &fault) || fault.Class != Full || fault.Hint() == "" {
		t.Fatalf("%v", err)
	}
	if r := w.verify(); r.Outcome != Witnessed || r.Books[0].Size != before.Books[0].Size {
		t.Errorf("%+v", r)
	}
	s.conn.Exec("PRAGMA max_page_count=1000000")
	if r := w.record(d); r.Again {
		t.Error("it was there already")
	}
}

// The clock jumps by ten years and back, creeps, and changes between winter
// and summer time: nothing is refused, the order stays, and each step back of
// the time itself is noted by its length, also by the process that comes next.
func TestWrongClock(t *testing.T) {
	w := newBench(t)
	v := w.record(Draft{Kind: Opened}).Subject
	rng := rand.New(rand.NewPCG(11, 12))
	steps := []time.Duration{87600 * time.Hour, -175200 * time.Hour, time.Hour, -time.Hour, -90 * time.Second, -time.Minute - time.Microsecond, 0, -time.Minute}
	for n := range counted(t, "steps of the clock", 2000, 60) {
		before := w.clock
		if n%5 == 4 { // an hour's change of the local time is no step of the time itself
			_, offset := w.clock.Zone()
			w.clock = w.clock.In(time.FixedZone("", 3600+7200-offset))
		} else {
			w.clock = w.clock.Add(steps[rng.IntN(len(steps))])
		}
		want := int64((before.Sub(w.clock) - time.Minute + time.Second - 1) / time.Second) // the clock adds a minute when it is read
		if n%7 == 6 {
			w.reopen()
		}
		r := w.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": fmt.Sprint(n)}})
		_, offset := w.clock.Zone()
		if r.ClockBack != max(0, want) || r.N != int64(n)+1 || r.Offset != offset/60 {
			t.Fatalf("step %d: entry %d at %s, %d s back; want %d s", n, r.N, r.At, r.ClockBack, want)
		}
	}
	for i, item := range w.history(v).Items {
		if item.N != int64(i) {
			t.Errorf("place %d: entry %d", i, item.N)
		}
	}
	if r := w.verify(); r.Outcome != Witnessed {
		t.Errorf("%+v", r)
	}
}
