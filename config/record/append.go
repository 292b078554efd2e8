package record

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"time"

	"golang.org/x/mod/sumdb/tlog"
)

// Record writes one entry and returns when it is durable, in the database
// and in the head file. With an Identity that is there already it writes
// nothing and says so: after a crash the same call may be made again.
func (b *Book) Record(ctx context.Context, d Draft) (Receipt, error) {
	receipts, err := b.RecordAll(ctx, []Draft{d})
	if len(receipts) == 0 {
		return Receipt{}, err
	}
	return receipts[0], err
}

// RecordAll writes several entries, all of them or none.
func (b *Book) RecordAll(ctx context.Context, drafts []Draft) ([]Receipt, error) {
	if b.o.Looking {
		return nil, errors.New("record: opened for looking only")
	}
	if len(drafts) == 0 {
		return nil, nil
	}
	for i := range drafts {
		if err := b.identify(&drafts[i]); err != nil {
			return nil, err
		}
		if err := drafts[i].check(); err != nil {
			return nil, err
		}
	}
	var receipts []Receipt
	err := b.write(ctx, func(w Writer) (Receipt, error) {
		p, err := b.newPen(w)
		if err != nil {
			return Receipt{}, err
		}
		for i := range drafts {
			if err := p.write(&drafts[i]); err != nil {
				return Receipt{}, err
			}
		}
		if receipts, err = p.finish(); err != nil {
			return Receipt{}, err
		}
		return receipts[len(receipts)-1], nil
	})
	if late := (*AfterError)(nil); err != nil && !errors.As(err, &late) {
		return nil, err
	}
	return receipts, err
}

// identify draws what the client left open. A new vehicle's number follows
// from the identity, so that a retry opens the same vehicle.
func (b *Book) identify(d *Draft) error {
	if d.Identity.IsZero() {
		id, err := NewID(b.o.Random)
		if err != nil {
			return err
		}
		d.Identity = id
	}
	if d.Kind == Opened && d.Vehicle.IsZero() {
		sum := sha256.Sum256(append([]byte("asleft vehicle\n"), d.Identity[:]...))
		copy(d.Vehicle[:], sum[:])
	}
	return nil
}

// pen writes entries into one transaction and signs once at its end.
type pen struct {
	b        *Book
	w        Writer
	tree     *frontier
	seen     []Head
	last     time.Time // time of the newest entry
	pending  *Row      // the newest row, held back until it is known if it ends the batch
	headless bool      // the head file is missing, and no entry says so yet
	receipts []Receipt
	hashes   []tlog.Hash
}

func (b *Book) newPen(w Writer) (*pen, error) {
	own, err := ownOrigin(w)
	if err != nil {
		return nil, err
	}
	if own != b.own.Origin {
		return nil, &FileError{Path: b.o.Path, Class: NoKey, Text: "another process started a new book in this file"}
	}
	size, err := w.Size(b.own.ID)
	if err != nil {
		return nil, err
	}
	p := &pen{b: b, w: w}
	if p.headless, err = b.checkHead(w, size); err != nil {
		return nil, err
	}
	if p.tree, err = loadFrontier(w, b.own.ID, size); err != nil {
		return nil, err
	}
	if p.seen, err = otherHeads(w, b.own.ID); err != nil {
		return nil, err
	}
	if size > 0 {
		row, err := w.Row(b.own.ID, size-1)
		if err != nil {
			return nil, err
		}
		p.last = timeOf(row.Bytes)
	}
	return p, nil
}

// timeOf reads an entry's time from its fixed place at the front.
func timeOf(data []byte) time.Time {
	text, ok := bytes.CutPrefix(data, []byte(`{"at":"`))
	if !ok || len(text) < len(timeLayout) {
		return time.Time{}
	}
	t, _ := time.Parse(timeLayout, string(text[:len(timeLayout)]))
	return t
}

// otherHeads is the newest state of every other book in the store.
func otherHeads(r Reader, own int64) ([]Head, error) {
	logs, err := r.Logs()
	if err != nil {
		return nil, err
	}
	var heads []Head
	for _, l := range logs {
		if l.ID == own {
			continue
		}
		size, err := r.Size(l.ID)
		if err != nil {
			return nil, err
		}
		tree, err := loadFrontier(r, l.ID, size)
		if err != nil {
			return nil, err
		}
		heads = append(heads, Head{l.Origin, size, tree.root()})
	}
	sortHeads(heads)
	return heads, nil
}

// write adds one draft, or finds it already written.
func (p *pen) write(d *Draft) error {
	if err := p.noteHeadless(d.By); err != nil {
		return err
	}
	again, err := p.again(d)
	if err != nil || again {
		return err
	}
	if err := p.flush(nil); err != nil {
		return err
	}
	past := &past{w: p.w, vehicle: d.Vehicle}
	if err := checkRules(d, past); err != nil {
		return err
	}
	e, err := p.entry(d, past)
	if err != nil {
		return err
	}
	data := e.Canonical()
	p.hashes = p.tree.push(tlog.RecordHash(data), p.hashes)
	p.pending = &Row{Bytes: data, Subject: e.Subject, Identity: e.Identity, Hashes: joinHashes(p.hashes)}
	p.last = e.At
	p.receipts = append(p.receipts, Receipt{Entry: e, Book: p.b.own.Origin})
	return nil
}

