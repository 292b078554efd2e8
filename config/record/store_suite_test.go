package record_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"asleft/config/record"
)

// runSuite is the suite that every store of the record must pass. Each call of open with the same name opens the same
// store, also while it is open already.
func runSuite(t *testing.T, open func(t *testing.T, name string) record.Store) {
	for _, c := range []struct {
		name string
		test func(*testing.T, func(string) record.Store)
	}{
		{"empty", testEmpty},
		{"rows", testRows},
		{"vehicles of several logs", testSubjects},
		{"all or nothing", testAtomic},
		{"documents", testDocuments},
		{"beside", testBeside},
		{"kept", testKept},
		{"one view", testView},
		{"writers take turns", testWriters},
		{"cancelled", testCancelled},
	} {
		t.Run(c.name, func(t *testing.T) {
			n := 0
			c.test(t, func(name string) record.Store {
				n++
				s := open(t, name)
				t.Cleanup(func() { s.Close() })
				return s
			})
		})
	}
}

func id(n byte) record.ID { return record.ID{15: n} }

func row(n int64, subject byte) record.Row {
	return record.Row{Bytes: fmt.Appendf(nil, "entry %d", n), Subject: id(subject), Identity: id(byte(n) + 100),
		Hashes: bytes.Repeat([]byte{byte(n)}, 32), Signature: []byte{byte(n)}}
}

func write(t *testing.T, s record.Store, f func(record.Writer) error) {
	t.Helper()
	if err := s.Write(context.Background(), f); err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, s record.Store, f func(record.Reader)) {
	t.Helper()
	if err := s.Read(context.Background(), func(r record.Reader) error { f(r); return nil }); err != nil {
		t.Fatal(err)
	}
}

// fill adds two logs with n rows each, alternating between two subjects.
func fill(t *testing.T, s record.Store, n int64) (a, b record.Log) {
	t.Helper()
	write(t, s, func(w record.Writer) (err error) {
		if a, err = w.AddLog("a", "key a"); err != nil {
			return err
		}
		if b, err = w.AddLog("b", "key b"); err != nil {
			return err
		}
		for i := range n {
			if err := errors.Join(w.AddRow(a.ID, i, row(i, byte(1+i%2))), w.AddRow(b.ID, i, row(i, 3))); err != nil {
				return err
			}
		}
		return nil
	})
	return a, b
}

// places are the entries of a subject in all logs.
func places(r record.Reader, subject record.ID) (all []record.Place, err error) {
	logs, err := r.Logs()
	for _, l := range logs {
		found, failed := r.Places(l.ID, subject)
		all, err = append(all, found...), errors.Join(err, failed)
	}
	return all, err
}

func testEmpty(t *testing.T, open func(string) record.Store) {
	read(t, open("s"), func(r record.Reader) {
		logs, err := r.Logs()
		size, err2 := r.Size(1)
		places, err3 := r.Places(1, id(1))
		if len(logs) != 0 || size != 0 || len(places) != 0 || errors.Join(err, err2, err3) != nil {
			t.Errorf("%v %v %v %v %v %v", logs, size, places, err, err2, err3)
		}
		_, err = r.Row(1, 0)
		_, err2 = r.Hashes(1, 0)
		_, err3 = r.Document(record.Digest{1})
		_, err4 := r.Find(1, id(1), id(1))
		for _, err := range []error{err, err2, err3, err4} {
			if !errors.Is(err, record.ErrNoRow) {
				t.Errorf("%v, want ErrNoRow", err)
			}
		}
	})
}

