package record

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"os/user"
	"path/filepath"
	"sync/atomic"
	"time"

	"golang.org/x/mod/sumdb/note"
)

// Options says which book to open and as whom. Everything that would make
// two runs differ is injected; the zero value of each takes the machine's.
type Options struct {
	Path         string           // the record's file
	StateDir     string           // the state folder; never the record's own folder
	Create       bool             // start a book when there is none at Path
	Looking      bool             // look only: nothing is written, not even the head
	Now          func() time.Time // clock, with the local zone in the time it returns
	Random       io.Reader        // randomness
	Machine      string           // host name
	User         string           // account name, told to processes that wait for us
	Tool         string           // program and version, kept in each entry
	LockWait     time.Duration    // how long to wait for another process; 0 means 8 s
	AllowNetwork bool             // open even in a network folder, whose locks are not to be trusted
	Store        Store            // another store than the file at Path
	Progress     Progress         // told how far a long work on the whole file is; may be nil

	vfs        string                       // file system under SQLite, for tests
	pragmas    []string                     // for tests and benchmarks
	folderKind func(string) (string, error) // for tests: what file system a folder is on
	noHead     bool                         // for benchmarks: leave the head file alone
}

// Book is an open record: this laptop's own log, and copies of the logs of
// other laptops. Its methods may be called from several goroutines.
type Book struct {
	store  Store
	o      Options
	own    Log
	keys   keyring
	signer note.Signer
	state  stateFolder

	checked atomic.Pointer[Checkpoint] // the last head whose signature is known to fit
}

// Open opens the book at Path, or starts one when Create is set. Errors are
// *FileError for anything about the file, its folder or its keys.
func Open(ctx context.Context, o Options) (*Book, error) {
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
	if err := b.attach(ctx); err != nil {
		b.store.Close()
		return nil, err
	}
	return b, nil
}

// complete fills what the caller left to the machine.
func (o *Options) complete() error {
	if o.StateDir == "" {
		return errors.New("record: no state folder given")
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Random == nil {
		o.Random = rand.Reader
	}
	if o.Machine == "" {
		o.Machine = "unnamed machine"
		if name, err := os.Hostname(); err == nil && name != "" {
			o.Machine = name
		}
	}
	if o.User == "" && !o.Looking { // nobody waits for one who looks
		o.User = "unknown user"
		if u, err := user.Current(); err == nil {
			o.User = u.Username
		}
	}
	if o.Tool == "" {
		o.Tool = "asleft"
	}
	if o.folderKind == nil {
		o.folderKind = networkKind
	}
	return nil
}

func (b *Book) openFile(ctx context.Context) (Store, error) {
	o := b.o
	if o.vfs == "" {
		if err := b.checkFolder(); err != nil {
			return nil, err
		}
	}
	return OpenSQLite(ctx, SQLiteOptions{
		Path: o.Path, Create: o.Create, Looking: o.Looking, LockWait: o.LockWait, vfs: o.vfs, pragmas: o.pragmas,
		Holder: fmt.Sprintf("process %d of user %s on %s", os.Getpid(), o.User, o.Machine),
	})
}

// checkFolder looks at the surroundings before the file is touched.
func (b *Book) checkFolder() error {
	dir := filepath.Dir(b.o.Path)
	if b.o.Create {
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return writeFault(dir, err)
		}
	}
	if kind, err := b.o.folderKind(dir); err == nil && kind != "" && !b.o.AllowNetwork {
		return &FileError{Path: b.o.Path, Class: NetworkFolder, Text: "the folder is on a network or shared file system (" + kind + ")"}
	}
	info, err := os.Lstat(b.o.Path)
	if gone := errors.Is(err, os.ErrNotExist); gone || err == nil && info.Size() == 0 {
		if origin := b.state.bookAt(b.o.Path); origin != "" {
			return &FileError{Path: b.o.Path, Class: Lost, Text: b.lostText(origin)}
		}
	}
	return nil
}

// lostText says what the state folder knows of a book whose file is gone.
func (b *Book) lostText(origin string) string {
	text := "a book was here and is gone: " + origin
	keys, err := b.state.loadKeys(origin)
	if err != nil {
		return text
	}
	if head, ok, err := b.state.loadHead(origin, keys.public); ok && err == nil {
		text += fmt.Sprintf(", %d entries", head.Size)
	}
	return text
}

