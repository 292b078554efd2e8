package record

import (
	"context"
	"errors"
	"fmt"
	"io"
)

// ImportOptions says how to import.
type ImportOptions struct {
	By       string   // who; required
	Reason   string   // why, when there is something to say
	Name     string   // of the file, for messages
	Recover  bool     // take back entries of our own book that this record has lost
	Progress Progress // may be nil
}

// Imported says what came in.
type Imported struct {
	Receipt
	Books  []ImportedBook
	Flaws  []Flaw   // forks and rollbacks that came to light; then nothing was taken
	Proofs [][]byte // for each fork, a proof that anybody can check: CheckForkProof
}

// ImportedBook is one book of the file.
type ImportedBook struct {
	Origin string
	Size   int64 // entries in the file
	New    int64 // entries that were not here before
	Behind int64 // entries that are here and not in the file: an older export, or a record put back over there
	Own    bool  // our own book came back
}

// Import takes other laptops' books in, each as a book of its own origin,
// checked from the first entry to the signed checkpoint and never rewritten.
// All of the file is taken or nothing. What is known of each book afterwards
// is named by our own next entry, which makes us its witness: first checked,
// then kept, then signed.
func (b *Book) Import(ctx context.Context, r io.Reader, o ImportOptions) (*Imported, error) {
	d := Draft{Kind: Note, By: o.By, Reason: o.Reason}
	if err := b.identify(&d); err != nil {
		return nil, err
	}
	if err := d.check(); err != nil {
		return nil, err
	}
	out := &Imported{}
	err := b.write(ctx, func(w Writer) (Receipt, error) {
		in := &importer{ctx: ctx, b: b, w: w, o: o, out: out, lines: newLineReader(r, o.Name),
			docs: map[Digest]bool{}, keys: map[ID]subjectKey{}}
		if err := in.readAll(); err != nil {
			return Receipt{}, err
		}
		if err := in.settle(); err != nil {
			return Receipt{}, err
		}
		if len(out.Flaws) > 0 {
			return Receipt{}, &FlawError{out.Flaws[0]}
		}
		err := in.note(d)
		return out.Receipt, err
	})
	return out, err
}

// ImportFile is Import on a file.
func (b *Book) ImportFile(ctx context.Context, path string, o ImportOptions) (*Imported, error) {
	f, err := openPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	o.Name = path
	return b.Import(ctx, f, o)
}

// importer reads one file within one write.
type importer struct {
	ctx    context.Context
	b      *Book
	w      Writer
	o      ImportOptions
	out    *Imported
	lines  *lineReader
	at     int64 // the line under way
	log    *incoming
	docs   map[Digest]bool
	keys   map[ID]subjectKey
	erased []ID // vehicles whose personal values were erased in the file's books
	heads  []*Entry
}

// fail says what is wrong with the line under way.
func (in *importer) fail(format string, args ...any) error {
	return &LineError{in.o.Name, in.at, fmt.Sprintf(format, args...)}
}

// line takes one line in; io.EOF when the file is at its end.
func (in *importer) line(line *importLine) error {
	in.at = line.n
	switch {
	case line.err == io.EOF && in.log != nil:
		return in.fail("the checkpoint of %s is missing", in.log.Origin)
	case line.err != nil:
		return line.err
	case line.kind != "book" && in.log == nil:
		return in.fail("%q stands outside a book", line.kind)
	case line.entry != nil:
		return in.entry(line.entry)
	}
	if err := in.other(line.kind, line.f); err != nil {
		return err
	}
	if err := line.f.close(); err != nil {
		return in.fail("%v", err)
	}
	return nil
}

func (in *importer) other(kind string, f *fields) error {
	switch kind {
	case "book":
		return in.book(f)
	case "document":
		return in.document(f)
	case "find":
		return in.find(f)
	case "key":
		return in.key(f)
	case "value":
		return in.value(f)
	case "checkpoint":
		return in.checkpoint(f)
	}
	return in.fail("%q is not a line of an export", kind)
}

func (in *importer) document(f *fields) error {
	d, data := f.digest("digest"), f.bytes("bytes")
	if f.err != nil {
		return nil
	}
	if DigestOf(data) != d {
		return in.fail("the document is not what its digest says")
	}
	in.docs[d] = true
	return in.w.AddDocument(d, data)
}

// entry takes the next entry of the current book.
func (in *importer) entry(e *importEntry) error {
	if e.n != in.log.tree.size || e.N != e.n {
		return in.fail("expected entry %d, found %d that says it is %d", in.log.tree.size, e.n, e.N)
	}
	for _, role := range sortedKeys(e.Blobs) {
		if d := e.Blobs[role]; !in.docs[d] {
			if _, err := in.w.Document(d); err != nil {
				return in.fail("its document %q is not in the file", role)
			}
		}
	}
	if in.o.Progress != nil {
		in.o.Progress(e.n+1, in.log.declared)
	}
	added, err := in.log.take(in.w, e, in.o.Recover)
	if err != nil || !added {
		return err
	}
	return in.learn(&e.Entry)
}

// learn makes what a new entry says findable.
func (in *importer) learn(e *Entry) error {
	for _, a := range Attributes() {
		if text := e.Data[a.data()]; text != "" {
			if err := in.b.addFinding(in.w, a, text, e.Subject); err != nil {
				return err
			}
		}
	}
	switch e.Kind {
	case SameAs:
		if other, err := ParseID(e.Data["same-as"]); err == nil {
			return join(in.w, e.Subject, other)
		}
	case Erased:
		in.erased = append(in.erased, e.Subject)
	}
	return nil
}

// settle does what can only be done when the whole file is there.
func (in *importer) settle() error {
	if len(in.out.Flaws) > 0 {
		return nil
	}
	for _, id := range in.erased {
		h, err := readHistory(in.w, id)
		if err != nil {
			return err
		}
		if _, err := in.b.dropPersonal(in.w, h); err != nil {
			return err
		}
	}
	size, err := in.w.Size(in.b.own.ID)
	if err != nil {
		return err
	}
	for _, e := range in.heads {
		for _, h := range e.Seen {
			if h.Book == in.b.own.Origin {
				if err := in.seenOfUs(h, size); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// seenOfUs compares what another book had seen of ours with what we have.
func (in *importer) seenOfUs(h Head, size int64) error {
	witness := Checkpoint{Head: h}
	if h.Size > size {
		in.out.Flaws = append(in.out.Flaws, rolledBack(h.Book, size, witness, "the imported book"))
		return nil
	}
	tree, err := loadFrontier(in.w, in.b.own.ID, h.Size)
	if err == nil && tree.root() != h.Root {
		in.out.Flaws = append(in.out.Flaws, forked(h.Book, witness, "the imported book"))
	}
	return err
}

// note records the import; its entry names the newest head of every book.
func (in *importer) note(d Draft) error {
	d.Data = map[string]string{}
	for i, book := range in.out.Books {
		d.Data[fmt.Sprintf("imported.%d", i+1)] = fmt.Sprintf("%s: %d entries, %d new", book.Origin, book.Size, book.New)
	}
	p, err := in.b.newPen(in.w)
	if err != nil {
		return err
	}
	if err := p.write(&d); err != nil {
		return err
	}
	receipts, err := p.finish()
	if err != nil {
		return err
	}
	if len(receipts) == 0 {
		return errors.New("record: import left no entry")
	}
	in.out.Receipt = receipts[0]
	return nil
}
