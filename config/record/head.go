package record

import (
	"context"
	"fmt"
)

// checkHead refuses to write after a record that is not the one the head file
// knows: going on would make a second history of the same book.
func (b *Book) checkHead(r Reader, size int64) error {
	if b.o.noHead {
		return nil
	}
	head, ok, err := b.state.loadHead(b.own.Origin, b.own.Key)
	if err != nil {
		return &FlawError{Flaw{Class: HeadDamaged, Book: b.own.Origin, N: -1, Text: err.Error()}}
	}
	if !ok {
		return nil
	}
	if head.Size > size {
		return &FlawError{rolledBack(b.own.Origin, size, head, "the head file")}
	}
	tree, err := loadFrontier(r, b.own.ID, head.Size)
	if err != nil {
		return err
	}
	if tree.root() != head.Root {
		return &FlawError{forked(b.own.Origin, head, "the head file")}
	}
	return nil
}

func rolledBack(book string, size int64, witness Checkpoint, name string) Flaw {
	return Flaw{Class: RolledBack, Book: book, N: size, Text: fmt.Sprintf(
		"an older copy was put back: %d entries are here, %s knows %d; %d are gone", size, name, witness.Size, witness.Size-size)}
}

func forked(book string, witness Checkpoint, name string) Flaw {
	return Flaw{Class: Forked, Book: book, N: -1, Text: fmt.Sprintf(
		"the first %d entries are not those that %s knows: they were rewritten, or this copy went another way", witness.Size, name)}
}

// keepHead brings the head file up to the newest entry. It does so under the
// writer's lock, so that of two processes the later head stays.
func (b *Book) keepHead(ctx context.Context) error {
	if b.o.noHead {
		return nil
	}
	return b.store.Alone(ctx, func(r Reader) error {
		c, err := b.checkpoint(r)
		if err != nil {
			return err
		}
		if err := b.checkHead(r, c.Size); err != nil {
			return err // the witness stays as it is
		}
		return b.state.saveHead(c)
	})
}

// checkpoint reads the newest signed checkpoint of our own log.
func (b *Book) checkpoint(r Reader) (Checkpoint, error) { return logCheckpoint(r, b.own) }
