package record

import "slices"

// The file's format. Statements are compared byte for byte with what the file
// says it was made with, so that a table, index, view or trigger of another
// origin is seen before any statement of ours touches it.

const (
	applicationID = 0x61734c66 // marks the file as ours
	schemaVersion = 2
)

// schemaObject is one line of sqlite_schema.
type schemaObject struct{ kind, name, sql string }

var schema = []schemaObject{
	{"table", "log", `CREATE TABLE log(id INTEGER PRIMARY KEY, origin TEXT NOT NULL, key TEXT NOT NULL) STRICT`},
	{"table", "entry", `CREATE TABLE entry(id INTEGER PRIMARY KEY, subject BLOB NOT NULL, identity BLOB NOT NULL, bytes BLOB NOT NULL, hashes BLOB NOT NULL, signature BLOB) STRICT`},
	{"index", "entry_subject", entrySubject},
	{"table", "document", `CREATE TABLE document(id INTEGER PRIMARY KEY, digest BLOB NOT NULL, bytes BLOB NOT NULL) STRICT`},
	{"index", "document_digest", `CREATE UNIQUE INDEX document_digest ON document(digest)`},
	{"table", "beside", `CREATE TABLE beside(kind TEXT NOT NULL, name BLOB NOT NULL, value BLOB NOT NULL, PRIMARY KEY(kind, name, value)) STRICT, WITHOUT ROWID`},
}

// entrySubject files a log's entries by vehicle, each log apart: a book that
// comes in from another laptop fills pages of its own, where filing it among
// all vehicles would touch, journal and sync pages all over the index.
const entrySubject = `CREATE INDEX entry_subject ON entry(id >> 40, subject)`

// schemaOf1 is the schema of format 1, which filed the entries of all logs together.
func schemaOf1() []schemaObject {
	old := slices.Clone(schema)
	old[slices.IndexFunc(old, func(o schemaObject) bool { return o.sql == entrySubject })].sql = `CREATE INDEX entry_subject ON entry(subject, identity)`
	return old
}

// An entry's row number holds the log in its high bits and the position in
// the lower 40, so that a log lies together in order and needs no index.
const positionBits = 40

func rowNumber(log, n int64) int64 { return log<<positionBits + n }

func placeOf(row int64) Place {
	return Place{Log: row >> positionBits, N: row & (1<<positionBits - 1)}
}