// Vehicles stand in several logs, and in none of them in order.
func testSubjects(t *testing.T, open func(string) record.Store) {
	s := open("s")
	write(t, s, func(w record.Writer) error {
		for _, subjects := range [][]byte{{7, 2, 0, 9, 2}, {}, {9, 3, 2}, {0, 0}, {1, 9, 7}} {
			log, err := w.AddLog(fmt.Sprint("log of ", subjects), "key")
			for n, subject := range subjects {
				err = errors.Join(err, w.AddRow(log.ID, int64(n), row(int64(n), subject)))
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
	list := func(r record.Reader, after byte) (all []byte) {
		if err := r.Subjects(id(after), func(s record.ID) error { all = append(all, s[15]); return nil }); err != nil {
			t.Error(err)
		}
		return all
	}
	read(t, s, func(r record.Reader) {
		for after, want := range map[byte][]byte{0: {1, 2, 3, 7, 9}, 2: {3, 7, 9}, 4: {7, 9}, 9: nil} {
			if got := list(r, after); !bytes.Equal(got, want) {
				t.Errorf("after %d: %v, want %v", after, got, want)
			}
		}
		places, err := places(r, id(9))
		if fmt.Sprint(places) != "[{1 3} {3 0} {5 1}]" || err != nil {
			t.Errorf("places %v %v", places, err)
		}
		inner, seen := 0, 0
		stop := errors.New("enough")
		err = r.Subjects(record.ID{}, func(record.ID) error { // asking within a visit, and breaking off
			inner += len(list(r, 2))
			if seen++; seen == 3 {
				return stop
			}
			return nil
		})
		if inner != 9 || err != stop {
			t.Errorf("%d %v", inner, err)
		}
	})
}

func testRows(t *testing.T, open func(string) record.Store) {
	s := open("s")
	a, b := fill(t, s, 10)
	read(t, s, func(r record.Reader) {
		if size, err := r.Size(a.ID); size != 10 || err != nil {
			t.Errorf("size %d %v", size, err)
		}
		var seen []int64
		err := r.Scan(b.ID, 3, 7, func(n int64, got *record.Row) error {
			seen = append(seen, n)
			want := row(n, 3)
			if !bytes.Equal(got.Bytes, want.Bytes) || got.Subject != want.Subject || got.Identity != want.Identity ||
				!bytes.Equal(got.Hashes, want.Hashes) || !bytes.Equal(got.Signature, want.Signature) {
				t.Errorf("row %d: %+v", n, got)
			}
			again, err := r.Row(b.ID, n) // asking within a visit
			if err != nil || !bytes.Equal(again.Bytes, want.Bytes) {
				t.Errorf("row %d again: %v", n, err)
			}
			return nil
		})
		if fmt.Sprint(seen) != "[3 4 5 6]" || err != nil {
			t.Errorf("scan %v %v", seen, err)
		}
		places, err := places(r, id(2))
		if fmt.Sprint(places) != fmt.Sprintf("[{%d 1} {%d 3} {%d 5} {%d 7} {%d 9}]", a.ID, a.ID, a.ID, a.ID, a.ID) || err != nil {
			t.Errorf("places %v %v", places, err)
		}
		if p, err := r.Find(a.ID, id(1), id(104)); p.N != 4 || err != nil {
			t.Errorf("find %v %v", p, err)
		}
		if _, err := r.Find(b.ID, id(1), id(104)); !errors.Is(err, record.ErrNoRow) {
			t.Errorf("found in the wrong log: %v", err)
		}
		var subjects []byte
		r.Subjects(record.ID{}, func(s record.ID) error { subjects = append(subjects, s[15]); return nil })
		if string(subjects) != "\x01\x02\x03" {
			t.Errorf("subjects %v", subjects)
		}
		subjects = nil
		r.Subjects(id(1), func(s record.ID) error { subjects = append(subjects, s[15]); return nil })
		if string(subjects) != "\x02\x03" {
			t.Errorf("subjects after the first: %v", subjects)
		}
	})
}

func testAtomic(t *testing.T, open func(string) record.Store) {
	s := open("s")
	a, _ := fill(t, s, 2)
	fault := errors.New("stop")
	err := s.Write(context.Background(), func(w record.Writer) error {
		err := errors.Join(w.AddRow(a.ID, 2, row(2, 1)), w.AddDocument(record.Digest{1}, []byte("x")), w.PutBeside("k", nil, []byte("v")))
		return errors.Join(err, fault)
	})
	if !errors.Is(err, fault) {
		t.Errorf("%v", err)
	}
	if err := s.Write(context.Background(), func(w record.Writer) error { return w.AddRow(a.ID, 1, row(1, 1)) }); err == nil {
		t.Error("a row was written over")
	}
	read(t, s, func(r record.Reader) {
		size, _ := r.Size(a.ID)
		_, err := r.Document(record.Digest{1})
		beside, _ := r.Beside("k", nil)
		if size != 2 || !errors.Is(err, record.ErrNoRow) || len(beside) != 0 {
			t.Errorf("left behind: %d %v %v", size, err, beside)
		}
	})
}

func testDocuments(t *testing.T, open func(string) record.Store) {
	s := open("s")
	long := strings.Repeat("as long as a rule base. ", 20_000)
	for range 2 {
		write(t, s, func(w record.Writer) error {
			return errors.Join(w.AddDocument(record.Digest{1}, []byte("one")), w.AddDocument(record.Digest{2}, nil), w.AddDocument(record.Digest{3}, []byte(long)))
		})
	}
	read(t, s, func(r record.Reader) {
		count := 0
		r.Documents(func(d record.Digest, data []byte) error { count++; return nil })
		one, err := r.Document(record.Digest{1})
		empty, err2 := r.Document(record.Digest{2})
		if count != 3 || string(one) != "one" || len(empty) != 0 || errors.Join(err, err2) != nil {
			t.Errorf("%d %q %q %v %v", count, one, empty, err, err2)
		}
		var copied, none, whole bytes.Buffer
		err, err2, err3 := r.CopyDocument(record.Digest{1}, &copied), r.CopyDocument(record.Digest{2}, &none), r.CopyDocument(record.Digest{3}, &whole)
		if copied.String() != "one" || none.Len() > 0 || whole.String() != long || errors.Join(err, err2, err3) != nil {
			t.Errorf("%q %q, %d bytes of %d, %v %v %v", &copied, &none, whole.Len(), len(long), err, err2, err3)
		}
		if err := r.CopyDocument(record.Digest{4}, &none); !errors.Is(err, record.ErrNoRow) || none.Len() > 0 {
			t.Errorf("copied what is not there: %v", err)
		}
	})
}

func testBeside(t *testing.T, open func(string) record.Store) {
	s := open("s")
	write(t, s, func(w record.Writer) error {
		return errors.Join(w.PutBeside("k", []byte("n"), []byte("b")), w.PutBeside("k", []byte("n"), []byte("a")),
			w.PutBeside("k", []byte("n"), []byte("a")), w.PutBeside("k", []byte("m"), []byte("c")), w.PutBeside("other", []byte("n"), []byte("d")))
	})
	all := func() (text string) {
		read(t, s, func(r record.Reader) {
			r.BesideAll("k", func(name, value []byte) error { text += fmt.Sprintf("%s=%s ", name, value); return nil })
		})
		return text
	}
	if got := all(); got != "m=c n=a n=b " {
		t.Errorf("%q", got)
	}
	write(t, s, func(w record.Writer) error { return w.DropBeside("k", []byte("n"), []byte("b")) })
	if got := all(); got != "m=c n=a " {
		t.Errorf("%q", got)
	}
	write(t, s, func(w record.Writer) error {
		return errors.Join(w.ShredBeside("k", []byte("n"), nil), w.ShredBeside("k", []byte("nobody"), nil))
	})
	if got := all(); got != "m=c " {
		t.Errorf("%q", got)
	}
}

func testKept(t *testing.T, open func(string) record.Store) {
	s := open("s")
	a, _ := fill(t, s, 3)
	read(t, open("s"), func(r record.Reader) {
		if size, err := r.Size(a.ID); size != 3 || err != nil {
			t.Errorf("%d %v", size, err)
		}
	})
}

func testView(t *testing.T, open func(string) record.Store) {
	s := open("s")
	a, _ := fill(t, s, 1)
	err := s.Alone(context.Background(), func(r record.Reader) error {
		before, err := r.Size(a.ID)
		after, err2 := r.Size(a.ID)
		if before != after {
			t.Error("the view moved")
		}
		return errors.Join(err, err2)
	})
	if err != nil {
		t.Error(err)
	}
}

func testWriters(t *testing.T, open func(string) record.Store) {
	const each = 20
	stores := []record.Store{open("s"), open("s")}
	var log record.Log
	write(t, stores[0], func(w record.Writer) (err error) { log, err = w.AddLog("a", "k"); return err })
	done := make(chan error)
	for _, s := range stores {
		go func() {
			for range each {
				err := s.Write(context.Background(), func(w record.Writer) error {
					n, err := w.Size(log.ID)
					if err != nil {
						return err
					}
					return w.AddRow(log.ID, n, row(n, 1))
				})
				if err != nil {
					done <- err
					return
				}
			}
			done <- nil
		}()
	}
	if err := errors.Join(<-done, <-done); err != nil {
		t.Fatal(err)
	}
	read(t, stores[0], func(r record.Reader) {
		if size, _ := r.Size(log.ID); size != 2*each {
			t.Errorf("%d rows", size)
		}
	})
}

func testCancelled(t *testing.T, open func(string) record.Store) {
	s := open("s")
	a, _ := fill(t, s, 1)
	ctx, cancel := context.WithCancel(context.Background())
	err := s.Write(ctx, func(w record.Writer) error {
		cancel()
		return errors.Join(w.AddRow(a.ID, 1, row(1, 1)), ctx.Err())
	})
	if err == nil {
		t.Error("a cancelled write went through")
	}
	read(t, s, func(r record.Reader) {
		if size, _ := r.Size(a.ID); size != 1 {
			t.Errorf("%d rows", size)
		}
	})
}
