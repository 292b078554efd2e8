package record

import (
	"testing"

	"github.com/ncruces/go-sqlite3"
)

// sql works on a record's file from outside, as a forger would.
func sql(t *testing.T, path, statements string) {
	t.Helper()
	conn, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if err := conn.Exec(statements); err != nil {
		t.Fatalf("%s: %v", statements, err)
	}
}
