package record

import (
	"bytes"
	"slices"

	"github.com/ncruces/go-sqlite3"
)

// subjectRun is one log's vehicles in order.
type subjectRun struct {
	stmt *sqlite3.Stmt
	id   ID
}

// next moves on to the next vehicle; false at the end or after an error.
func (r *subjectRun) next() bool {
	if !r.stmt.Step() {
		return false
	}
	r.id = ID{}
	copy(r.id[:], r.stmt.ColumnRawBlob(0))
	return true
}

// Subjects merges the logs, each of which is filed by vehicle for itself.
func (v sqliteView) Subjects(after ID, visit func(ID) error) error {
	logs, err := v.Logs()
	if err != nil {
		return err
	}
	var runs []*subjectRun
	defer func() {
		for _, r := range runs {
			r.stmt.Close()
		}
	}()
	for _, l := range logs {
		stmt, _, err := v.s.conn.Prepare(`SELECT DISTINCT subject FROM entry WHERE id >> 40 = ? AND subject > ? ORDER BY subject`)
		if err != nil {
			return err
		}
		runs = append(runs, &subjectRun{stmt: stmt})
		if err := bind(stmt, []any{l.ID, after[:]}); err != nil {
			return err
		}
	}
	return mergeSubjects(runs, visit)
}

func mergeSubjects(runs []*subjectRun, visit func(ID) error) error {
	var failed error
	ended := func(r *subjectRun) bool {
		if r.next() {
			return false
		}
		if failed == nil {
			failed = r.stmt.Err()
		}
		return true
	}
	under := slices.DeleteFunc(slices.Clone(runs), ended)
	for len(under) > 0 && failed == nil {
		id := slices.MinFunc(under, func(a, b *subjectRun) int { return bytes.Compare(a.id[:], b.id[:]) }).id
		if err := visit(id); err != nil {
			return err
		}
		under = slices.DeleteFunc(under, func(r *subjectRun) bool { return r.id == id && ended(r) })
	}
	return failed
}
