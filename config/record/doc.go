// Package record keeps, for every vehicle, what was found, required, done and
// left, by whom, when and why, and proves that nobody changed it since.
//
// # Use
//
//	b, err := record.Open(ctx, record.Options{Path: file, StateDir: state, Create: true, Tool: "asleft 1.0"})
//	defer b.Close()
//	r, err := b.Record(ctx, record.Draft{Kind: record.Opened, By: "T.V.", Attributes: map[record.Attribute]string{
//		record.Label: "Quillon Carrier", record.VIN: vin}})
//	v := r.Subject                                           // the vehicle's number
//	b.Record(ctx, record.Draft{Kind: record.Found, Vehicle: v, By: "T.V.", Snapshot: &found})
//	b.Record(ctx, record.Draft{Kind: record.Left, Vehicle: v, By: "T.V.", Snapshot: &left, Documents: plan})
//	v, err = b.Vehicle(ctx, "quillon carrier", record.Looking) // *NoVehicleError, *SeveralVehiclesError: status 6
//	state, err := b.State(ctx, v, time.Time{})                // as left: since when, by whom, why, what before
//	history, err := b.History(ctx, v)                         // the entries; .Snapshot("found"), .Document("job")
//	report, err := b.Verify(ctx)                              // Witnessed 0, Unwitnessed 7, Flawed 4
//	answer, err := b.Which(ctx, v, nil)                       // plan of the newest as-left entry, verified
//	open, err := b.Status(ctx)                                // what is open, and the kind of entry that comes next
//
// Every write takes a [Draft] and gives a [Receipt]; [Kinds] says what each
// kind must carry. Errors come in types: [DraftError] for a bad draft (status
// 2), [RuleError] for a rule of work (status 2), [FileError] for the file and
// its surroundings (status 1), [FlawError] when the record does not verify
// (status 4); each has a Hint that says what to do.
//
// # The book
//
// A book is one SQLite file: the log of one laptop, and copies of the logs of
// other laptops that were imported. A vehicle's history is the merge of all
// logs by vehicle. Nothing in a log is ever replaced; a correction points to
// what it corrects and both stay.
//
// # An entry
//
// An entry is canonical JSON (RFC 8785) of strings and whole numbers alone,
// so one meaning has one encoding. What is empty is left out. Keys:
//
//	at          UTC, RFC 3339, six digits of a second
//	blobs       role -> SHA-256 of a document (job, rules, plan, found, left ...)
//	by          who
//	changes     list of device, setting, from, to, override (1)
//	clock-back  seconds by which the clock ran behind the entry before
//	data        readings and words of the kind
//	format      1
//	id          the client's identity of the entry: a retry makes no double
//	kind        see Kinds
//	machine     host name
//	n           position in the log from 0: the order, whatever the clock says
//	offset      local time minus UTC, minutes
//	personal    field -> keyed commitment
//	points      id of the entry that this one speaks of
//	previous    leaf hash of the vehicle's entry before this one in this log
//	reason      why
//	secrets     field -> keyed commitment
//	seen        newest book, size and root of the other logs the writer had
//	subject     the vehicle: a random number drawn at its opening
//	tool        program and version
//
// # The tree
//
// The entries of a log are the leaves of the Merkle tree of RFC 6962, section
// 2.1. After each write the book signs a checkpoint (C2SP tlog-checkpoint in a
// C2SP signed note, Ed25519): origin, size, root. The signature stands in the
// row of the last entry it covers; the newest checkpoint is also the head file
// in the state folder, outside the database. The signing key is made at first
// use, in the state folder, readable by its owner alone.
//
// # What is detected, by what
//
//	an edited entry               its leaf hash; the entry is named
//	an entry edited and rehashed  the signature; the first entry it no longer covers is named
//	a deleted or moved entry      its position, and the tree
//	an inserted entry             its position, the tree, the signature
//	a vehicle's entry left out    the chain of leaf hashes from entry to entry of a vehicle
//	an edited document            the digest in the entries that name it
//	a swapped or deleted sealed   the keyed commitment in its entry; only an erased entry excuses
//	value                         that a personal value of ours is gone
//	an old copy put back          a witness: head file, sheet, another book; how many are gone is said
//	a cut-off end                 the same
//	the head file taken away      the book had one from its beginning; the next entry says that it was
//	                              missing, and a head file made after that is no witness by itself
//	two continuations of one book a witness; and the two signed checkpoints prove it to anybody
//	a log rebuilt with a stolen key, up to the furthest witness: a witness
//
// Not detected: what somebody with the key writes, or takes away, after the
// furthest witness outside their reach; a lie told to the tool at the time of
// writing; a wrong clock that never steps back. Without any witness a record
// that verifies says so with an outcome of its own, never as fine.
//
// # Files that leave the record
//
// Lines of canonical JSON, each with its "line"; the last is an end line with
// the number of lines before it and their SHA-256.
//
//	asleft/extract/1  one vehicle: header, then for each book a book line (key, signed checkpoint),
//	                  entry lines (n, the entry's bytes as a string, inclusion proof) and continues
//	                  lines (the checkpoint continues the first size entries: consistency proof),
//	                  then the documents. VerifyExtract needs no database; so does
//	                  testdata/record/verify_extract.py, written from this comment.
//	asleft/export/1   a book: book line, documents, find lines (keyed hashes), key and value lines
//	                  when personal values were asked for, entries with signatures, checkpoint.
//	asleft/fork/1     two signed checkpoints of one book and, under each, another entry at one place.
//
// The last entries of a vehicle can be left out of an extract unseen when no
// sheet is there that names a later checkpoint: the chain only runs backwards.
// For the same reason [Book.Which] proves what it read, and Verify alone that
// no newer entry of the vehicle was filed where it is not looked for.
//
// # Clocks, locks, power
//
// Time is told, never trusted: order is the position, and a clock that stepped
// back is noted in the entry. Locks are the operating system's and end with
// their process; who has to wait for longer than [Options].LockWait is told
// which process of which user. A write is acknowledged when it is durable: rollback
// journal, synchronous=EXTRA, then the head file by write, sync, rename, sync of the folder.
// The head's bytes are written and synced under another name while the
// database commits; the rename waits for the commit, so that no head is ever
// ahead of its database and no acknowledged entry is without its witness.
// The names of unfinished files tell machine and process: what a killed process
// left, the next one that writes takes away.
//
// # Speed
//
// What is slow runs beside what is slow: an import is read, checked and hashed
// on one core and stored on the other; verify reads whole pages of the table
// and hashes them on all cores, in order. Each log is filed by vehicle for
// itself, so that a book that comes in does not touch pages all over the file,
// and pages that follow each other go to the system in one call. Nothing is
// checked less for it: a page that is not exactly as expected is left to
// SQLite, and every hash is made anew from the entries. testdata/bench measures
// each beside a bare table and bare SHA-256.
//
// # Personal values and secrets
//
// Names, telephone, plate and VIN, and codes, resistor values and hidden
// places are sealed beside the log (AES-256-GCM) under a key per vehicle and
// class, itself sealed under the book's key in the state folder. Entries hold
// commitments: HMAC-SHA256 under the vehicle's key over a random salt and the
// value. A plain hash of a plate could be guessed; this cannot once the key is
// gone. In every other text and document of a vehicle a known value is
// replaced by its field's name in brackets before it is written; a secret in a
// name, where nothing can stand instead, is refused. Secrets are of three
// kinds, see [SecretKinds]. [Book.Reveal] alone opens them, and records who
// shows what to whom before it gives a value away; they never leave the record
// that keeps them, by no export, extract or option.
//
// # 21 CFR 11.10(e)
//
// The regulation's clauses (quoted from memory) and what answers them:
//
//	secure, computer-generated, time-stamped audit trails   canonical entries with at, offset and n, made by the tool; tree and signature
//	independently record the date and time                  the clock is read by the book, never given by the writer
//	of operator entries and actions that create, modify     every write is an entry with by, machine, tool, kind and reason;
//	or delete electronic records                            nothing is deleted, erasing personal values is an entry too
//	changes shall not obscure previously recorded           append-only; changes hold old and new value; corrected points to the old entry
//	information
//	retained as long as the subject records                 log and documents are one file; backup and export take both
//	available for review and copying                        show, log, export and extract; checked without the database
package record
