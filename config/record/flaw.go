package record

import "fmt"

// FlawClass is the class of what is wrong with a record's content.
type FlawClass string

// The classes of flaw.
const (
	EntryChanged    FlawClass = "entry-changed"    // an entry's bytes do not give its leaf hash
	EntryMissing    FlawClass = "entry-missing"    // a position is empty
	EntryMoved      FlawClass = "entry-moved"      // an entry stands at another position than it says
	EntryDouble     FlawClass = "entry-double"     // one identity twice
	Unparsable      FlawClass = "unparsable"       // not canonical bytes of this format
	IndexChanged    FlawClass = "index-changed"    // the columns to find an entry by are not what it says
	HashChanged     FlawClass = "hash-changed"     // a stored hash of the tree is not what the entries give
	ChainBroken     FlawClass = "chain-broken"     // a vehicle's entry does not follow the one it names
	Rewritten       FlawClass = "rewritten"        // the signature does not fit: entries were replaced and hashed again
	Unsigned        FlawClass = "unsigned"         // entries at the end carry no signature
	DocumentChanged FlawClass = "document-changed" // a document is not what its digest says
	DocumentMissing FlawClass = "document-missing" // an entry names a document that is not there
	ValueChanged    FlawClass = "value-changed"    // a sealed value does not fit its commitment
	ValueMissing    FlawClass = "value-missing"    // a sealed value is gone and no entry erased it
	RolledBack      FlawClass = "rolled-back"      // a witness knows entries that are gone
	Forked          FlawClass = "forked"           // a witness knows other entries at the same place
	HeadDamaged     FlawClass = "head-damaged"     // the head file is not a checkpoint of this book
	Replaced        FlawClass = "replaced"         // another book lies where this one was
	FileDamaged     FlawClass = "file-damaged"     // the database itself cannot be read on
)

// Flaw is one thing that is wrong. N is the position of the entry, or -1.
type Flaw struct {
	Class   FlawClass
	Book    string
	N       int64
	Subject ID // the vehicle, when known
	Text    string
}

// String is one line for a person.
func (f Flaw) String() string {
	if f.N < 0 {
		return fmt.Sprintf("%s: %s", f.Class, f.Text)
	}
	return fmt.Sprintf("%s: entry %d: %s", f.Class, f.N, f.Text)
}

// FlawError says that the record does not verify. Status 4.
type FlawError struct{ Flaw }

func (e *FlawError) Error() string { return e.Flaw.String() }

// Hint says what to do.
func (e *FlawError) Hint() string {
	switch e.Class {
	case RolledBack, FileDamaged:
		return "bring back the newest backup with 'asleft record restore'; 'asleft record verify' says what is intact"
	case HeadDamaged:
		return "keep a copy of the head file, then remove it to go on without this witness"
	}
	return "'asleft record verify' lists every flaw; keep a copy of the file as it is"
}
