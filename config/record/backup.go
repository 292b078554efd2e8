package record

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"github.com/ncruces/go-sqlite3"
)

// copier is a store that can copy itself while others write.
type copier interface {
	Copy(ctx context.Context, path string, progress Progress) error
}

// Copy writes a consistent copy into a new file. Others may read and begin to
// write meanwhile: the copy is the state of one moment. progress counts pages.
func (s *SQLite) Copy(ctx context.Context, path string, progress Progress) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	defer s.conn.SetInterrupt(s.conn.SetInterrupt(ctx))
	return s.copyAside(ctx, path, progress)
}

func (s *SQLite) copyAside(ctx context.Context, path string, progress Progress) error {
	return saveNew(path, func(w io.Writer) error {
		f, ok := w.(*os.File)
		if !ok {
			return errors.New("record: a copy needs a file")
		}
		err := copyInto(ctx, s.conn, f.Name(), progress)
		if classOf := classify(path, err); err != nil && onlyWriting(classOf) {
			return classOf // it is the copy that has no room, not the record
		}
		return s.explain(err)
	})
}

// onlyWriting tells a fault that only a file being written to can have.
func onlyWriting(err error) bool {
	var fault *FileError
	return errors.As(err, &fault) && fault.Class == Full
}

const pagesAtOnce = 256 // between two looks at whether somebody interrupts

// copyInto copies page by page into a file that is empty, within one read.
func copyInto(ctx context.Context, conn *sqlite3.Conn, path string, progress Progress) error {
	full, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	if err := conn.Exec(`BEGIN; SELECT count(*) FROM sqlite_schema`); err != nil {
		return err
	}
	defer conn.Exec(`ROLLBACK`)
	b, err := conn.BackupInit("main", fileURI(full))
	if err != nil {
		return err
	}
	for done := false; !done && err == nil; {
		if done, err = b.Step(pagesAtOnce); err == nil {
			err = ctx.Err()
		}
		if progress != nil {
			progress(int64(b.PageCount()-b.Remaining()), int64(b.PageCount()))
		}
	}
	if closeErr := b.Close(); err == nil {
		err = closeErr
	}
	return err
}

// Backup notes in the record that a copy is made, and then copies it into a
// new file while it is in use. The note comes first, so that the copy holds it
// and can be put back without losing an entry. Keys are not in it: they are in
// the state folder, whose key file is kept at another place than the backup.
func (b *Book) Backup(ctx context.Context, c Copy) error {
	store, ok := b.store.(copier)
	if !ok {
		return errors.New("record: this store is backed up by its own means")
	}
	if _, err := os.Lstat(c.File); err == nil {
		return taken(c.File)
	}
	c.What = "backup"
	if err := b.NoteCopy(ctx, c, ID{}); err != nil {
		return err
	}
	return store.Copy(ctx, c.File, b.o.Progress)
}

// Restored says what a restore did.
type Restored struct {
	Entries int64  // of our own book in the backup
	Lost    int64  // entries that the head file knows and the backup lacks
	Aside   string // where the file that was there before is now; "" when there was none
	Origin  string // the book that goes on: a new one after a loss
}

// Restore puts a backup in the record's place. The backup is verified first;
// what was there before is put aside, not deleted. A backup older than the
// head file is only taken when accept is set: the entries in between are
// gone, and the work goes on in a new book, since continuing the old one
// would make two histories of it.
func Restore(ctx context.Context, o Options, from string, who Who, accept bool) (*Restored, error) {
	if err := (&Draft{Kind: Note, By: who.By}).check(); err != nil {
		return nil, err
	}
	out, err := inspectBackup(ctx, o, from)
	if err != nil {
		return nil, err
	}
	if out.Lost > 0 && !accept {
		return out, &LossError{Restored: *out, From: from}
	}
	if out.Aside, err = putInPlace(ctx, from, o); err != nil {
		return nil, err
	}
	if out.Lost == 0 {
		return out, noteRestored(ctx, o, out, from, who)
	}
	reason := fmt.Sprintf("restored from a backup; %d entries of %s are lost", out.Lost, out.Origin)
	if who.Reason != "" {
		reason = who.Reason + "; " + reason
	}
	b, err := Renew(ctx, o, who.By, reason)
	if err != nil {
		return out, err
	}
	out.Origin = b.Origin()
	return out, b.Close()
}

// Who says who does something to the record as a whole, and why.
type Who struct{ By, Reason string }

