package record

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"golang.org/x/mod/sumdb/note"
)

// Outcome is what verification came to.
type Outcome string

// The outcomes. Each has an exit status of its own: 0, 7, 4.
const (
	Witnessed   Outcome = "verifies, witnessed"
	Unwitnessed Outcome = "verifies, no witness"
	Flawed      Outcome = "does not verify"
)

// Report says what verification proved.
type Report struct {
	Outcome Outcome
	Books   []BookReport
	Flaws   []Flaw // in the order in which they were met
}

// BookReport is the part of a report about one book.
type BookReport struct {
	Head                     // how many entries were read, and the root they give
	Own         bool         // our own book
	Intact      int64        // entries whose bytes are what the tree says
	Documents   int64        // documents named by entries and found whole
	SignedTo    int64        // entries covered by the newest signature that fits
	WitnessedTo int64        // entries covered by the furthest witness that agrees
	Witnesses   []WitnessSaw // every witness that was heard
	HeadLost    int64        // 0, or how many entries there were when the head file was found missing: of what may have followed them then, it knows nothing
}

// WitnessSaw is what one witness had to say.
type WitnessSaw struct {
	Name   string // "head file", "sheet code ...", "book ..."
	Size   int64
	Agrees bool
}

// headWitness is what the head file is called as a witness.
const headWitness = "head file"

// Witness is a checkpoint kept outside the database. Bits says how many bits
// of the root it has kept; a whole root has 256.
type Witness struct {
	Name string
	Head
	Bits int
}

// Verify recomputes everything from raw entries: it trusts no stored hash.
// Further witnesses, such as a sheet's code, may be given; the head file and
// what other books have seen are asked anyway. The error is about reading;
// flaws are in the report.
func (b *Book) Verify(ctx context.Context, against ...Witness) (*Report, error) {
	report := &Report{}
	err := b.store.Read(ctx, func(r Reader) error {
		logs, err := r.Logs()
		if err != nil {
			return err
		}
		witnesses, err := b.witnesses(r, logs, report)
		if err != nil {
			return err
		}
		docs, err := b.verifyDocuments(r, report)
		if err != nil {
			return err
		}
		lacking := map[ID]bool{}
		for _, l := range logs {
			v := &logVerifier{ctx: ctx, r: r, log: l, own: l.ID == b.own.ID, docs: docs, report: report, progress: b.o.Progress}
			if err := v.run(append(witnesses[l.Origin], pick(against, l.Origin)...)); err != nil {
				return err
			}
			maps.Copy(lacking, v.lacking)
		}
		if err := b.verifyHeadKept(r, report); err != nil {
			return err
		}
		return b.verifyValues(r, lacking, report)
	})
	if err != nil && !report.damage(err) {
		return nil, err
	}
	if len(report.Books) == 0 { // the file cannot be read as far as the first log
		report.Books = []BookReport{{Own: true, Head: Head{Book: b.own.Origin}}}
	}
	report.conclude()
	return report, nil
}

func pick(list []Witness, book string) []Witness {
	var out []Witness
	for _, w := range list {
		if w.Book == book {
			out = append(out, w)
		}
	}
	return out
}

// damage turns an error of the database's structure into a flaw.
func (r *Report) damage(err error) bool {
	var flaw *FlawError
	var fault *FileError
	switch err = classify("", err); {
	case errors.As(err, &flaw):
		r.Flaws = append(r.Flaws, flaw.Flaw)
	case errors.As(err, &fault) && (fault.Class == Damaged || fault.Class == NotARecord):
		r.Flaws = append(r.Flaws, Flaw{Class: FileDamaged, N: -1, Text: fault.Text})
	case errors.Is(err, ErrNoRow):
		r.Flaws = append(r.Flaws, Flaw{Class: FileDamaged, N: -1, Text: err.Error()})
	default:
		return false
	}
	return true
}

// verifyHeadKept looks for an entry that says that the head file was missing.
func (b *Book) verifyHeadKept(r Reader, report *Report) error {
	lost, err := b.headLost(r)
	for i := range report.Books {
		if book := &report.Books[i]; book.Own && lost > 0 {
			book.HeadLost = lost
		}
	}
	return err
}

// conclude: a head file that was made anew after its loss is no witness of
// what stood before, so by itself it does not make the record a witnessed one.
func (r *Report) conclude() {
	r.Outcome = Unwitnessed
	for _, b := range r.Books {
		agrees := func(w WitnessSaw) bool { return w.Agrees && (b.HeadLost == 0 || w.Name != headWitness) }
		if b.Own && slices.ContainsFunc(b.Witnesses, agrees) {
			r.Outcome = Witnessed
		}
	}
	if len(r.Flaws) > 0 {
		r.Outcome = Flawed
	}
}

// witnesses gathers, by book, the head file and what the newest entry of each
// book had seen of the others.
func (b *Book) witnesses(r Reader, logs []Log, report *Report) (map[string][]Witness, error) {
	out := map[string][]Witness{}
	head, ok, err := b.state.loadHead(b.own.Origin, b.own.Key)
	if err != nil {
		report.Flaws = append(report.Flaws, Flaw{Class: HeadDamaged, Book: b.own.Origin, N: -1, Text: err.Error()})
	}
	if ok {
		out[b.own.Origin] = append(out[b.own.Origin], Witness{headWitness, head.Head, 256})
	}
	if at := b.state.bookAt(b.o.Path); at != "" && at != b.own.Origin && b.o.Store == nil {
		report.Flaws = append(report.Flaws, Flaw{Class: Replaced, Book: b.own.Origin, N: -1, Text: "the state folder knows another book here: " + at})
	}
	for _, l := range logs {
		size, err := r.Size(l.ID)
		if err != nil || size == 0 {
			continue
		}
		row, err := r.Row(l.ID, size-1)
		if err != nil {
			continue // the scan will say so
		}
		e, err := ParseEntry(row.Bytes)
		if err != nil {
			continue
		}
		for _, h := range e.Seen {
			out[h.Book] = append(out[h.Book], Witness{"book " + l.Origin, h, 256})
		}
	}
	return out, nil
}

