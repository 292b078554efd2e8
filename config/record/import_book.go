package record

import (
	"fmt"

	"golang.org/x/mod/sumdb/tlog"
)

// incoming is a book while it is read from a file: hung into a tree of its
// own, compared with what is here already, and added from there on.
type incoming struct {
	Log
	declared int64 // entries that the file announces
	here     int64 // entries that are here already
	known    bool
	own      bool
	added    int64
	parted   int64 // first entry that is not the one that is here, or -1
	tree     frontier
	stored   []tlog.Hash // all hashes, kept for a book that is known: a fork needs a proof
	last     *Entry
	hashes   []tlog.Hash // room for what one entry completes
}

// book begins a book: one that is here already, or a new one.
func (in *importer) book(f *fields) error {
	if in.log != nil {
		return in.fail("the checkpoint of %s is missing", in.log.Origin)
	}
	origin, key, size := f.text("book"), f.text("key"), f.whole("size")
	if f.err != nil {
		return nil
	}
	if !isBookName(origin) {
		return in.fail("%q is not the name of a book", origin)
	}
	logs, err := in.w.Logs()
	if err != nil {
		return err
	}
	in.log = &incoming{declared: size, parted: -1}
	for _, l := range logs {
		if l.Origin != origin {
			continue
		}
		if l.Key != key {
			return in.fail("%s comes with another key than the one that is known here", origin)
		}
		in.log.Log, in.log.known, in.log.own = l, true, l.ID == in.b.own.ID
		in.log.here, err = in.w.Size(l.ID)
		return err
	}
	in.log.Log, err = in.w.AddLog(origin, key)
	return err
}

// take hangs an entry into the tree and adds it when it is new here. Entries
// of our own book are only taken back when that was asked for.
func (l *incoming) take(w Writer, e *importEntry, recoverOwn bool) (added bool, err error) {
	l.hashes = l.tree.push(e.leaf, l.hashes)
	l.last = &e.Entry
	if l.known {
		l.stored = append(l.stored, l.hashes...)
	}
	if e.N < l.here {
		have, err := storedHash(w, l.ID, e.N, 0)
		if err == nil && have != e.leaf && l.parted < 0 {
			l.parted = e.N
		}
		return false, err
	}
	if l.parted >= 0 || l.own && !recoverOwn {
		return false, nil
	}
	l.added++
	return true, w.AddRow(l.ID, e.N, Row{Bytes: e.data, Subject: e.Subject, Identity: e.Identity, Hashes: joinHashes(l.hashes), Signature: e.signature})
}

// checkpoint ends a book: its signature must fit what was read.
func (in *importer) checkpoint(f *fields) error {
	origin, signed := f.text("book"), f.text("checkpoint")
	if f.err != nil {
		return nil
	}
	l := in.log
	in.log = nil
	c, err := OpenCheckpoint([]byte(signed), l.Key)
	switch {
	case err != nil:
		return in.fail("%v", err)
	case origin != l.Origin || c.Book != l.Origin:
		return in.fail("expected the checkpoint of %s", l.Origin)
	case c.Size != l.tree.size || c.Size != l.declared || c.Root != l.tree.root():
		return in.fail("the entries are not those of the signed checkpoint: something was changed, dropped or added on the way")
	}
	book := ImportedBook{Origin: l.Origin, Size: c.Size, New: l.added, Own: l.own, Behind: max(0, l.here-c.Size)}
	in.out.Books = append(in.out.Books, book)
	if l.parted >= 0 {
		return in.fork(l, c)
	}
	if l.own && c.Size > l.here && !in.o.Recover {
		in.out.Flaws = append(in.out.Flaws, rolledBack(l.Origin, l.here, c, "the imported copy of this book"))
	}
	if !l.own && l.last != nil {
		in.heads = append(in.heads, l.last)
	}
	return nil
}

// fork makes the proof that one book was continued in two ways.
func (in *importer) fork(l *incoming, theirs Checkpoint) error {
	ours, err := logCheckpoint(in.w, l.Log)
	if err != nil {
		return err
	}
	proof, err := proveFork(l.Log, l.parted, ours, storedHashes{in.w, l.ID}, theirs, hashList(l.stored))
	if err != nil {
		return err
	}
	in.out.Proofs = append(in.out.Proofs, proof)
	in.out.Flaws = append(in.out.Flaws, Flaw{Class: Forked, Book: l.Origin, N: l.parted, Text: fmt.Sprintf(
		"the book was continued in two ways: from entry %d on, the imported copy is not the one that is here", l.parted)})
	return nil
}

// hashList reads hashes by their stored index.
type hashList []tlog.Hash

// ReadHashes implements tlog.HashReader.
func (h hashList) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, index := range indexes {
		if index >= int64(len(h)) {
			return nil, ErrNoRow
		}
		out[i] = h[index]
	}
	return out, nil
}
