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
		r, err := b.Record(context.Background(), Draft{Kind: Opened, By: "T.V.", Data: map[string]string{"text": fmt.Sprint(i)}})
		if err != nil {
			return err
		}
		fmt.Println(r.Subject, r.Identity, r.N)
	}
	return nil
}

func (w *bench) child(count int, more ...string) *exec.Cmd {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), append([]string{fmt.Sprint("RECORD_CHILD=", count), "RECORD_PATH=" + w.o.Path, "RECORD_STATE=" + w.o.StateDir}, more...)...)
	return cmd
}

// Eight processes write at once: all entries are there, each at the place it
// was told, one after the other.
func TestProcessesAtOnce(t *testing.T) {
	w := newBench(t)
	w.b.Close()
	const processes = 8
	each := counted(t, "entries a process", 100, 12)
	type told struct {
		lines []string
		err   error
	}
	done := make(chan told)
	for range processes {
		go func() {
			out, err := w.child(each).Output()
			done <- told{strings.Split(strings.TrimSpace(string(out)), "\n"), err}
		}()
	}
	at := map[string]bool{}
	for range processes {
		r := <-done
		if r.err != nil || len(r.lines) != each {
			t.Fatalf("%v %v", r.err, r.lines)
		}
		for _, line := range r.lines {
			at[line[strings.LastIndex(line, " "):]] = true
		}
	}
	w.open()
	if r := w.verify(); r.Outcome != Witnessed || r.Books[0].Intact != int64(processes*each) || len(at) != processes*each {
		t.Errorf("%d places; %+v", len(at), r)
	}
}

// A process is killed at a random moment, again and again. What it had said
// is written is there, and the next start is quick.
func TestKilled(t *testing.T) {
	w := newBench(t)
	w.b.Close()
	rng := rand.New(rand.NewPCG(5, 6))
	var acked []string
	kills := counted(t, "kills", 300, 8)
	for range kills {
		cmd := w.child(1 << 30)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.AfterFunc(time.Duration(50+rng.IntN(250))*time.Millisecond, func() { cmd.Process.Kill() })
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			if len(strings.Fields(lines.Text())) == 3 {
				acked = append(acked, lines.Text())
			}
		}
		cmd.Wait()
	}
	begin := time.Now()
	w.open()
	if took := time.Since(begin); took > time.Second {
		t.Errorf("the next start took %s", took)
	}
	t.Logf("%d kills, %d acknowledged entries", kills, len(acked))
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

// The clock jumps by ten years and back: nothing is refused, the order stays,
// each step back is noted.
func TestWrongClock(t *testing.T) {
	w := newBench(t)
	v := w.record(Draft{Kind: Opened}).Subject
	back := 0
	for i, jump := range []time.Duration{87600 * time.Hour, -175200 * time.Hour, time.Hour, -time.Second * 90, 0} {
		w.clock = w.clock.Add(jump)
		if r := w.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": fmt.Sprint(i)}}); r.ClockBack > 0 {
			back++
		}
	}
	h := w.history(v)
	for i, item := range h.Items {
		if item.N != int64(i) {
			t.Errorf("place %d: entry %d", i, item.N)
		}
	}
	if r := w.verify(); r.Outcome != Witnessed || back != 2 {
		t.Errorf("%d steps back noted; %+v", back, r)
	}
}
