// Package bench measures asleft beside what it is compared with, in one run on one machine. It is
// a module of its own, so that the programs it compares with stay out of asleft's go.mod.
//
//	cd testdata/bench && go test -bench . -run NONE
package bench

import (
	"io"
	"os/exec"
	"path/filepath"
	"testing"
)

// build compiles a command of this module or of asleft into a temporary folder.
func build(b *testing.B, dir, target string) string {
	b.Helper()
	bin := filepath.Join(b.TempDir(), "command")
	c := exec.Command("go", "build", "-o", bin, target)
	c.Dir = dir
	if out, err := c.CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	return bin
}

func start(b *testing.B, bin string, args ...string) {
	b.Helper()
	for b.Loop() {
		c := exec.Command(bin, args...)
		c.Stdout, c.Stderr = io.Discard, io.Discard
		if err := c.Run(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkStart runs whole processes: an empty cobra program, a listing, and the main job. The goal
// for the sheet is twice the empty program and 20 ms.
func BenchmarkStart(b *testing.B) {
	empty := build(b, ".", "./empty")
	asleft := build(b, "../..", "./cmd/asleft")
	b.Run("empty-cobra", func(b *testing.B) { start(b, empty) })
	b.Run("settings", func(b *testing.B) { start(b, asleft, "settings") })
	b.Run("sheet", func(b *testing.B) { start(b, asleft, "sheet", "../jobs/minibus.toml") })
}
