package record

import (
	"bytes"
	"context"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"
)

// logVerifier reads one log from its first entry to its last.
type logVerifier struct {
	ctx       context.Context
	r         Reader
	log       Log
	own       bool
	docs      map[Digest]bool // documents that are there: true when whole
	report    *Report
	book      BookReport
	flaws     []Flaw
	tree      frontier
	roots     map[int64]Digest // root at each size that a witness knows
	signature []byte           // of the newest row
	hashes    []tlog.Hash
	progress  Progress
	size      int64       // as the store tells it, for progress alone
	lacking   map[ID]bool // vehicles of our own entries that name a value which is not there
}

const maxFlaws = 1000 // a report longer than that helps nobody

func (v *logVerifier) flaw(class FlawClass, n int64, text string) {
	if len(v.flaws) < maxFlaws {
		v.flaws = append(v.flaws, Flaw{Class: class, Book: v.log.Origin, N: n, Text: text})
	}
}

func (v *logVerifier) run(witnesses []Witness) error {
	v.book = BookReport{Own: v.own, Head: Head{Book: v.log.Origin}}
	v.roots = map[int64]Digest{}
	wanted := map[int64]bool{}
	for _, w := range witnesses {
		wanted[w.Size] = true
	}
	if wanted[0] {
		v.roots[0] = v.tree.root()
	}
	pipe := newRowPipe(func(r *batchRow) {
		for v.tree.size < r.n {
			v.missing(v.tree.size, r.n)
		}
		v.row(r)
		if wanted[v.tree.size] {
			v.roots[v.tree.size] = v.tree.root()
		}
	})
	err := v.r.Scan(v.log.ID, 0, 1<<positionBits, func(n int64, row *Row) error {
		if n&1023 == 0 {
			if v.ctx.Err() != nil {
				return v.ctx.Err()
			}
			v.told(n)
		}
		pipe.add(n, row)
		return nil
	})
	pipe.end()
	if err == nil {
		err = v.conclude(witnesses)
	}
	v.report.Books = append(v.report.Books, v.book)
	v.report.Flaws = append(v.report.Flaws, v.flaws...)
	return err
}

// told says how far the log is read.
func (v *logVerifier) told(n int64) {
	if v.progress == nil {
		return
	}
	if v.size == 0 {
		v.size, _ = v.r.Size(v.log.ID)
	}
	v.progress(n, v.size)
}

// missing notes a gap and steps over it, so that later entries are still
// looked at each by itself.
func (v *logVerifier) missing(from, to int64) {
	text := "the entry is not there"
	if to-from > 1 {
		text = fmt.Sprintf("entries %d to %d are not there", from, to-1)
	}
	v.flaw(EntryMissing, from, text)
	v.tree = frontier{}
	v.tree.skip(to)
}

// skip fills the tree with empty hashes up to size: its roots mean nothing
// from then on, but positions and shapes stay right.
func (f *frontier) skip(size int64) {
	f.size, f.peaks = size, nil
	for rest := size; rest > 0; rest &= rest - 1 {
		f.peaks = append(f.peaks, tlog.Hash{})
	}
}

// row checks one entry by itself and hangs it into the tree.
func (v *logVerifier) row(r *batchRow) {
	before := len(v.flaws)
	leaf := tlog.Hash(r.leaf)
	if len(r.Hashes) >= len(leaf) && !bytes.Equal(leaf[:], r.Hashes[:len(leaf)]) {
		v.changed(r.n, &r.Row)
		leaf = tlog.Hash(r.Hashes[:len(leaf)]) // what the tree was built from
	} else {
		v.content(r)
	}
	v.hashes = v.tree.push(leaf, v.hashes)
	if !v.sameHashes(r.Hashes) && !v.holed() {
		v.flaw(HashChanged, r.n, "the stored hashes of the tree are not what the entries give")
	}
	if v.signature = v.signature[:0]; r.Signature == nil {
		v.signature = nil
	} else {
		v.signature = append(v.signature, r.Signature...)
	}
	if len(v.flaws) == before {
		v.book.Intact++
	}
}

// holed reports whether an entry before was missing.
func (v *logVerifier) holed() bool {
	for _, f := range v.flaws {
		if f.Class == EntryMissing {
			return true
		}
	}
	return false
}

func (v *logVerifier) sameHashes(stored []byte) bool {
	if len(stored) != len(v.hashes)*tlog.HashSize {
		return false
	}
	for i := range v.hashes {
		if !bytes.Equal(stored[i*tlog.HashSize:(i+1)*tlog.HashSize], v.hashes[i][:]) {
			return false
		}
	}
	return true
}

// changed names an entry whose bytes are not what was hashed.
func (v *logVerifier) changed(n int64, row *Row) {
	text := "its bytes were changed"
	if e, err := ParseEntry(row.Bytes); err == nil {
		if e.N != n {
			v.flaw(EntryMoved, n, fmt.Sprintf("what stands here says that it is entry %d", e.N))
			return
		}
		text = fmt.Sprintf("%s of %s by %s: its bytes were changed", e.Kind, e.At.Format("2006-01-02"), e.By)
	}
	v.flaw(EntryChanged, n, text)
}

// content checks what an entry says about itself against where it stands. It
// compares the few members that matter; when one does not fit, the whole entry
// is parsed to say what is wrong.
func (v *logVerifier) content(r *batchRow) {
	if !r.fits {
		v.parsed(r.n, &r.Row)
	}
	v.documents(r.n, r.blobs)
	if v.own && r.commits {
		v.values(&r.Row)
	}
}

// values notes a vehicle of which a sealed value is gone; its history says whether it was erased.
func (v *logVerifier) values(row *Row) {
	if v.lacking[row.Subject] {
		return
	}
	e, err := ParseEntry(row.Bytes)
	if err != nil {
		return // parsed says so
	}
	if gone, err := lacks(v.r, &e); err == nil && gone {
		if v.lacking == nil {
			v.lacking = map[ID]bool{}
		}
		v.lacking[row.Subject] = true
	}
}

// parsed says exactly what is wrong with an entry.
func (v *logVerifier) parsed(n int64, row *Row) {
	e, err := ParseEntry(row.Bytes)
	switch {
	case err != nil:
		v.flaw(Unparsable, n, err.Error())
	case e.N != n:
		v.flaw(EntryMoved, n, fmt.Sprintf("what stands here says that it is entry %d", e.N))
	case e.Subject != row.Subject:
		v.flaw(IndexChanged, n, "it is filed under another vehicle than it says")
	case e.Identity != row.Identity:
		v.flaw(IndexChanged, n, "it is filed under another identity than it says")
	}
}

// documents checks that what the entry names is there. What is no object of
// digests in canonical form was told by parsed.
func (v *logVerifier) documents(n int64, blobs []byte) {
	var d Digest
	for at := 1; at < len(blobs); at++ {
		_, value, end := memberAt(blobs, at)
		if text := unquoted(value); end < 0 || len(text) != 2*len(d) || !decodeHex(d[:], text) {
			return
		}
		whole, there := v.docs[d]
		switch {
		case !there:
			v.flaw(DocumentMissing, n, fmt.Sprintf("the document %s that it names is not there", d))
		case !whole:
			v.flaw(DocumentChanged, n, fmt.Sprintf("the document %s that it names was changed", d))
		default:
			v.book.Documents++
		}
		at = end
	}
}
