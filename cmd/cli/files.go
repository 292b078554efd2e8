package cli

import (
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"
	"syscall"

	"asleft/config/source"
)

// readFile reads a file that a person wrote. Only regular files are read: a device or a named
// pipe could block for ever or feed us without end. source.Parse bounds the size again.
func readFile(path string) ([]byte, error) {
	shown := source.Visible(path)
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENAMETOOLONG):
		return nil, fail(BadInput, "check the path; a job file ends in .toml", "no file %s", shown)
	case err != nil:
		return nil, fail(Broken, "may you read its folder?", "cannot look at %s: %v", shown, errors.Unwrap(err))
	case info.IsDir():
		return nil, fail(BadInput, "name one file in it", "%s is a folder", shown)
	case !info.Mode().IsRegular():
		return nil, fail(BadInput, "", "%s is not a regular file", shown)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fail(Broken, "may you read it?", "cannot open %s: %v", shown, errors.Unwrap(err))
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, fileLimit+1))
	if err != nil {
		return nil, fail(Broken, "check the disk that it lies on", "cannot read %s: %v", shown, errors.Unwrap(err))
	}
	return data, nil
}

// fileLimit is far above what source.Parse takes: it only keeps memory bounded.
const fileLimit = 1 << 20

// cutPair splits name=value.
func cutPair(s string) (name, value string, ok bool) {
	name, value, ok = strings.Cut(s, "=")
	return strings.TrimSpace(name), strings.TrimSpace(value), ok && name != "" && value != ""
}

// sortedNames are the keys of a map, in order.
func sortedNames[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
