package record

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/mod/sumdb/tlog"
)

// Extracted is what an extract holds, and what checking it proved.
type Extracted struct {
	Vehicle ID
	History *History
	Keys    map[string]string // book -> public key in the file; compare with a key you trust
	Report  *Report
}

// ExtractOptions says what an extract is compared with.
type ExtractOptions struct {
	Keys    map[string]string // public keys that are trusted, by book; nil takes those in the file
	Against []string          // sheet codes or signed checkpoints
}

// extractReader checks an extract line by line.
type extractReader struct {
	lines  *lineReader
	o      ExtractOptions
	out    *Extracted
	heads  map[string]Head
	past   map[string]map[int64]Digest // book -> size -> root that is proven to be continued
	last   map[string]Digest           // newest leaf of each subject in each book
	docs   map[Digest][]byte
	intact map[string]int64
}

// VerifyExtract checks an extract without the database: every entry against
// the book's signed checkpoint, the chain from entry to entry of the vehicle,
// every document. The error is about reading; flaws are in the report.
func VerifyExtract(r io.Reader, name string, o ExtractOptions) (*Extracted, error) {
	x := &extractReader{
		lines: newLineReader(r, name), o: o,
		heads: map[string]Head{}, past: map[string]map[int64]Digest{}, last: map[string]Digest{},
		docs: map[Digest][]byte{}, intact: map[string]int64{},
		out: &Extracted{Keys: map[string]string{}, Report: &Report{}},
	}
	x.out.History = &History{docs: func(d Digest) ([]byte, error) {
		if data, ok := x.docs[d]; ok {
			return data, nil
		}
		return nil, ErrNoRow
	}}
	if err := x.readAll(); err != nil {
		return nil, err
	}
	x.finish()
	return x.out, nil
}

// VerifyExtractFile is VerifyExtract on a file.
func VerifyExtractFile(path string, o ExtractOptions) (*Extracted, error) {
	f, err := openPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return VerifyExtract(f, path, o)
}

func (x *extractReader) readAll() error {
	header, err := x.lines.header(ExtractSchema)
	if err != nil {
		return err
	}
	x.out.Vehicle = header.id("vehicle", true)
	header.text("tool")
	header.time("made")
	if err := header.close(); err != nil {
		return x.lines.fail("%v", err)
	}
	for {
		kind, f, err := x.lines.next()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		switch kind {
		case "book":
			x.book(f)
		case "entry":
			x.entry(f)
		case "continues":
			x.continues(f)
		case "document":
			x.document(f)
		default:
			return x.lines.fail("%q is not a line of an extract", kind)
		}
		if err := f.close(); err != nil {
			return x.lines.fail("%v", err)
		}
	}
}

func (x *extractReader) flaw(class FlawClass, book string, n int64, text string) {
	x.out.Report.Flaws = append(x.out.Report.Flaws, Flaw{Class: class, Book: book, N: n, Subject: x.out.Vehicle, Text: text})
}

func (x *extractReader) book(f *fields) {
	origin, key, signed := f.text("book"), f.text("key"), f.text("checkpoint")
	x.out.Keys[origin] = key
	if known, ok := x.o.Keys[origin]; ok && known != key {
		x.flaw(Replaced, origin, -1, "it is signed with another key than the one that is known for this book")
		key = known
	}
	c, err := OpenCheckpoint([]byte(signed), key)
	if err == nil && c.Book != origin {
		err = errors.New("it is the checkpoint of another book")
	}
	if err != nil {
		x.flaw(Rewritten, origin, -1, err.Error())
		return
	}
	x.heads[origin] = c.Head
	x.past[origin] = map[int64]Digest{c.Size: c.Root}
}

func (x *extractReader) entry(f *fields) {
	book, n, text := f.text("book"), f.whole("n"), f.text("entry")
	proof := f.proof("proof")
	if f.err != nil {
		return
	}
	head, ok := x.heads[book]
	if !ok {
		x.flaw(Unsigned, book, n, "no checkpoint of this book stands before it")
		return
	}
	leaf := leafHash([]byte(text))
	e, err := ParseEntry([]byte(text))
	if err != nil {
		x.flaw(Unparsable, book, n, err.Error())
		return
	}
	switch {
	case n < 0 || n >= head.Size || tlog.CheckRecord(proof, head.Size, tlog.Hash(head.Root), n, tlog.Hash(leaf)) != nil:
		x.flaw(EntryChanged, book, n, fmt.Sprintf("%s of %s by %s: it is not the entry that the book holds here", e.Kind, e.At.Format("2006-01-02"), e.By))
	case e.N != n:
		x.flaw(EntryMoved, book, n, fmt.Sprintf("it says that it is entry %d", e.N))
	default:
		x.intact[book]++
	}
	chain := book + e.Subject.String()
	if e.Previous != x.last[chain] {
		x.flaw(ChainBroken, book, n, "the vehicle's entry before this one was left out or changed")
	}
	x.last[chain] = leaf
	x.out.History.Items = append(x.out.History.Items, Item{Entry: e, Book: book, Leaf: leaf})
}

