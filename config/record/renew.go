package record

import (
	"context"
	"errors"
	"strconv"
)

// Renew starts a new book of our own in a record whose own book cannot go on:
// its key is lost, or entries that a witness knows are gone. The old book
// stays in the record as one of another origin, and the first entry of the
// new one names its head and the reason.
func Renew(ctx context.Context, o Options, by, reason string) (*Book, error) {
	d := Draft{Kind: Note, By: by, Reason: reason}
	if err := d.check(); err != nil {
		return nil, err
	}
	if err := o.complete(); err != nil {
		return nil, err
	}
	b := &Book{o: o, state: stateFolder{o.StateDir}, store: o.Store}
	if b.store == nil {
		s, err := b.openFile(ctx)
		if err != nil {
			return nil, err
		}
		b.store = s
	}
	if err := b.renew(ctx, d); err != nil {
		b.store.Close()
		return nil, err
	}
	return b, nil
}

func (b *Book) renew(ctx context.Context, d Draft) error {
	if err := b.store.Read(ctx, b.findOwn); err != nil {
		return err
	}
	if b.own.ID == 0 {
		return &FileError{Path: b.o.Path, Class: NotARecord, Text: "no book was started in it"}
	}
	old := b.own
	keys, err := newKeyring(b.o.Random)
	if err != nil {
		return err
	}
	had, err := b.state.loadKeys(old.Origin)
	if err == nil {
		keys.sealing, keys.joining = had.sealing, had.joining
	}
	lost := err != nil
	if err := b.state.saveKeys(keys); err != nil {
		return err
	}
	err = b.store.Write(ctx, func(w Writer) error {
		if lost {
			if err := shutAway(w); err != nil {
				return err
			}
		}
		return b.begin(w, keys)
	})
	if err != nil {
		return err
	}
	if err := b.loadSigner(); err != nil {
		return err
	}
	d.Data = map[string]string{"renewed": old.Origin, "values-lost": strconv.FormatBool(lost)}
	_, err = b.Record(ctx, d)
	return err
}

// lostPrefix marks sealed values whose key is gone; they are kept, in case it
// turns up, but no longer read.
const lostPrefix = "lost."

func shutAway(w Writer) error {
	for _, kind := range []string{personalClass.keys(), personalClass.values(), secretClass.keys(), secretClass.values()} {
		var rows [][2][]byte
		err := w.BesideAll(kind, func(name, value []byte) error {
			rows = append(rows, [2][]byte{append([]byte(nil), name...), append([]byte(nil), value...)})
			return nil
		})
		for _, row := range rows {
			err = errors.Join(err, w.PutBeside(lostPrefix+kind, row[0], row[1]), w.DropBeside(kind, row[0], row[1]))
		}
		if err != nil {
			return err
		}
	}
	return nil
}
