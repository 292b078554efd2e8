package record

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"

	"asleft/config/source"
)

// checkHead refuses to write after a record that is not the one the head file
// knows: going on would make a second history of the same book. missing means
// that there is no head file, which a book has from its beginning: one look
// at it decides both.
func (b *Book) checkHead(r Reader, size int64) (missing bool, err error) {
	if b.o.noHead {
		return false, nil
	}
	head, ok, err := b.headFile()
	if err != nil {
		return false, &FlawError{Flaw{Class: HeadDamaged, Book: b.own.Origin, N: -1, Text: err.Error()}}
	}
	if !ok {
		return size > 0, nil
	}
	if head.Size > size {
		return false, &FlawError{rolledBack(b.own.Origin, size, head, "the head file")}
	}
	tree, err := loadFrontier(r, b.own.ID, head.Size)
	if err != nil {
		return false, err
	}
	if tree.root() != head.Root {
		return false, &FlawError{forked(b.own.Origin, head, "the head file")}
	}
	return false, nil
}

// An entry of our own log that carries these was written while there was no head file.
const (
	headData      = "head-file"
	headIsMissing = "missing"
)

// headLost is the position of the newest entry before which the head file was
// missing, or -1.
func (b *Book) headLost(r Reader) (int64, error) {
	lost := int64(-1)
	whole, err := readHistory(r, ID{})
	if err != nil {
		return lost, err
	}
	for _, item := range whole.Items {
		if item.Log == b.own.ID && item.Data[headData] == headIsMissing {
			lost = max(lost, item.N)
		}
	}
	return lost, nil
}

// headFile reads the head file. Bytes whose signature was checked before, by
// this process, are not checked again.
func (b *Book) headFile() (Checkpoint, bool, error) {
	data, ok, err := b.state.readHead(b.own.Origin)
	if !ok || err != nil {
		return Checkpoint{}, false, err
	}
	if known := b.checked.Load(); known != nil && bytes.Equal(known.Note, data) {
		return *known, true, nil
	}
	c, err := OpenCheckpoint(data, b.own.Key)
	if err != nil {
		return c, false, err
	}
	b.checked.Store(&c)
	return c, true, nil
}

func rolledBack(book string, size int64, witness Checkpoint, name string) Flaw {
	return Flaw{Class: RolledBack, Book: book, N: size, Text: fmt.Sprintf(
		"an older copy was put back: %s here, %s knows %d; %s gone",
		source.Counted(size, "entry is", "entries are"), name, witness.Size, source.Counted(witness.Size-size, "is", "are"))}
}

func forked(book string, witness Checkpoint, name string) Flaw {
	return Flaw{Class: Forked, Book: book, N: -1, Text: fmt.Sprintf(
		"the first %d entries are not those that %s knows: they were rewritten, or this copy went another way", witness.Size, name)}
}

// write runs f as the only writer and brings the head file up to the
// checkpoint that f signed; it returns when both are durable.
//
// The order that must hold is: the database first, the head file second. A
// head ahead of its database would tell of entries that were never
// acknowledged as lost; a head behind it is what a crash may leave, and the
// next write brings it up. What takes time is the sync of the new file's
// bytes, and a file that is not yet in the head's place tells nobody
// anything: so it is written and synced while the database commits, and only
// its rename waits for the commit. A write is acknowledged after the rename is
// durable too, so every acknowledged entry is witnessed.
//
// f returns its newest receipt; a head file that could not follow is told as
// an *AfterError.
func (b *Book) write(ctx context.Context, f func(Writer) (Receipt, error)) error {
	var newest Receipt
	var next *nextHead
	err := b.store.Write(ctx, func(w Writer) (err error) {
		if newest, err = f(w); err == nil && !b.o.noHead {
			next = b.state.prepareHead(newest.Checkpoint)
		}
		return err
	})
	switch {
	case next == nil:
		return err
	case err != nil:
		next.drop()
		return err
	}
	return after(newest, b.keepHead(context.WithoutCancel(ctx), next))
}

// nextHead is a head file that is being written under another name.
type nextHead struct {
	Checkpoint
	done chan struct{}
	name string
	err  error
}

func (s stateFolder) prepareHead(c Checkpoint) *nextHead {
	next := &nextHead{Checkpoint: c, done: make(chan struct{})}
	go func() {
		next.name, next.err = s.prepare(c.Note)
		close(next.done)
	}()
	return next
}

// drop removes the file of a write that did not come about.
func (n *nextHead) drop() {
	<-n.done
	if n.err == nil {
		os.Remove(n.name)
	}
}

// keepHead puts the prepared file in the head's place. It does so under the
// writer's lock, so that of two processes the later head stays; when another
// one wrote meanwhile, the head is made from the newest entry.
func (b *Book) keepHead(ctx context.Context, next *nextHead) error {
	<-next.done
	if next.err != nil {
		return next.err
	}
	return b.store.Alone(ctx, func(r Reader) error {
		size, err := r.Size(b.own.ID)
		if err == nil && size == next.Size {
			b.checked.Store(&next.Checkpoint) // our own signature
			err := b.state.publish(next.name, b.state.headPath(next.Book))
			if errors.Is(err, os.ErrNotExist) { // somebody took it for a leftover
				err = b.state.saveHead(next.Checkpoint)
			}
			return err
		}
		next.drop()
		if err != nil {
			return err
		}
		c, err := b.checkpoint(r)
		if err != nil {
			return err
		}
		if _, err := b.checkHead(r, c.Size); err != nil {
			return err // the witness stays as it is
		}
		return b.state.saveHead(c)
	})
}

// checkpoint reads the newest signed checkpoint of our own log.
func (b *Book) checkpoint(r Reader) (Checkpoint, error) { return logCheckpoint(r, b.own) }