// attach finds our own log and its keys in an open store, or starts it.
func (b *Book) attach(ctx context.Context) error {
	err := b.store.Read(ctx, func(r Reader) error {
		return b.findOwn(r)
	})
	if err != nil {
		return err
	}
	if b.own.ID == 0 {
		if !b.o.Create {
			return &FileError{Path: b.o.Path, Class: NotARecord, Text: "no book was started in it"}
		}
		if err := b.start(ctx); err != nil {
			return err
		}
	}
	return b.loadSigner()
}

// start makes the keys first and the log second: a crash in between leaves a
// key without a book, never a book without its key.
func (b *Book) start(ctx context.Context) error {
	keys, err := newKeyring(b.o.Random)
	if err != nil {
		return err
	}
	if err := b.state.saveKeys(keys); err != nil {
		return err
	}
	taken := false
	err = b.store.Write(ctx, func(w Writer) error {
		logs, err := w.Logs()
		if err != nil {
			return err
		}
		if len(logs) > 0 { // another process was quicker
			taken = true
			return b.findOwn(w)
		}
		return b.begin(w, keys)
	})
	if err != nil || taken {
		os.Remove(b.state.keyPath(keys.origin))
	}
	return err
}

// begin adds our own log to a store and makes its first head.
func (b *Book) begin(w Writer, keys keyring) (err error) {
	if b.own, err = w.AddLog(keys.origin, keys.public); err != nil {
		return err
	}
	if err := w.DropBeside(ownKind, nil, nil); err != nil {
		return err
	}
	if err := w.PutBeside(ownKind, nil, []byte(keys.origin)); err != nil || b.o.noHead {
		return err
	}
	return b.firstHead(keys)
}

// ownKind is the loose value that says which log of a store is our own.
const ownKind = "own"

func ownOrigin(r Reader) (string, error) {
	names, err := r.Beside(ownKind, nil)
	if err != nil || len(names) == 0 {
		return "", err
	}
	return string(names[0]), nil
}

// findOwn reads which log is our own; none leaves b.own empty.
func (b *Book) findOwn(r Reader) error {
	origin, err := ownOrigin(r)
	if err != nil || origin == "" {
		return err
	}
	if !isBookName(origin) { // it becomes part of file names in the state folder
		return &FileError{Path: b.o.Path, Class: NotARecord, Text: "the name of its book is not one"}
	}
	logs, err := r.Logs()
	for _, l := range logs {
		if l.Origin == origin {
			b.own = l
		}
	}
	return err
}

// firstHead makes the head file of the empty book, so that a missing one
// always means that a witness was lost.
func (b *Book) firstHead(keys keyring) error {
	signer, err := note.NewSigner(keys.signing)
	if err != nil {
		return err
	}
	head := Head{Book: keys.origin, Root: DigestOf(nil)}
	signature, err := signer.Sign([]byte(checkpointText(head)))
	if err != nil {
		return err
	}
	text, err := buildNote(head, keys.public, signature)
	if err != nil {
		return err
	}
	return b.state.saveHead(Checkpoint{head, text})
}

// loadSigner reads the keys. Looking works without them: then personal values
// stay closed and only what needs no key is shown.
func (b *Book) loadSigner() error {
	load := b.state.loadKeys
	if b.o.Looking {
		load = b.state.readKeys
	}
	keys, err := load(b.own.Origin)
	if err != nil {
		var fault *FileError
		if b.o.Looking && errors.As(err, &fault) && fault.Class == NoKey {
			return nil
		}
		return err
	}
	if !keys.belongTo(b.own.Key) {
		return &FileError{Path: b.state.keyPath(b.own.Origin), Class: NoKey, Text: "this key does not belong to the book"}
	}
	b.keys = keys
	if b.o.Looking {
		return nil
	}
	b.signer, err = note.NewSigner(keys.signing)
	if err != nil || b.o.Store != nil || b.o.vfs != "" {
		return err
	}
	dropUnfinished(b.state.dir)
	dropUnfinished(filepath.Dir(b.o.Path))
	return b.state.rememberBook(b.o.Path, b.own.Origin)
}

// Close releases the file.
func (b *Book) Close() error { return b.store.Close() }

// OnProgress says who is told how far a long work on the whole file is.
func (b *Book) OnProgress(p Progress) { b.o.Progress = p }

// Origin is the book's name on its checkpoints.
func (b *Book) Origin() string { return b.own.Origin }

// PublicKey is the book's note verifier key: whoever has it can check this
// book's checkpoints.
func (b *Book) PublicKey() string { return b.own.Key }

// Files lists the files that the book owns, for "where are my files".
func (b *Book) Files() map[string]string {
	return map[string]string{
		"record": b.o.Path,
		"key":    b.state.keyPath(b.own.Origin),
		"head":   b.state.headPath(b.own.Origin),
	}
}