// noteRestored writes the entry that tells of a restore. Without the book's
// key, as on a new laptop, nobody can sign it: then Renew tells of it.
func noteRestored(ctx context.Context, o Options, out *Restored, from string, who Who) error {
	b, err := Open(ctx, o)
	var fault *FileError
	if errors.As(err, &fault) && fault.Class == NoKey {
		return nil
	}
	if err != nil {
		return err
	}
	data := map[string]string{"restored": from}
	if out.Aside != "" {
		data["aside"] = out.Aside
	}
	_, err = b.Record(ctx, Draft{Kind: Note, By: who.By, Reason: who.Reason, Data: data})
	return errors.Join(err, b.Close())
}

// LossError says that a backup lacks entries that the head file knows.
type LossError struct {
	Restored
	From string
}

func (e *LossError) Error() string {
	return fmt.Sprintf("%s has %d entries; %d later ones, which the head file knows, would be lost", e.From, e.Entries, e.Lost)
}

// Hint says what to do.
func (e *LossError) Hint() string {
	return "look for a newer backup; --accept-loss takes this one and goes on in a new book"
}

// inspectBackup verifies a backup and compares it with the head file.
func inspectBackup(ctx context.Context, o Options, from string) (*Restored, error) {
	o.Path, o.Looking, o.Create = from, true, false
	b, err := Open(ctx, o)
	if err != nil {
		return nil, err
	}
	defer b.Close()
	report, err := b.Verify(ctx)
	if err != nil {
		return nil, err
	}
	out := &Restored{Origin: b.Origin()}
	for _, book := range report.Books {
		if book.Own {
			out.Entries = book.Size
			for _, w := range book.Witnesses {
				out.Lost = max(out.Lost, w.Size-book.Size)
			}
		}
	}
	older := func(f Flaw) bool { return f.Class == RolledBack && f.Book == b.Origin() }
	if bad := slices.DeleteFunc(report.Flaws, older); len(bad) > 0 {
		return nil, &FlawError{bad[0]}
	}
	return out, nil
}

// putInPlace first copies the backup beside the record, whole and durable,
// and only then changes names: whatever fails or is interrupted, a record lies
// at the path, the old one or the new one.
func putInPlace(ctx context.Context, from string, o Options) (aside string, err error) {
	if err := o.complete(); err != nil {
		return "", err
	}
	if err := os.MkdirAll(filepath.Dir(o.Path), 0o700); err != nil {
		return "", writeFault(o.Path, err)
	}
	ready := o.Path + ".restoring"
	if err := os.Remove(ready); err != nil && !errors.Is(err, os.ErrNotExist) { // of a restore that was cut off
		return "", writeFault(ready, err)
	}
	s, err := OpenSQLite(ctx, SQLiteOptions{Path: from, Looking: true})
	if err != nil {
		return "", err
	}
	err = errors.Join(s.Copy(ctx, ready, o.Progress), s.Close())
	if err == nil {
		aside, err = swap(ready, o)
	}
	if err != nil {
		os.Remove(ready)
	}
	return aside, err
}

// swap gives the present file a second name aside and puts the new one in its
// place: at every moment a record lies at the path.
func swap(ready string, o Options) (aside string, err error) {
	aside = freeName(o.Path + ".before-" + o.Now().UTC().Format("20060102T150405"))
	if err := settleJournal(o.Path, aside); err != nil {
		return "", err
	}
	err = os.Link(o.Path, aside)
	switch {
	case errors.Is(err, os.ErrNotExist):
		aside = "" // nothing was there
	case err != nil: // a file system without second names
		if err := os.Rename(o.Path, aside); err != nil {
			return "", writeFault(o.Path, err)
		}
	}
	if err := os.Rename(ready, o.Path); err != nil {
		if _, gone := os.Lstat(o.Path); aside != "" && gone != nil {
			err = errors.Join(err, os.Rename(aside, o.Path))
		} else if aside != "" {
			err = errors.Join(err, os.Remove(aside))
		}
		return "", writeFault(o.Path, err)
	}
	if err := syncFolder(filepath.Dir(o.Path)); err != nil {
		return aside, writeFault(o.Path, err)
	}
	return aside, nil
}

// freeName is a name at which nothing is yet.
func freeName(name string) string {
	free := name
	for n := 2; ; n++ {
		if _, err := os.Lstat(free); err != nil {
			return free
		}
		free = fmt.Sprintf("%s-%d", name, n)
	}
}

// settleJournal sees to it that no journal of a write that was cut off lies
// beside the file that comes: SQLite would take it for that file's own. Reading
// the present file takes the write back; the journal of one that cannot be read
// any more goes aside with it.
func settleJournal(path, aside string) error {
	if _, err := os.Lstat(path + "-journal"); errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if s, err := OpenSQLite(context.Background(), SQLiteOptions{Path: path}); err == nil {
		s.Close()
	}
	if err := os.Rename(path+"-journal", aside+"-journal"); err != nil && !errors.Is(err, os.ErrNotExist) {
		return writeFault(path, err)
	}
	return nil
}
