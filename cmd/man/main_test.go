package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Every verb has a page with its exit statuses and an example, and pages made twice are the same bytes.
func TestPages(t *testing.T) {
	first, second := t.TempDir(), t.TempDir()
	for _, folder := range []string{first, second} {
		if err := write(folder); err != nil {
			t.Fatal(err)
		}
	}
	pages, err := filepath.Glob(filepath.Join(first, "asleft*.1"))
	if err != nil || len(pages) < 40 {
		t.Fatalf("%d pages (%v), expected one for each of the forty-odd verbs", len(pages), err)
	}
	for _, path := range pages {
		page, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		again, err := os.ReadFile(filepath.Join(second, filepath.Base(path)))
		if err != nil || !bytes.Equal(page, again) {
			t.Errorf("%s is not the same when made again (%v)", filepath.Base(path), err)
		}
		name := strings.TrimSuffix(filepath.Base(path), ".1")
		if name == "asleft" || strings.HasPrefix(name, "asleft-completion") {
			continue // the root only lists the verbs; the shells' completions are cobra's own pages
		}
		for _, part := range []string{"Exit status:", "130  interrupted", ".SH EXAMPLE"} {
			if !strings.Contains(string(page), part) {
				t.Errorf("%s has no %q", filepath.Base(path), part)
			}
		}
	}
}
