package bench

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"asleft/config/record"
)

// shop runs asleft on one record.
type shop struct {
	bin, book, state string
}

func (s *shop) run(args ...string) ([]byte, error) {
	c := exec.Command(s.bin, args...)
	c.Env = append(os.Environ(), "ASLEFT_RECORD="+s.book, "ASLEFT_STATE="+s.state, "ASLEFT_BY=T.V.")
	out, err := c.Output()
	if exit, ok := err.(*exec.ExitError); ok {
		err = fmt.Errorf("%v: %w\n%s", args, err, exit.Stderr)
	}
	return out, err
}

// realPlan is the button plan that the tool itself records for the demo minibus.
func realPlan(b *testing.B, bin string) []byte {
	b.Helper()
	dir := b.TempDir()
	s := &shop{bin: bin, book: filepath.Join(dir, "shop.book"), state: filepath.Join(dir, "state")}
	job := filepath.Join("..", "jobs", "minibus.toml")
	for _, step := range [][]string{{"record", "open", job}, {"record", "found", job, strings.Replace(job, ".toml", ".found.toml", 1)},
		{"record", "derive", job}, {"record", "left", job}} {
		if out, err := s.run(step...); err != nil {
			b.Fatalf("%v\n%s", err, out)
		}
	}
	book, err := record.Open(ctx, record.Options{Path: s.book, StateDir: s.state, Looking: true})
	if err != nil {
		b.Fatal(err)
	}
	defer book.Close()
	vehicle, err := book.Vehicle(ctx, "bus 1", record.Looking)
	if err != nil {
		b.Fatal(err)
	}
	history, err := book.History(ctx, vehicle)
	if err != nil {
		b.Fatal(err)
	}
	plan, _, err := history.Document("plan")
	if err != nil || plan == nil {
		b.Fatal("the demo minibus has no plan in the record: ", err)
	}
	return plan
}

// asked is how far apart the vehicles stand that have a whole life in the record; the others between
// them were only opened, with a fleet number.
const asked = 100

func population(b *testing.B, bin string, plan []byte, vehicles int) *shop {
	b.Helper()
	book, o := openBook(b, 1, "")
	fill(b, book, 0, vehicles, func(i int) []record.Draft {
		entries := life(i, plan)
		if i%asked != 0 {
			entries = entries[:1]
		}
		return entries
	})
	if err := book.Close(); err != nil {
		b.Fatal(err)
	}
	return &shop{bin: bin, book: o.Path, state: o.StateDir}
}

// BenchmarkRecordWhich asks for a vehicle's buttons, each time with a new process, in records of several
// sizes: it looks the vehicle up, verifies its entries and the head, and prints the plan. The goals are
// twice the start of an empty cobra program, and 1.1 of the same on a thousand vehicles; ASLEFT_FULL=1
// takes a million where the usual run takes 20 000.
func BenchmarkRecordWhich(b *testing.B) {
	empty := &shop{bin: build(b, ".", "./empty")}
	bin := build(b, "../..", "./cmd/asleft")
	plan := realPlan(b, bin)
	sizes := []int{1000, 20_000}
	if full() {
		sizes = append(sizes, 1_000_000)
	}
	shops := map[int]*shop{}
	for _, n := range sizes {
		shops[n] = population(b, bin, plan, n)
	}
	var c contest
	for i := 0; b.Loop(); i++ {
		c.time(b, "empty-cobra", func() error { _, err := empty.run(); return err })
		c.time(b, "asleft-settings", func() error { _, err := shops[1000].run("settings"); return err })
		for _, n := range sizes {
			c.time(b, fmt.Sprint("which-of-", n), func() error {
				out, err := shops[n].run("which", fmt.Sprint("fleet ", i*7919%(n/asked)*asked))
				if err == nil && !bytes.Contains(out, []byte("remote")) {
					err = fmt.Errorf("no plan: %s", out)
				}
				return err
			})
		}
	}
	c.report(b)
	for _, n := range sizes {
		fmt.Printf("%-44s which-of-%-17d %.2f of the time on 1000\n", b.Name(), n,
			float64(c.median(fmt.Sprint("which-of-", n)))/float64(c.median("which-of-1000")))
	}
}
