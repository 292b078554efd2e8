package record_test

import (
	"context"
	"path/filepath"
	"testing"

	"asleft/config/record"
)

func TestSQLite(t *testing.T) {
	dirs := map[*testing.T]string{}
	runSuite(t, func(t *testing.T, name string) record.Store {
		if dirs[t] == "" {
			dirs[t] = t.TempDir()
		}
		s, err := record.OpenSQLite(context.Background(), record.SQLiteOptions{Path: filepath.Join(dirs[t], name), Create: true})
		if err != nil {
			t.Fatal(err)
		}
		return s
	})
}

func TestMemory(t *testing.T) {
	stores := map[*testing.T]record.Store{}
	runSuite(t, func(t *testing.T, name string) record.Store {
		if stores[t] == nil {
			stores[t] = newMemory()
		}
		return stores[t]
	})
}

// The whole record works on a store that is no SQLite.
func TestBookInMemory(t *testing.T) {
	ctx := context.Background()
	b, err := record.Open(ctx, record.Options{StateDir: t.TempDir(), Store: newMemory(), Create: true})
	if err != nil {
		t.Fatal(err)
	}
	for range 9 {
		r, err := b.Record(ctx, record.Draft{Kind: record.Opened, By: "T.V.", Attributes: map[record.Attribute]string{record.Label: "Veldra Pip", record.Plate: "TH 1"}})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := b.Which(ctx, r.Subject, nil); err != nil {
			t.Fatal(err)
		}
	}
	report, err := b.Verify(ctx)
	if err != nil || report.Outcome != record.Witnessed || report.Books[0].Intact != 9 {
		t.Errorf("%+v %v", report, err)
	}
}
