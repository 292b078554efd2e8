package record

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
)

// stateFolder holds what must not lie beside the database: the book's keys,
// its newest checkpoint, and which book was last seen at which path. A thief
// of the database has no key, and a restored old database meets a newer head.
type stateFolder struct{ dir string }

// keyring is the secret part of a book.
type keyring struct {
	origin  string
	signing string   // note signer key
	sealing [32]byte // wraps the keys of personal values and secrets
	joining [32]byte // keyed hash under which a VIN or plate is found

	public string // note verifier key, which goes with signing; "" until it is worked out
}

// belongTo reports whether the keys are those of the book with this public
// key. Where the public part was not worked out, which takes a millisecond, the
// names and hashes of both must be the same.
func (k keyring) belongTo(public string) bool {
	if k.public != "" {
		return k.public == public
	}
	mine, theirs := strings.SplitN(k.signing, "+", 5), strings.SplitN(public, "+", 3)
	return len(mine) == 5 && len(theirs) == 3 && mine[2] == theirs[0] && mine[3] == theirs[1]
}

// bookName is what a book is called: its origin on checkpoints, and the first
// part of its files' names in the state folder.
const bookName = "asleft-book-"

// isBookName reports whether a text is the name of a book: sixteen hexadecimal digits follow.
func isBookName(s string) bool {
	digits, ok := strings.CutPrefix(s, bookName)
	return ok && len(digits) == 16 && strings.Trim(digits, "0123456789abcdef") == ""
}

const keyTitle = "asleft book key 1"

func (s stateFolder) path(name string) string { return filepath.Join(s.dir, name) }

// newKeyring draws a book's name and keys.
func newKeyring(random io.Reader) (keyring, error) {
	var raw [8 + 32 + 32 + 32]byte
	if _, err := io.ReadFull(random, raw[:]); err != nil {
		return keyring{}, fmt.Errorf("no random numbers: %w", err)
	}
	k := keyring{origin: bookName + hex.EncodeToString(raw[:8])}
	k.signing, k.public = signingKeys(k.origin, raw[8:40])
	copy(k.sealing[:], raw[40:72])
	copy(k.joining[:], raw[72:])
	return k, nil
}

func (k keyring) format() []byte {
	return fmt.Appendf(nil, "%s\norigin %s\nsigning %s\nsealing %x\njoining %x\n",
		keyTitle, k.origin, k.signing, k.sealing, k.joining)
}

func parseKeyring(data []byte) (keyring, error) {
	var k keyring
	lines := strings.Split(strings.TrimSuffix(string(data), "\n"), "\n")
	if len(lines) != 5 || lines[0] != keyTitle {
		return k, errors.New("not a key file of a book")
	}
	var sealing, joining string
	for i, part := range []struct {
		name string
		to   *string
	}{{"origin", &k.origin}, {"signing", &k.signing}, {"sealing", &sealing}, {"joining", &joining}} {
		value, ok := strings.CutPrefix(lines[i+1], part.name+" ")
		if !ok {
			return k, fmt.Errorf("line %d: expected %s", i+2, part.name)
		}
		*part.to = value
	}
	for text, to := range map[string]*[32]byte{sealing: &k.sealing, joining: &k.joining} {
		raw, err := hex.DecodeString(text)
		if err != nil || len(raw) != len(to) {
			return k, errors.New("a key is not 64 hexadecimal digits")
		}
		copy(to[:], raw)
	}
	return k, nil
}

// findPublic works the public part out of the signing key, which must be in its one form.
func (k *keyring) findPublic() error {
	parts := strings.SplitN(k.signing, "+", 5)
	if len(parts) != 5 {
		return errNoSigning
	}
	seed, err := decodeSeed(parts[4])
	if err != nil {
		return err
	}
	var secret string
	if secret, k.public = signingKeys(k.origin, seed); secret != k.signing {
		return errNoSigning
	}
	return nil
}

func (s stateFolder) keyPath(origin string) string  { return s.path(origin + ".key") }
func (s stateFolder) headPath(origin string) string { return s.path(origin + ".head") }

// loadKeys reads a book's keys; *FileError of class NoKey when there are none.
func (s stateFolder) loadKeys(origin string) (keyring, error) {
	k, err := s.readKeys(origin)
	if err != nil {
		return k, err
	}
	if err := k.findPublic(); err != nil {
		return keyring{}, &FileError{Path: s.keyPath(origin), Class: NoKey, Text: fmt.Sprintf("line 3: %v", err)}
	}
	return k, nil
}