func (x *extractReader) continues(f *fields) {
	book, size, root, proof := f.text("book"), f.whole("size"), f.digest("root"), f.proof("proof")
	head, ok := x.heads[book]
	if f.err != nil || !ok {
		return
	}
	if size < 1 || size >= head.Size || tlog.CheckTree(proof, head.Size, tlog.Hash(head.Root), size, tlog.Hash(root)) != nil {
		x.flaw(HashChanged, book, -1, fmt.Sprintf("the proof that the checkpoint continues the first %d entries does not hold", size))
		return
	}
	x.past[book][size] = root
}

func (x *extractReader) document(f *fields) {
	d, data := f.digest("digest"), f.bytes("bytes")
	if f.err != nil {
		return
	}
	x.docs[d] = data
	if DigestOf(data) != d {
		x.flaw(DocumentChanged, "", -1, "document "+d.String()+" is not what its digest says")
	}
}

// finish checks what the whole file must fulfil.
func (x *extractReader) finish() {
	h := x.out.History
	h.Items = mergeItems(h.Items)
	subjects := map[ID]bool{}
	for i := range h.Items {
		item := &h.Items[i]
		if !subjects[item.Subject] {
			subjects[item.Subject] = true
			h.Subjects = append(h.Subjects, item.Subject)
		}
		for _, role := range sortedKeys(item.Blobs) {
			if _, ok := x.docs[item.Blobs[role]]; !ok {
				x.flaw(DocumentMissing, item.Book, item.N, fmt.Sprintf("its document %q is not in the file", role))
			}
		}
	}
	if len(h.Items) > 0 && !subjects[x.out.Vehicle] {
		x.flaw(EntryMissing, "", -1, "no entry is about the vehicle that the file names")
	}
	for _, book := range sortedKeys(x.heads) {
		x.out.Report.Books = append(x.out.Report.Books, BookReport{Own: true, Head: x.heads[book], Intact: x.intact[book], SignedTo: x.heads[book].Size})
	}
	for _, text := range x.o.Against {
		x.witness(text)
	}
	x.out.Report.conclude()
}

// witness compares a sheet's code or a signed checkpoint with what the file
// proves about that size.
func (x *extractReader) witness(text string) {
	name, bits := "sheet code", codeBits
	var head Head
	if strings.Contains(text, "\n") {
		name, bits = "checkpoint", 256
		origin, _, _ := strings.Cut(text, "\n")
		c, err := OpenCheckpoint([]byte(text), x.out.Keys[origin])
		if err != nil {
			x.flaw(Rewritten, origin, -1, err.Error())
			return
		}
		head = c.Head
	} else {
		code, err := parseSheetCode(text)
		if err != nil {
			x.flaw(HeadDamaged, "", -1, err.Error())
			return
		}
		head = Head{Size: code.size, Root: code.root}
		for book := range x.heads {
			if bookTag(book) == code.tag {
				head.Book = book
			}
		}
	}
	for i := range x.out.Report.Books {
		if b := &x.out.Report.Books[i]; b.Book == head.Book {
			x.compare(b, WitnessSaw{Name: name, Size: head.Size}, head, bits)
		}
	}
}

func (x *extractReader) compare(b *BookReport, saw WitnessSaw, head Head, bits int) {
	root, ok := x.past[b.Book][head.Size]
	switch {
	case head.Size > b.Size:
		x.out.Report.Flaws = append(x.out.Report.Flaws, rolledBack(b.Book, b.Size, Checkpoint{Head: head}, saw.Name))
	case !ok:
		// the file proves nothing about that size: no witness, no flaw
	case !sameBits(root, head.Root, bits):
		x.out.Report.Flaws = append(x.out.Report.Flaws, forked(b.Book, Checkpoint{Head: head}, saw.Name))
	default:
		saw.Agrees = true
		b.WitnessedTo = max(b.WitnessedTo, head.Size)
	}
	b.Witnesses = append(b.Witnesses, saw)
}
