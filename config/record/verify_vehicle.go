package record

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Verified reads one vehicle's entries and, in the same read, checks them, with
// the proof that each stands in its log, the newest signature of the log and
// the head file; what it costs grows with the vehicle's entries and the
// logarithm of the log. It leaves the other vehicles' entries to Verify. A
// history that cannot be read is an error; one that can be read and is not as
// it was written is in the report.
func (b *Book) Verified(ctx context.Context, vehicle ID) (*History, *Report, error) {
	var h *History
	report := &Report{}
	err := b.store.Read(ctx, func(r Reader) error {
		read, err := readHistory(r, vehicle)
		if err != nil {
			return err
		}
		h = read
		if err := b.verifyHistory(r, h, report); err != nil {
			return err
		}
		return verifyDocumentsOf(r, h, report)
	})
	if err != nil && !(h != nil && report.damage(err)) {
		return nil, nil, err
	}
	report.conclude()
	h.docs = func(d Digest) ([]byte, error) { return b.Document(ctx, d) }
	return h, report, nil
}

// verifyHistory fills the report with what is wrong with a vehicle's history.
func (b *Book) verifyHistory(r Reader, h *History, report *Report) error {
	logs, err := r.Logs()
	if err != nil {
		return err
	}
	heads := map[int64]Head{}
	for _, l := range logs {
		book, err := b.verifyHead(r, l, report)
		if err != nil {
			return err
		}
		heads[l.ID] = book.Head
		report.Books = append(report.Books, book)
	}
	last := map[string]Digest{} // newest leaf of each subject in each book
	for i := range h.Items {
		item := &h.Items[i]
		if err := verifyItem(r, item, heads[item.Log], report); err != nil {
			return err
		}
		chain := item.Book + item.Subject.String()
		if item.Previous != last[chain] {
			report.Flaws = append(report.Flaws, Flaw{Class: ChainBroken, Book: item.Book, N: item.N, Subject: item.Subject,
				Text: "the vehicle's entry before this one is not the one that it names"})
		}
		if !item.Subject.IsZero() { // entries about the record as a whole are no chain
			last[chain] = item.Leaf
		}
	}
	for _, id := range h.Subjects {
		for _, class := range []sealClass{personalClass, secretClass} {
			if b.keys.origin == "" {
				continue
			}
			if _, err := b.openValues(r, class, id); err != nil {
				report.Flaws = append(report.Flaws, Flaw{Class: ValueChanged, N: -1, Subject: id, Text: err.Error()})
			}
		}
	}
	return b.verifyThere(r, h, report)
}

// verifyHead checks a log's newest signature and, for our own, the head file.
func (b *Book) verifyHead(r Reader, l Log, report *Report) (BookReport, error) {
	book := BookReport{Own: l.ID == b.own.ID, Head: Head{Book: l.Origin}}
	size, err := r.Size(l.ID)
	if err != nil {
		return book, err
	}
	tree, err := loadFrontier(r, l.ID, size)
	if err != nil {
		return book, err
	}
	book.Size, book.Root = size, tree.root()
	if size > 0 {
		row, err := r.Row(l.ID, size-1)
		if err != nil {
			return book, err
		}
		key, err := note.NewVerifier(l.Key)
		if err != nil || !checkSignature(book.Head, key, row.Signature) {
			report.Flaws = append(report.Flaws, Flaw{Class: Rewritten, Book: l.Origin, N: size - 1, Text: "the newest signature does not fit the entries"})
		} else {
			book.SignedTo = size
			if err := b.remember(book, row.Signature); err != nil {
				return book, err
			}
		}
	}
	if !book.Own {
		return book, nil
	}
	var flaw *FlawError
	if _, err := b.checkHead(r, size); errors.As(err, &flaw) {
		report.Flaws = append(report.Flaws, flaw.Flaw)
	} else if err != nil {
		return book, err
	} else if head, ok, _ := b.headFile(); ok {
		book.WitnessedTo = head.Size
		book.Witnesses = []WitnessSaw{{headWitness, head.Size, true}}
	}
	return book, nil
}

// remember spares the head file's signature a second check: it is mostly the
// one of our own newest row, which was checked just now.
func (b *Book) remember(book BookReport, signature []byte) error {
	if !book.Own {
		return nil
	}
	text, err := buildNote(book.Head, b.own.Key, signature)
	if err == nil {
		b.checked.Store(&Checkpoint{book.Head, text})
	}
	return err
}

// verifyItem proves that an entry stands in its log.
func verifyItem(r Reader, item *Item, head Head, report *Report) error {
	proof, err := tlog.ProveRecord(head.Size, item.N, storedHashes{r, item.Log})
	if err != nil {
		return err
	}
	if tlog.CheckRecord(proof, head.Size, tlog.Hash(head.Root), item.N, tlog.Hash(item.Leaf)) != nil {
		report.flaw(item, EntryChanged, fmt.Sprintf("%s of %s by %s: it is not the entry that the log holds here", item.Kind, item.At.Format("2006-01-02"), item.By))
	}
	return nil
}

func (r *Report) flaw(item *Item, class FlawClass, text string) {
	r.Flaws = append(r.Flaws, Flaw{Class: class, Book: item.Book, N: item.N, Subject: item.Subject, Text: text})
}

// verifyDocumentsOf checks that the documents of a history are there and
// whole, each once: most entries of a job name the same ones.
func verifyDocumentsOf(r Reader, h *History, report *Report) error {
	kept := map[Digest]error{}
	for i := range h.Items {
		item := &h.Items[i]
		for _, role := range sortedKeys(item.Blobs) {
			digest := item.Blobs[role]
			known, before := kept[digest]
			if !before {
				known = checkDocument(r, digest)
				kept[digest] = known
			}
			switch {
			case known == nil:
			case errors.Is(known, ErrNoRow):
				report.flaw(item, DocumentMissing, fmt.Sprintf("its document %q is not there", role))
			case errors.Is(known, errChanged):
				report.flaw(item, DocumentChanged, fmt.Sprintf("its document %q was changed", role))
			default:
				return known
			}
		}
	}
	return nil
}

// errChanged says that a document is not what its digest names.
var errChanged = errors.New("the document was changed")

// checkDocument says whether what is stored under a digest is still that.
func checkDocument(r Reader, digest Digest) error {
	sum := sha256.New()
	if err := r.CopyDocument(digest, sum); err != nil {
		return err
	}
	if Digest(sum.Sum(nil)) != digest {
		return errChanged
	}
	return nil
}