// readKeys is loadKeys for one who signs nothing: the public part is not worked out.
func (s stateFolder) readKeys(origin string) (keyring, error) {
	path := s.keyPath(origin)
	data, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return keyring{}, &FileError{Path: path, Class: NoKey, Text: "the key of this book is missing", Err: err}
	}
	if err != nil {
		return keyring{}, &FileError{Path: path, Class: Unreadable, Text: plain(err), Err: err}
	}
	if info, err := os.Stat(path); err == nil && runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		return keyring{}, &FileError{Path: path, Class: NoKey, Text: "other users may read this key file; make it private (chmod 600)"}
	}
	k, err := parseKeyring(data)
	if err != nil {
		return keyring{}, &FileError{Path: path, Class: NoKey, Text: err.Error()}
	}
	if k.origin != origin {
		return keyring{}, &FileError{Path: path, Class: NoKey, Text: "this is the key of " + k.origin}
	}
	return k, nil
}

func (s stateFolder) saveKeys(k keyring) error {
	return s.save(s.keyPath(k.origin), k.format())
}

// loadHead reads the newest checkpoint; ok is false when there is none.
func (s stateFolder) loadHead(origin, key string) (c Checkpoint, ok bool, err error) {
	data, ok, err := s.readHead(origin)
	if !ok || err != nil {
		return Checkpoint{}, false, err
	}
	c, err = OpenCheckpoint(data, key)
	return c, err == nil, err
}

// readHead reads the head file's bytes.
func (s stateFolder) readHead(origin string) (data []byte, ok bool, err error) {
	path := s.headPath(origin)
	data, err = os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, &FileError{Path: path, Class: Unreadable, Text: plain(err), Err: err}
	}
	return data, true, nil
}

func (s stateFolder) saveHead(c Checkpoint) error {
	return s.save(s.headPath(c.Book), c.Note)
}

// wherePath names the file that remembers which book lies at a path.
func (s stateFolder) wherePath(db string) string {
	if full, err := filepath.Abs(db); err == nil {
		db = full
	}
	sum := sha256.Sum256([]byte(db))
	return s.path("at-" + hex.EncodeToString(sum[:8]))
}

// bookAt returns the book last seen at a path, or "".
func (s stateFolder) bookAt(db string) string {
	data, err := os.ReadFile(s.wherePath(db))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(data))
}

func (s stateFolder) rememberBook(db, origin string) error {
	if s.bookAt(db) == origin {
		return nil
	}
	return s.save(s.wherePath(db), []byte(origin+"\n"))
}

// save replaces a file so that after a power cut the old or the new content
// is there: write, sync, rename, sync the folder.
func (s stateFolder) save(path string, data []byte) error {
	name, err := s.prepare(data)
	if err != nil {
		return err
	}
	return s.publish(name, path)
}

// Replace writes a small private file so that it is whole at any moment, also
// after a power cut, and takes away what killed processes left in its folder.
// Errors are *FileError.
func Replace(path string, data []byte) error {
	folder := stateFolder{filepath.Dir(path)}
	dropUnfinished(folder.dir)
	return folder.save(path, data)
}

// prepare writes and syncs a file under a name of its own, which means
// nothing to anybody before it is published.
func (s stateFolder) prepare(data []byte) (name string, err error) {
	if err := os.MkdirAll(s.dir, 0o700); err != nil {
		return "", writeFault(s.dir, err)
	}
	f, err := newUnfinished(s.dir)
	if err != nil {
		return "", writeFault(s.dir, err)
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		os.Remove(f.Name())
		return "", writeFault(f.Name(), err)
	}
	return f.Name(), nil
}

// publish puts a prepared file in the place of path, for good.
func (s stateFolder) publish(name, path string) error {
	err := os.Rename(name, path)
	if err == nil {
		err = syncFolder(s.dir)
	}
	if err != nil {
		os.Remove(name)
		return writeFault(path, err)
	}
	return nil
}

// syncFolder makes a rename durable; Windows has no such call and needs none.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}

func writeFault(path string, err error) error {
	class := Broken
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		class = Full
	case errors.Is(err, os.ErrPermission), errors.Is(err, syscall.EROFS):
		class = Unwritable
	}
	return &FileError{Path: path, Class: class, Text: plain(err), Err: err}
}

var errNoSigning = errors.New("not a signing key")

// decodeSeed takes the 32 random bytes out of a note signer key's last part.
func decodeSeed(text string) ([]byte, error) {
	raw, err := base64.StdEncoding.DecodeString(text)
	if err != nil || len(raw) != 33 {
		return nil, errNoSigning
	}
	return raw[1:], nil
}
