package record

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

// scanned is what a scan visited, and how many of the rows came from whole pages.
type scanned struct {
	rows  []string
	pages int64
	err   error
}

// scanBoth scans once from whole pages and once, with a connection of its own, as SQLite does.
func scanBoth(t *testing.T, path string, log, from, to int64) (fast, plain scanned) {
	t.Helper()
	one := func(f func(sqliteView) error) error {
		s, err := OpenSQLite(context.Background(), SQLiteOptions{Path: path, Looking: true})
		if err != nil {
			return err
		}
		defer s.Close()
		return s.Read(context.Background(), func(r Reader) error { return f(r.(sqliteView)) })
	}
	into := func(to *scanned) func(int64, *Row) error {
		return func(n int64, r *Row) error {
			to.rows = append(to.rows, fmt.Sprint(n, r.Subject, r.Identity, DigestOf(r.Bytes), DigestOf(r.Hashes), DigestOf(r.Signature), r.Signature == nil))
			return nil
		}
	}
	fast.err = one(func(v sqliteView) error { return v.Scan(log, from, to, into(&fast)) })
	one(func(v sqliteView) error {
		fast.pages, _ = v.scanPages(rowNumber(log, from), rowNumber(log, to), func(int64, *Row) error { return nil })
		return nil
	})
	plain.err = one(func(v sqliteView) error { v.still = false; return v.Scan(log, from, to, into(&plain)) })
	return fast, plain
}

// pagedBook has several logs, rows of every length up to several pages, and
// deleted ones.
func pagedBook(t *testing.T, rows int64) string {
	t.Helper()
	path := t.TempDir() + "/record.db"
	s, err := OpenSQLite(context.Background(), SQLiteOptions{Path: path, Create: true, pragmas: []string{"synchronous=OFF"}})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	rng := rand.New(rand.NewPCG(5, 6))
	err = s.Write(context.Background(), func(w Writer) error {
		for log := int64(1); log <= 3; log++ {
			for n := range rows {
				length := rng.IntN(700)
				if n%97 == 0 {
					length = rng.IntN(40_000)
				}
				row := Row{Bytes: garbage(rng, length), Subject: ID(garbage(rng, 16)), Identity: ID(garbage(rng, 16)), Hashes: garbage(rng, 32*rng.IntN(3))}
				if n%3 == 0 {
					row.Signature = garbage(rng, 64)
				}
				if err := w.AddRow(log, n, row); err != nil {
					return err
				}
			}
		}
		return errors.Join(w.(sqliteTxn).exec(`DELETE FROM entry WHERE id % 11 = 3`))
	})
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// Whole pages give the rows that SQLite gives, for every part of every log.
func TestPagesGiveWhatSQLiteGives(t *testing.T) {
	path := pagedBook(t, 3000)
	for log := int64(0); log < 5; log++ {
		for _, part := range [][2]int64{{0, 1 << positionBits}, {0, 3000}, {1, 2999}, {500, 1500}, {2000, 3001}, {2999, 9000}} {
			fast, plain := scanBoth(t, path, log, part[0], part[1])
			if fast.err != nil || plain.err != nil || strings.Join(fast.rows, "\n") != strings.Join(plain.rows, "\n") {
				t.Errorf("log %d, %v: %d rows, SQLite has %d; %v %v", log, part, len(fast.rows), len(plain.rows), fast.err, plain.err)
			}
			if fast.pages != int64(len(plain.rows)) {
				t.Errorf("log %d, %v: only %d of %d rows came from whole pages", log, part, fast.pages, len(plain.rows))
			}
		}
	}
}

// Changed bytes anywhere: both see the same rows, up to the same error.
// Nothing panics or goes on without end.
func TestPagesOfDamagedFiles(t *testing.T) {
	path := pagedBook(t, 150)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(7, 8))
	odd, same := 0, 0
	files := counted(t, "damaged files", 20_000, 60)
	for range files {
		data := bytes.Clone(whole)
		for range 1 + rng.IntN(2) {
			data[100+rng.IntN(len(data)-100)] = byte(rng.Uint32())
			if at := rng.IntN(len(data) / 4096); at > 0 { // the head of a page, where the tree is
				data[at*4096+rng.IntN(40)] ^= 1 << rng.IntN(8)
			}
		}
		os.WriteFile(path, data, 0o600)
		bad, good := seeTheSame(t, path, "random bytes")
		odd, same = odd+bad, same+good
	}
	t.Logf("%d scans: %d of damaged pages, %d the same", odd+same, odd, same)
	if odd < files/6 || same < files/6 {
		t.Errorf("%d damaged, %d the same: nothing was compared", odd, same)
	}
}

// seeTheSame scans each log in both ways: both visit the same rows, and both find the log damaged or neither.
func seeTheSame(t *testing.T, path, what string) (odd, same int) {
	t.Helper()
	for log := int64(1); log <= 3; log++ {
		fast, plain := scanBoth(t, path, log, 0, 1<<positionBits)
		switch {
		case fmt.Sprint(fast.err) != fmt.Sprint(plain.err) || strings.Join(fast.rows, "\n") != strings.Join(plain.rows, "\n"):
			at := 0
			for at < len(fast.rows) && at < len(plain.rows) && fast.rows[at] == plain.rows[at] {
				at++
			}
			t.Errorf("%s, log %d: %d rows (%d from pages), SQLite has %d, the first %d the same; %v, %v", what, log, len(fast.rows), fast.pages, len(plain.rows), at, fast.err, plain.err)
		case plain.err != nil:
			odd++
		default:
			same++
		}
	}
	return odd, same
}

// Heads of leaf pages that SQLite refuses although the rows that were asked for could be read: no rows at
// all, a row of another log that begins beyond the page, one that ends there.
func TestPagesOfDamagedHeads(t *testing.T) {
	path := pagedBook(t, 150)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	odd := 0
	for page := 4096; page < len(whole); page += 4096 {
		count := int(binary.BigEndian.Uint16(whole[page+3:]))
		if whole[page] != leafPage || count < 2 {
			continue
		}
		last := page + 8 + 2*(count-1)
		logOf := func(cell int) int64 {
			at := page + int(binary.BigEndian.Uint16(whole[cell:]))
			_, width := varint(whole[at:])
			row, _ := varint(whole[at+width:])
			return row >> positionBits
		}
		if page/4096%10 != 0 && logOf(page+8) == logOf(last) { // a tenth, and those that two logs share
			continue
		}
		for what, change := range map[string]func([]byte){
			"no rows":           func(data []byte) { binary.BigEndian.PutUint16(data[page+3:], 0) },
			"a row beyond":      func(data []byte) { data[last] |= 0x80 },
			"a row at the end":  func(data []byte) { binary.BigEndian.PutUint16(data[last:], 4094) },
			"a row too long":    func(data []byte) { data[page+int(binary.BigEndian.Uint16(data[last:]))] |= 0x9f },
			"too many rows":     func(data []byte) { binary.BigEndian.PutUint16(data[page+3:], 700) },
			"the wrong first":   func(data []byte) { data[page+9] ^= 2 },
			"a first row moved": func(data []byte) { data[page+9] ^= 6 },
		} {
			data := bytes.Clone(whole)
			change(data)
			os.WriteFile(path, data, 0o600)
			bad, _ := seeTheSame(t, path, fmt.Sprintf("page %d, %s", page/4096+1, what))
			odd += bad
		}
	}
	if odd < 20 {
		t.Errorf("%d damaged scans", odd)
	}
}
