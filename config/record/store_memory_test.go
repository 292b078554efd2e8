package record_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"sync"

	"asleft/config/record"
)

// memory is a store in memory. It keeps nothing: for tests.
type memory struct {
	mu   sync.Mutex
	data content
}

// content is what a store holds; a write works on a copy of it.
type content struct {
	logs   []record.Log
	rows   map[int64][]record.Row
	docs   map[record.Digest][]byte
	order  []record.Digest
	beside map[string][][2]string
}

// newMemory makes an empty store.
func newMemory() *memory {
	return &memory{data: content{rows: map[int64][]record.Row{}, docs: map[record.Digest][]byte{}, beside: map[string][][2]string{}}}
}

func (c content) clone() content {
	c.logs = slices.Clone(c.logs)
	c.rows, c.docs, c.beside = maps.Clone(c.rows), maps.Clone(c.docs), maps.Clone(c.beside)
	c.order = slices.Clone(c.order)
	return c
}

// Read implements record.Store.
func (m *memory) Read(ctx context.Context, f func(record.Reader) error) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	return f(&memoryTxn{m.data})
}

// Alone implements record.Store.
func (m *memory) Alone(ctx context.Context, f func(record.Reader) error) error { return m.Read(ctx, f) }

// Write implements record.Store.
func (m *memory) Write(ctx context.Context, f func(record.Writer) error) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	t := &memoryTxn{m.data.clone()}
	if err := f(t); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	m.data = t.content
	return nil
}

// Close implements record.Store.
func (m *memory) Close() error { return nil }

type memoryTxn struct{ content }

func (t *memoryTxn) Logs() ([]record.Log, error) { return slices.Clone(t.logs), nil }

func (t *memoryTxn) Size(log int64) (int64, error) { return int64(len(t.rows[log])), nil }

func (t *memoryTxn) Row(log, n int64) (record.Row, error) {
	if n < 0 || n >= int64(len(t.rows[log])) {
		return record.Row{}, record.ErrNoRow
	}
	return t.rows[log][n], nil
}

func (t *memoryTxn) Hashes(log, n int64) ([]byte, error) {
	row, err := t.Row(log, n)
	return row.Hashes, err
}

func (t *memoryTxn) Scan(log, from, to int64, visit func(int64, *record.Row) error) error {
	for n := from; n < min(to, int64(len(t.rows[log]))); n++ {
		row := t.rows[log][n]
		if err := visit(n, &row); err != nil {
			return err
		}
	}
	return nil
}

func (t *memoryTxn) Places(log int64, subject record.ID) ([]record.Place, error) {
	var places []record.Place
	for n, row := range t.rows[log] {
		if row.Subject == subject {
			places = append(places, record.Place{Log: log, N: int64(n)})
		}
	}
	return places, nil
}

func (t *memoryTxn) Find(log int64, subject, identity record.ID) (record.Place, error) {
	for n, row := range t.rows[log] {
		if row.Subject == subject && row.Identity == identity {
			return record.Place{Log: log, N: int64(n)}, nil
		}
	}
	return record.Place{}, record.ErrNoRow
}

func (t *memoryTxn) Subjects(after record.ID, visit func(record.ID) error) error {
	seen := map[record.ID]bool{}
	for _, rows := range t.rows {
		for _, row := range rows {
			seen[row.Subject] = true
		}
	}
	ids := slices.SortedFunc(maps.Keys(seen), func(a, b record.ID) int { return bytes.Compare(a[:], b[:]) })
	for _, id := range ids {
		if id.IsZero() || bytes.Compare(id[:], after[:]) <= 0 {
			continue
		}
		if err := visit(id); err != nil {
			return err
		}
	}
	return nil
}

func (t *memoryTxn) Document(d record.Digest) ([]byte, error) {
	data, ok := t.docs[d]
	if !ok {
		return nil, record.ErrNoRow
	}
	return data, nil
}

func (t *memoryTxn) CopyDocument(d record.Digest, w io.Writer) error {
	data, err := t.Document(d)
	if err == nil {
		_, err = w.Write(data)
	}
	return err
}

func (t *memoryTxn) Documents(visit func(record.Digest, []byte) error) error {
	for _, d := range t.order {
		if err := visit(d, t.docs[d]); err != nil {
			return err
		}
	}
	return nil
}

func (t *memoryTxn) Beside(kind string, name []byte) ([][]byte, error) {
	var values [][]byte
	for _, pair := range t.beside[kind] {
		if pair[0] == string(name) {
			values = append(values, []byte(pair[1]))
		}
	}
	return values, nil
}

func (t *memoryTxn) BesideAll(kind string, visit func(name, value []byte) error) error {
	for _, pair := range t.beside[kind] {
		if err := visit([]byte(pair[0]), []byte(pair[1])); err != nil {
			return err
		}
	}
	return nil
}

func (t *memoryTxn) AddLog(origin, key string) (record.Log, error) {
	for _, l := range t.logs {
		if l.Origin == origin {
			return l, fmt.Errorf("book %s is there already", origin)
		}
	}
	l := record.Log{ID: int64(len(t.logs)) + 1, Origin: origin, Key: key}
	t.logs = append(t.logs, l)
	return l, nil
}

func (t *memoryTxn) AddRow(log, n int64, row record.Row) error {
	if n != int64(len(t.rows[log])) {
		return fmt.Errorf("row %d cannot follow %d rows", n, len(t.rows[log]))
	}
	t.rows[log] = append(slices.Clip(t.rows[log]), row)
	return nil
}

func (t *memoryTxn) AddDocument(d record.Digest, data []byte) error {
	if _, ok := t.docs[d]; !ok {
		t.docs[d] = bytes.Clone(data)
		t.order = append(t.order, d)
	}
	return nil
}

func (t *memoryTxn) PutBeside(kind string, name, value []byte) error {
	pair := [2]string{string(name), string(value)}
	list := t.beside[kind]
	at, found := slices.BinarySearchFunc(list, pair, comparePairs)
	if !found {
		t.beside[kind] = slices.Insert(slices.Clone(list), at, pair)
	}
	return nil
}

func comparePairs(a, b [2]string) int { return slices.Compare(a[:], b[:]) }

func (t *memoryTxn) DropBeside(kind string, name, value []byte) error {
	t.beside[kind] = slices.DeleteFunc(slices.Clone(t.beside[kind]), func(p [2]string) bool {
		return p[0] == string(name) && (value == nil || p[1] == string(value))
	})
	return nil
}

func (t *memoryTxn) ShredBeside(kind string, name, value []byte) error {
	return t.DropBeside(kind, name, value)
}
