package record

import (
	"context"
	"errors"
	"io"
)

// Store keeps what a record consists of. It is small on purpose: rows that
// are only ever added, documents by digest, and loose values beside the log
// that may be replaced or dropped. The SQLite store is the default; another
// one passes the suite in store_suite_test.go and may then take its place.
type Store interface {
	// Read calls f with one consistent view.
	Read(ctx context.Context, f func(Reader) error) error
	// Write calls f as the only writer. What f wrote is durable when Write
	// returns nil, and not there at all when it returns an error.
	Write(ctx context.Context, f func(Writer) error) error
	// Alone calls f while no other process can write; f itself only reads.
	Alone(ctx context.Context, f func(Reader) error) error
	Close() error
}

// Row is one stored entry.
type Row struct {
	Bytes     []byte // canonical bytes of the entry: the leaf
	Subject   ID     // copy of what Bytes says, for finding
	Identity  ID     // copy of what Bytes says, for finding
	Hashes    []byte // the hashes that this leaf completes, leaf first, 32 bytes each
	Signature []byte // of the checkpoint that ends with this row, or nil inside a batch
}

// Place is where an entry stands: the number of the log and its position.
type Place struct{ Log, N int64 }

// Log is one book in a store: our own or another laptop's.
type Log struct {
	ID     int64  // number within this store
	Origin string // the book's name on its checkpoints
	Key    string // the book's public key as a note verifier key
}

// Reader reads a store. A slice handed to a visit function is only valid
// until it returns.
type Reader interface {
	Logs() ([]Log, error)
	// Size is one more than the highest position, 0 for an empty log.
	Size(log int64) (int64, error)
	// Row returns ErrNoRow when nothing is there.
	Row(log, n int64) (Row, error)
	// Hashes is Row(log, n).Hashes alone.
	Hashes(log, n int64) ([]byte, error)
	// Scan visits the rows from position from up to and without to, in order.
	Scan(log, from, to int64, visit func(n int64, row *Row) error) error
	// Places finds the entries of a subject in one log, sorted by position.
	Places(log int64, subject ID) ([]Place, error)
	// Find returns the place of an entry by subject and identity in one log, or ErrNoRow.
	Find(log int64, subject, identity ID) (Place, error)
	// Subjects visits each subject that sorts after the given one, once, in order.
	Subjects(after ID, visit func(subject ID) error) error
	// Document returns ErrNoRow when there is no document of this digest.
	Document(digest Digest) ([]byte, error)
	// CopyDocument writes a document to w, a long one in pieces: a rule base is
	// long, and whoever only checks it need not hold it. ErrNoRow as Document.
	CopyDocument(digest Digest, w io.Writer) error
	// Documents visits all documents under the digest they were stored by.
	Documents(visit func(digest Digest, data []byte) error) error
	// Beside returns the loose values of a kind under a name, sorted.
	Beside(kind string, name []byte) ([][]byte, error)
	// BesideAll visits all loose values of a kind in order of name and value.
	BesideAll(kind string, visit func(name, value []byte) error) error
}

// Writer also writes.
type Writer interface {
	Reader
	AddLog(origin, key string) (Log, error)
	// AddRow adds the row at position n, which must be the log's size.
	AddRow(log, n int64, row Row) error
	// AddDocument stores a document; storing it again changes nothing.
	AddDocument(digest Digest, data []byte) error
	// PutBeside adds a loose value; adding it again changes nothing.
	PutBeside(kind string, name, value []byte) error
	// DropBeside removes one loose value, or all under the name when value is nil.
	DropBeside(kind string, name, value []byte) error
	// ShredBeside is DropBeside that leaves no copy of the bytes once the
	// write is done.
	ShredBeside(kind string, name, value []byte) error
}

// ErrNoRow says that a store holds nothing at that place.
var ErrNoRow = errors.New("nothing stored there")
