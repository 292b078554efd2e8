package record

import (
	"context"
	"errors"
	"io"

	"github.com/ncruces/go-sqlite3"
)

// Read runs f in one read transaction.
func (s *SQLite) Read(ctx context.Context, f func(Reader) error) error {
	return s.within(ctx, `BEGIN`, func() error { return f(sqliteView{s: s, still: s.onDisk}) })
}

// Write runs f in one write transaction.
func (s *SQLite) Write(ctx context.Context, f func(Writer) error) error {
	return s.within(ctx, `BEGIN IMMEDIATE`, func() error {
		s.holder.take()
		return f(sqliteTxn{sqliteView{s: s}})
	})
}

// Alone runs f under the writer's lock without writing: SQLite takes the lock
// at once and makes no journal before the first change.
func (s *SQLite) Alone(ctx context.Context, f func(Reader) error) error {
	return s.within(ctx, `BEGIN IMMEDIATE`, func() error {
		s.holder.take()
		return f(sqliteView{s: s})
	})
}

// within runs f between begin and COMMIT, or undoes everything.
func (s *SQLite) within(ctx context.Context, begin string, f func() error) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	defer s.conn.SetInterrupt(s.conn.SetInterrupt(ctx))
	if err := s.run(begin); err != nil {
		return s.explain(err)
	}
	committed := false
	s.dropped, s.sweep = nil, false
	defer func() {
		if !committed {
			s.conn.SetInterrupt(context.Background())
			s.conn.Exec(`ROLLBACK`)
		}
	}()
	if err := f(); err != nil {
		return s.explain(err)
	}
	if err := s.run(`COMMIT`); err != nil {
		return s.explain(err)
	}
	committed = true
	return s.swept(s.scrub())
}

// run executes a statement that is prepared once.
func (s *SQLite) run(sql string) error {
	stmt, err := s.stmt(sql)
	if err != nil {
		return err
	}
	return stmt.Exec()
}

// stmt returns a statement that is prepared once and reset.
func (s *SQLite) stmt(sql string) (*sqlite3.Stmt, error) {
	if stmt, ok := s.stmts[sql]; ok {
		return stmt, nil
	}
	stmt, _, err := s.conn.PrepareFlags(sql, sqlite3.PREPARE_PERSISTENT)
	if err != nil {
		return nil, err
	}
	s.stmts[sql] = stmt
	return stmt, nil
}

// sqliteView reads within a transaction.
type sqliteView struct {
	s     *SQLite
	still bool // the file on the disk is what this transaction sees
}

// manyRows is from how many rows on a scan reads whole pages.
const manyRows = 1000

// query binds the arguments and visits each row.
func (v sqliteView) query(sql string, args []any, visit func(*sqlite3.Stmt) error) error {
	stmt, err := v.s.stmt(sql)
	if err != nil {
		return err
	}
	if stmt.Busy() { // a visit that asks again needs a statement of its own
		if stmt, _, err = v.s.conn.Prepare(sql); err != nil {
			return err
		}
		defer stmt.Close()
	}
	defer stmt.Reset()
	if err := bind(stmt, args); err != nil {
		return err
	}
	for stmt.Step() {
		if err := visit(stmt); err != nil {
			return err
		}
	}
	return stmt.Err()
}