// noteHeadless writes, before anything else, that the head file was missing:
// the head file that is made after this write knows nothing of what came before.
func (p *pen) noteHeadless(by string) error {
	if !p.headless {
		return nil
	}
	p.headless = false
	d := Draft{Kind: Note, By: by, Data: map[string]string{headData: headIsMissing,
		"text": "the head file was missing: whether entries before this one are gone, only a printed sheet or another book shows"}}
	if err := p.b.identify(&d); err != nil {
		return err
	}
	if err := p.write(&d); err != nil {
		return err
	}
	p.receipts = p.receipts[:len(p.receipts)-1] // nobody asked for it
	return nil
}

// past is a vehicle's history, read when something asks for it.
type past struct {
	w       Reader
	vehicle ID
	h       *History
}

func (p *past) history() (*History, error) {
	if p.h != nil {
		return p.h, nil
	}
	h, err := readHistory(p.w, p.vehicle)
	p.h = h
	return h, err
}

// newestLeaf is the leaf of the vehicle's newest entry in a log.
func newestLeaf(r Reader, log int64, vehicle ID) (Digest, error) {
	places, err := r.Places(log, vehicle)
	if err != nil || len(places) == 0 {
		return Digest{}, err
	}
	h, err := storedHash(r, log, places[len(places)-1].N, 0)
	return Digest(h), err
}

// again looks for the draft's identity among the entries of its vehicle, under all its numbers: what was
// written under one of them may have made two vehicles one, so that a retry comes under the other.
func (p *pen) again(d *Draft) (bool, error) {
	if p.pending != nil && p.pending.Identity == d.Identity {
		return false, &DraftError{d.Kind, "its identity is given twice in one batch", "draw a new identity for each entry"}
	}
	group, err := vehicleGroup(p.w, d.Vehicle)
	if err != nil {
		return false, err
	}
	var place Place
	for _, subject := range group {
		if place, err = p.w.Find(p.b.own.ID, subject, d.Identity); !errors.Is(err, ErrNoRow) {
			break
		}
	}
	if errors.Is(err, ErrNoRow) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	item, err := readItem(p.w, new(canonReader), place, p.b.own.Origin)
	if err != nil {
		return false, err
	}
	if item.Kind != d.Kind {
		return false, &DraftError{d.Kind, fmt.Sprintf("its identity belongs to entry %d, %s", item.N, item.Kind), "draw a new identity for a new entry"}
	}
	p.receipts = append(p.receipts, Receipt{Entry: item.Entry, Book: p.b.own.Origin, Again: true})
	return true, nil
}

// entry makes the entry of a draft and stores what lies beside it.
func (p *pen) entry(d *Draft, past *past) (Entry, error) {
	now := p.b.o.Now()
	_, offset := now.Zone()
	e := Entry{
		Kind: d.Kind, Subject: d.Vehicle, Identity: d.Identity, N: p.tree.size,
		At: now.UTC().Truncate(time.Microsecond), Offset: offset / 60,
		By: d.By, Machine: p.b.o.Machine, Tool: p.b.o.Tool, Points: d.Points,
		Seen: p.seen,
	}
	if e.At.Before(p.last) {
		e.ClockBack = int64((p.last.Sub(e.At) + time.Second - 1) / time.Second)
	}
	var err error
	if !d.Vehicle.IsZero() {
		if e.Previous, err = newestLeaf(p.w, p.b.own.ID, d.Vehicle); err != nil {
			return e, err
		}
	}
	clean, err := p.conceal(d, &e)
	if err != nil {
		return e, err
	}
	if err := clean.checkNames(d); err != nil {
		return e, err
	}
	e.Reason = clean.redact(d.Reason)
	if err := p.addData(d, &e, clean); err != nil {
		return e, err
	}
	return e, p.addDocuments(d, &e, clean, past)
}

func (p *pen) addData(d *Draft, e *Entry, clean redactor) error {
	data := map[string]string{}
	for k, v := range d.Data {
		data[k] = clean.redact(v)
	}
	for a, text := range d.Attributes {
		if !a.Personal() {
			data[a.data()] = clean.redact(text)
		}
	}
	if len(data) > 0 {
		e.Data = data
	}
	if d.Kind != SameAs {
		return nil
	}
	other, err := ParseID(d.Data["same-as"])
	if err != nil {
		return &DraftError{d.Kind, err.Error(), "name the other vehicle by its subject number"}
	}
	return join(p.w, d.Vehicle, other)
}

// flush stores the row that was held back.
func (p *pen) flush(signature []byte) error {
	if p.pending == nil {
		return nil
	}
	row := *p.pending
	row.Signature = signature
	p.pending = nil
	return p.w.AddRow(p.b.own.ID, p.tree.size-1, row)
}

// finish signs the checkpoint of the whole batch.
func (p *pen) finish() ([]Receipt, error) {
	head := Head{p.b.own.Origin, p.tree.size, p.tree.root()}
	signature, err := p.b.signer.Sign([]byte(checkpointText(head)))
	if err != nil {
		return nil, err
	}
	if err := p.flush(signature); err != nil {
		return nil, err
	}
	text, err := buildNote(head, p.b.own.Key, signature)
	for i := range p.receipts {
		p.receipts[i].Checkpoint = Checkpoint{head, text}
	}
	return p.receipts, err
}