// verifyDocuments hashes every document and returns the set of what is whole.
func (b *Book) verifyDocuments(r Reader, report *Report) (map[Digest]bool, error) {
	whole := map[Digest]bool{}
	err := r.Documents(func(d Digest, data []byte) error {
		if DigestOf(data) != d {
			report.Flaws = append(report.Flaws, Flaw{Class: DocumentChanged, N: -1, Text: "document " + d.String() + " is not what its digest says"})
			whole[d] = false
			return nil
		}
		whole[d] = true
		return nil
	})
	return whole, err
}

// verifyValues opens every sealed value and checks its commitment, as far as
// the keys are here, and looks for those that are gone.
func (b *Book) verifyValues(r Reader, lacking map[ID]bool, report *Report) error {
	for _, id := range slices.SortedFunc(maps.Keys(lacking), func(a, b ID) int { return bytes.Compare(a[:], b[:]) }) {
		h, err := readHistory(r, id)
		if err != nil {
			return err
		}
		if err := b.verifyThere(r, h, report); err != nil {
			return err
		}
	}
	if b.keys.origin == "" {
		return nil
	}
	for _, class := range []sealClass{personalClass, secretClass} {
		var subjects []ID
		err := r.BesideAll(class.values(), func(name, _ []byte) error {
			if len(name) == len(ID{}) && (len(subjects) == 0 || subjects[len(subjects)-1] != ID(name)) {
				subjects = append(subjects, ID(name))
			}
			return nil
		})
		if err != nil {
			return err
		}
		for _, id := range subjects {
			if _, err := b.openValues(r, class, id); err != nil {
				report.Flaws = append(report.Flaws, Flaw{Class: ValueChanged, N: -1, Subject: id, Text: err.Error()})
			}
		}
	}
	return nil
}

// conclude compares the witnesses of one log with the roots it was found to
// have, and the newest signature with its root.
func (v *logVerifier) conclude(witnesses []Witness) error {
	v.book.Head = Head{v.log.Origin, v.tree.size, v.tree.root()}
	for _, w := range witnesses {
		saw := WitnessSaw{Name: w.Name, Size: w.Size}
		switch root, ok := v.roots[w.Size]; {
		case w.Size > v.tree.size:
			v.flaws = append(v.flaws, rolledBack(v.log.Origin, v.tree.size, Checkpoint{Head: w.Head}, w.Name))
		case !ok || !sameBits(root, w.Root, w.Bits):
			v.flaws = append(v.flaws, forked(v.log.Origin, Checkpoint{Head: w.Head}, w.Name))
		default:
			saw.Agrees = true
			v.book.WitnessedTo = max(v.book.WitnessedTo, w.Size)
		}
		v.book.Witnesses = append(v.book.Witnesses, saw)
	}
	return v.checkSigned()
}

func sameBits(a, b Digest, bits int) bool {
	whole := bits / 8
	if string(a[:whole]) != string(b[:whole]) {
		return false
	}
	rest := bits % 8
	return rest == 0 || a[whole]>>(8-rest) == b[whole]>>(8-rest)
}

// checkSigned checks the newest signature. When it does not fit although
// every hash does, entries were replaced and hashed again: the first
// signature that does not fit says from where on.
func (v *logVerifier) checkSigned() error {
	if v.tree.size == 0 {
		return nil
	}
	key, err := note.NewVerifier(v.log.Key)
	if err != nil {
		v.flaw(Rewritten, -1, "the book's public key is not one")
		return nil
	}
	if v.signature == nil {
		v.flaw(Unsigned, v.tree.size-1, "the newest entry carries no signature")
		return nil
	}
	if checkSignature(v.book.Head, key, v.signature) {
		v.book.SignedTo = v.tree.size
		return nil
	}
	if len(v.flaws) > 0 {
		return nil // the flaws above say why
	}
	from, err := v.firstUnfit(key)
	if err == nil {
		v.flaw(Rewritten, from, fmt.Sprintf("from here on, entries were replaced and hashed again: %d of %d signatures' entries still fit", from, v.tree.size))
	}
	return err
}

// firstUnfit finds by halving the first entry that no fitting signature covers.
func (v *logVerifier) firstUnfit(key note.Verifier) (int64, error) {
	low, high := int64(0), v.tree.size // the first low entries are signed for
	for low < high {
		mid := (low + high) / 2
		end, signature, err := v.nextSigned(mid)
		if err != nil {
			return 0, err
		}
		tree, err := loadFrontier(v.r, v.log.ID, end+1)
		if err != nil {
			return 0, err
		}
		if checkSignature(Head{v.log.Origin, end + 1, tree.root()}, key, signature) {
			low = end + 1
		} else {
			high = mid
		}
	}
	return low, nil
}

// nextSigned is the first row from n on that carries a signature.
func (v *logVerifier) nextSigned(n int64) (at int64, signature []byte, err error) {
	stop := errors.New("found")
	at = v.tree.size - 1
	err = v.r.Scan(v.log.ID, n, v.tree.size, func(n int64, row *Row) error {
		if row.Signature != nil {
			at, signature = n, append([]byte(nil), row.Signature...)
			return stop
		}
		return nil
	})
	if err == stop {
		err = nil
	}
	return at, signature, err
}
