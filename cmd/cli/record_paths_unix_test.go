//go:build unix

package cli

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// trickyPaths are names that are not what a careless program takes them for.
func trickyPaths(t *testing.T, dir, victim string) map[string]string {
	t.Helper()
	in := func(name string) string { return filepath.Join(dir, name) }
	for _, err := range []error{
		os.Symlink(victim, in("link")), os.Symlink(in("nowhere"), in("dangling")), os.Symlink(in("loop"), in("loop")),
		syscall.Mkfifo(in("pipe"), 0o600), os.Mkdir(in("folder"), 0o700), os.Symlink(in("pipe"), in("link-to-pipe")),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return map[string]string{
		"link": in("link"), "dangling link": in("dangling"), "link to itself": in("loop"), "pipe": in("pipe"), "link to a pipe": in("link-to-pipe"),
		"folder": in("folder"), "device": "/dev/zero", "null": "/dev/null", "a file that is there": victim, "a file above": in("folder") + "/../victim",
		"under a file": victim + "/x", "proc": "/proc/self/mem",
	}
}
