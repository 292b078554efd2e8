package record

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"asleft/config/setting"
)

// Item is one entry of a vehicle's history.
type Item struct {
	Entry
	Log        int64  // the log it stands in
	Book       string // that log's name
	Leaf       Digest // its leaf hash, computed from its bytes
	Concurrent []ID   // entries of other books written without knowing of this one, and it not of them
}

// History is a vehicle's life: the merge of all books by vehicle. An entry
// stands after everything its writer had seen; entries that did not know of
// each other stand in order of time and say so.
type History struct {
	Subjects []ID // the subjects that are this vehicle
	Items    []Item
	docs     func(Digest) ([]byte, error)
}

// History reads a vehicle's history.
func (b *Book) History(ctx context.Context, vehicle ID) (*History, error) {
	var h *History
	err := b.store.Read(ctx, func(r Reader) (err error) {
		h, err = readHistory(r, vehicle)
		return err
	})
	if err != nil {
		return nil, err
	}
	h.docs = func(d Digest) ([]byte, error) { return b.Document(ctx, d) }
	return h, nil
}

// Document reads a document by its digest and checks it.
func (b *Book) Document(ctx context.Context, d Digest) ([]byte, error) {
	var data []byte
	err := b.store.Read(ctx, func(r Reader) (err error) {
		data, err = readDocument(r, d)
		return err
	})
	return data, err
}

func readDocument(r Reader, d Digest) ([]byte, error) {
	data, err := r.Document(d)
	if err != nil {
		return nil, fmt.Errorf("document %s: %w", d, err)
	}
	if DigestOf(data) != d {
		return nil, &FlawError{Flaw{Class: DocumentChanged, N: -1, Text: "document " + d.String() + " is not what the entry names"}}
	}
	return data, nil
}

func readHistory(r Reader, vehicle ID) (*History, error) {
	group, err := vehicleGroup(r, vehicle)
	if err != nil {
		return nil, err
	}
	logs, err := r.Logs()
	if err != nil {
		return nil, err
	}
	h := &History{Subjects: group, docs: func(d Digest) ([]byte, error) { return readDocument(r, d) }}
	canon := new(canonReader)
	for _, subject := range group {
		for _, l := range logs {
			places, err := r.Places(l.ID, subject)
			if err != nil {
				return nil, err
			}
			for _, p := range places {
				item, err := readItem(r, canon, p, l.Origin)
				if err != nil {
					return nil, err
				}
				h.Items = append(h.Items, item)
			}
		}
	}
	h.Items = mergeItems(h.Items)
	return h, nil
}

func readItem(r Reader, canon *canonReader, p Place, book string) (Item, error) {
	row, err := r.Row(p.Log, p.N)
	if err != nil {
		return Item{}, err
	}
	e, err := parseEntry(canon, string(row.Bytes))
	if err != nil {
		return Item{}, &FlawError{Flaw{Class: Unparsable, Book: book, N: p.N, Text: err.Error()}}
	}
	return Item{Entry: e, Log: p.Log, Book: book, Leaf: leafHash(row.Bytes)}, nil
}

// knows reports whether the writer of a had seen b when writing.
func (a *Item) knows(b *Item) bool {
	if a.Book == b.Book {
		return b.N <= a.N
	}
	for _, h := range a.Seen {
		if h.Book == b.Book {
			return b.N < h.Size
		}
	}
	return false
}

// mergeItems sorts so that nobody stands before what they had seen, and marks
// concurrent entries. Ties go by time, then book, then position: the result
// does not depend on the order in which books came in.
func mergeItems(items []Item) []Item {
	slices.SortFunc(items, compareItems)
	out := make([]Item, 0, len(items))
	done := make([]bool, len(items))
	for len(out) < len(items) {
		next := -1
		for i := range items {
			if !done[i] && ready(items, done, i) {
				next = i
				break
			}
		}
		if next < 0 { // entries that claim to have seen each other: order by time
			next = slices.Index(done, false)
		}
		done[next] = true
		out = append(out, items[next])
	}
	markConcurrent(out)
	return out
}

func compareItems(a, b Item) int {
	return cmp.Or(a.At.Compare(b.At), compareUTF16(a.Book, b.Book), cmp.Compare(a.N, b.N))
}

func ready(items []Item, done []bool, i int) bool {
	for j := range items {
		if j != i && !done[j] && items[i].knows(&items[j]) {
			return false
		}
	}
	return true
}

func markConcurrent(items []Item) {
	for i := range items {
		for j := range items {
			a, b := &items[i], &items[j]
			if a.Book != b.Book && !a.knows(b) && !b.knows(a) {
				a.Concurrent = append(a.Concurrent, b.Identity)
			}
		}
	}
}

// Last returns the newest entry that carries a document of the role, or nil.
func (h *History) Last(role string) *Item {
	for i := len(h.Items) - 1; i >= 0; i-- {
		if _, ok := h.Items[i].Blobs[role]; ok {
			return &h.Items[i]
		}
	}
	return nil
}

// Find returns the entry with this identity, or nil.
func (h *History) Find(identity ID) *Item {
	for i := range h.Items {
		if h.Items[i].Identity == identity {
			return &h.Items[i]
		}
	}
	return nil
}

// Document reads the newest document of a role; nil when there is none.
func (h *History) Document(role string) ([]byte, *Item, error) {
	item := h.Last(role)
	if item == nil {
		return nil, nil, nil
	}
	data, err := h.docs(item.Blobs[role])
	return data, item, err
}

// Snapshot reads the newest snapshot of a role ("found", "left", "required").
func (h *History) Snapshot(role string) (setting.Snapshot, *Item, error) {
	data, item, err := h.Document(role)
	if err != nil || item == nil {
		return setting.Snapshot{}, item, err
	}
	s, err := setting.ParseSnapshot(data)
	return s, item, err
}
