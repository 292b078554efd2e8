package record

import "fmt"

// sqliteTxn writes within a transaction.
type sqliteTxn struct{ sqliteView }

// exec runs a statement with arguments.
func (t sqliteTxn) exec(sql string, args ...any) error {
	stmt, err := t.s.stmt(sql)
	if err != nil {
		return err
	}
	if err := bind(stmt, args); err != nil {
		return err
	}
	return stmt.Exec()
}

func (t sqliteTxn) AddLog(origin, key string) (Log, error) {
	logs, err := t.Logs()
	if err != nil {
		return Log{}, err
	}
	next := int64(1)
	for _, l := range logs {
		if l.Origin == origin {
			return Log{}, fmt.Errorf("book %s is there already", origin)
		}
		next = max(next, l.ID+1)
	}
	err = t.exec(`INSERT INTO log(id, origin, key) VALUES(?, ?, ?)`, next, origin, key)
	return Log{next, origin, key}, err
}

// AddRow binds by itself: a large import does little else, and a list of
// arguments for each row is garbage to be collected.
func (t sqliteTxn) AddRow(log, n int64, row Row) error {
	if t.s.addRow == nil {
		stmt, err := t.s.stmt(`INSERT INTO entry(id, subject, identity, bytes, hashes, signature) VALUES(?, ?, ?, ?, ?, ?)`)
		if err != nil {
			return err
		}
		t.s.addRow = stmt
	}
	q := t.s.addRow
	err := q.BindInt64(1, rowNumber(log, n))
	for i, column := range [][]byte{row.Subject[:], row.Identity[:], row.Bytes, row.Hashes} {
		if err == nil {
			err = q.BindBlob(i+2, column)
		}
	}
	if err == nil && row.Signature == nil {
		err = q.BindNull(6)
	} else if err == nil {
		err = q.BindBlob(6, row.Signature)
	}
	if err != nil {
		return err
	}
	return q.Exec()
}

func (t sqliteTxn) AddDocument(digest Digest, data []byte) error {
	return t.exec(`INSERT OR IGNORE INTO document(digest, bytes) VALUES(?, ?)`, digest[:], notNil(data))
}

func (t sqliteTxn) PutBeside(kind string, name, value []byte) error {
	return t.exec(`INSERT OR IGNORE INTO beside(kind, name, value) VALUES(?, ?, ?)`, kind, notNil(name), notNil(value))
}

func (t sqliteTxn) DropBeside(kind string, name, value []byte) error {
	if value == nil {
		return t.exec(`DELETE FROM beside WHERE kind = ? AND name = ?`, kind, notNil(name))
	}
	return t.exec(`DELETE FROM beside WHERE kind = ? AND name = ? AND value = ?`, kind, notNil(name), value)
}

func (t sqliteTxn) ShredBeside(kind string, name, value []byte) error {
	if err := t.remember(kind, name, value); err != nil {
		return err
	}
	return t.DropBeside(kind, name, value)
}
