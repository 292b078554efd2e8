package record

import (
	"os"
	"strings"
)

// holder is a small file beside the record in which the process that has the
// lock says who it is. It is no lock, only a name for whoever has to wait:
// the lock itself is the operating system's and ends with its process.
type holder struct{ path, text string }

// take writes our name; the lock is held, so nobody else writes. A file that
// has our name already is left alone: a file cut and written anew is more for
// the file system to bring to the disk with the commit.
func (h holder) take() {
	if h.path != "" && h.text != "" && !h.has() {
		os.WriteFile(h.path, []byte(h.text+"\n"), 0o644)
	}
}

// has reports whether the file has our name.
func (h holder) has() bool {
	data, err := os.ReadFile(h.path)
	return err == nil && strings.TrimSpace(string(data)) == h.text
}

// leave removes the file when it still has our name.
func (h holder) leave() {
	if h.path == "" || h.text == "" {
		return
	}
	if h.has() {
		os.Remove(h.path)
	}
}

// describe says who was last seen holding the lock.
func (h holder) describe() string {
	data, err := os.ReadFile(h.path)
	name := strings.TrimSpace(string(data))
	if err != nil || name == "" || len(name) > 200 {
		return "another process keeps the record for itself"
	}
	return "locked by " + name
}