func bind(stmt *sqlite3.Stmt, args []any) error {
	for i, arg := range args {
		var err error
		switch arg := arg.(type) {
		case int64:
			err = stmt.BindInt64(i+1, arg)
		case string:
			err = stmt.BindText(i+1, arg)
		case []byte:
			if arg == nil {
				err = stmt.BindNull(i + 1)
			} else if len(arg) == 0 {
				err = stmt.BindZeroBlob(i+1, 0)
			} else {
				err = stmt.BindBlob(i+1, arg)
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (v sqliteView) Logs() ([]Log, error) {
	var logs []Log
	err := v.query(`SELECT id, origin, key FROM log ORDER BY id`, nil, func(q *sqlite3.Stmt) error {
		logs = append(logs, Log{q.ColumnInt64(0), q.ColumnText(1), q.ColumnText(2)})
		return nil
	})
	return logs, err
}

func (v sqliteView) Size(log int64) (size int64, err error) {
	args := []any{rowNumber(log, 0), rowNumber(log+1, 0)}
	err = v.query(`SELECT id FROM entry WHERE id >= ? AND id < ? ORDER BY id DESC LIMIT 1`, args, func(q *sqlite3.Stmt) error {
		size = placeOf(q.ColumnInt64(0)).N + 1
		return nil
	})
	return size, err
}

func (v sqliteView) Row(log, n int64) (Row, error) {
	var row Row
	found := false
	err := v.query(`SELECT id, subject, identity, bytes, hashes, signature FROM entry WHERE id = ?`, []any{rowNumber(log, n)}, func(q *sqlite3.Stmt) error {
		found = true
		var shared Row
		readRow(q, &shared)
		row = shared.clone()
		return nil
	})
	if err == nil && !found {
		err = ErrNoRow
	}
	return row, err
}

// readRow points row at the statement's memory, which lasts until it steps.
func readRow(q *sqlite3.Stmt, row *Row) {
	row.Subject, row.Identity = ID{}, ID{}
	copy(row.Subject[:], q.ColumnRawBlob(1))
	copy(row.Identity[:], q.ColumnRawBlob(2))
	row.Bytes = q.ColumnRawBlob(3)
	row.Hashes = q.ColumnRawBlob(4)
	row.Signature = q.ColumnRawBlob(5)
}

func (r Row) clone() Row {
	r.Bytes = append([]byte(nil), r.Bytes...)
	r.Hashes = append([]byte(nil), r.Hashes...)
	r.Signature = append([]byte(nil), r.Signature...)
	return r
}

func (v sqliteView) Hashes(log, n int64) (hashes []byte, err error) {
	found := false
	err = v.query(`SELECT hashes FROM entry WHERE id = ?`, []any{rowNumber(log, n)}, func(q *sqlite3.Stmt) error {
		found = true
		hashes = q.ColumnBlob(0, nil)
		return nil
	})
	if err == nil && !found {
		err = ErrNoRow
	}
	return hashes, err
}

func (v sqliteView) Scan(log, from, to int64, visit func(int64, *Row) error) error {
	first, end := rowNumber(log, from), rowNumber(log, to)
	visited := int64(0)
	if v.still && to-from >= manyRows {
		var err error
		visited, err = v.scanPages(first, end, func(row int64, r *Row) error { return visit(placeOf(row).N, r) })
		if err != errOddPage {
			return err
		}
	}
	var row Row
	return v.query(`SELECT id, subject, identity, bytes, hashes, signature FROM entry WHERE id >= ? AND id < ? ORDER BY id`, []any{first, end}, func(q *sqlite3.Stmt) error {
		if visited--; visited >= 0 {
			return nil // counted, not looked for: the number of a row on a damaged page says little
		}
		readRow(q, &row)
		return visit(placeOf(q.ColumnInt64(0)).N, &row)
	})
}

func (v sqliteView) Places(log int64, subject ID) ([]Place, error) {
	var places []Place
	err := v.query(`SELECT id FROM entry WHERE id >> 40 = ? AND subject = ? ORDER BY id`, []any{log, subject[:]}, func(q *sqlite3.Stmt) error {
		places = append(places, placeOf(q.ColumnInt64(0)))
		return nil
	})
	return places, err
}

// Find compares the identities of all of the vehicle's entries: they are few.
func (v sqliteView) Find(log int64, subject, identity ID) (Place, error) {
	var place Place
	found := false
	err := v.query(`SELECT id FROM entry WHERE id >> 40 = ? AND subject = ? AND identity = ?`, []any{log, subject[:], identity[:]}, func(q *sqlite3.Stmt) error {
		found = true
		place = placeOf(q.ColumnInt64(0))
		return nil
	})
	if err == nil && !found {
		err = ErrNoRow
	}
	return place, err
}

func (v sqliteView) Document(digest Digest) (data []byte, err error) {
	found := false
	err = v.query(`SELECT bytes FROM document WHERE digest = ?`, []any{digest[:]}, func(q *sqlite3.Stmt) error {
		found = true
		data = q.ColumnBlob(0, nil)
		return nil
	})
	if err == nil && !found {
		err = ErrNoRow
	}
	return data, err
}

// A document of more than pieceBytes is copied piece by piece, so that no more than a piece of it is in memory: in
// SQLite's memory as well, each page of which costs the system more time than reading it.
const pieceBytes = 16 << 10

func (v sqliteView) CopyDocument(digest Digest, w io.Writer) error {
	found, long := false, int64(0)
	err := v.query(`SELECT id, length(bytes), iif(length(bytes) <= 16384, bytes, NULL) FROM document WHERE digest = ?`, []any{digest[:]}, func(q *sqlite3.Stmt) error {
		found = true
		if q.ColumnInt64(1) > pieceBytes {
			long = q.ColumnInt64(0)
			return nil
		}
		_, err := w.Write(q.ColumnRawBlob(2))
		return err
	})
	switch {
	case err == nil && !found:
		return ErrNoRow
	case err != nil || long == 0:
		return err
	}
	blob, err := v.s.conn.OpenBlob("main", "document", "bytes", long, false)
	if err != nil {
		return err
	}
	// Its WriteTo would read a megabyte at once.
	_, err = io.CopyBuffer(w, struct{ io.Reader }{blob}, make([]byte, pieceBytes))
	return errors.Join(err, blob.Close())
}

func (v sqliteView) Documents(visit func(Digest, []byte) error) error {
	return v.query(`SELECT digest, bytes FROM document ORDER BY id`, nil, func(q *sqlite3.Stmt) error {
		var d Digest
		copy(d[:], q.ColumnRawBlob(0))
		return visit(d, q.ColumnRawBlob(1))
	})
}

func (v sqliteView) Beside(kind string, name []byte) (values [][]byte, err error) {
	err = v.query(`SELECT value FROM beside WHERE kind = ? AND name = ? ORDER BY value`, []any{kind, notNil(name)}, func(q *sqlite3.Stmt) error {
		values = append(values, q.ColumnBlob(0, nil))
		return nil
	})
	return values, err
}

func (v sqliteView) BesideAll(kind string, visit func(name, value []byte) error) error {
	return v.query(`SELECT name, value FROM beside WHERE kind = ? ORDER BY name, value`, []any{kind}, func(q *sqlite3.Stmt) error {
		return visit(q.ColumnRawBlob(0), q.ColumnRawBlob(1))
	})
}

func notNil(b []byte) []byte {
	if b == nil {
		return []byte{}
	}
	return b
}
