package record

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
)

// Checkpoint is a signed statement of a book: so many entries, this root. Its
// text is the C2SP tlog-checkpoint, its envelope the C2SP signed note.
type Checkpoint struct {
	Head
	Note []byte // the signed note
}

// checkpointText is the part that is signed.
func checkpointText(h Head) string {
	return h.Book + "\n" + strconv.FormatInt(h.Size, 10) + "\n" + base64.StdEncoding.EncodeToString(h.Root[:]) + "\n"
}

// parseCheckpointText reads a checkpoint's text and refuses other spellings.
func parseCheckpointText(text string) (Head, error) {
	lines := strings.Split(text, "\n")
	if len(lines) != 4 || lines[0] == "" || lines[3] != "" {
		return Head{}, fmt.Errorf("a checkpoint has three lines: origin, size, root")
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil || size < 0 || strconv.FormatInt(size, 10) != lines[1] {
		return Head{}, fmt.Errorf("checkpoint size %q is not a plain number", lines[1])
	}
	root, err := base64.StdEncoding.DecodeString(lines[2])
	if err != nil || len(root) != len(Digest{}) {
		return Head{}, fmt.Errorf("checkpoint root %q is not the base64 of 32 bytes", lines[2])
	}
	h := Head{Book: lines[0], Size: size, Root: Digest(root)}
	if checkpointText(h) != text {
		return Head{}, fmt.Errorf("checkpoint text is not in its one form")
	}
	return h, nil
}

// OpenCheckpoint checks the signature of a note with the book's public key
// (a note verifier key) and reads the checkpoint in it.
func OpenCheckpoint(signed []byte, key string) (Checkpoint, error) {
	v, err := note.NewVerifier(key)
	if err != nil {
		return Checkpoint{}, fmt.Errorf("the book's public key: %w", err)
	}
	n, err := note.Open(signed, note.VerifierList(v))
	if err != nil {
		return Checkpoint{}, fmt.Errorf("the checkpoint's signature does not fit: %w", err)
	}
	h, err := parseCheckpointText(n.Text)
	if err != nil {
		return Checkpoint{}, err
	}
	if h.Book != v.Name() {
		return Checkpoint{}, fmt.Errorf("the checkpoint of %q is signed by %q", h.Book, v.Name())
	}
	return Checkpoint{Head: h, Note: signed}, nil
}

// buildNote puts the envelope around a raw signature, as rows keep it.
func buildNote(h Head, key string, signature []byte) ([]byte, error) {
	v, err := note.NewVerifier(key)
	if err != nil {
		return nil, err
	}
	raw := binary.BigEndian.AppendUint32(nil, v.KeyHash())
	raw = append(raw, signature...)
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n\u2014 %s %s\n", checkpointText(h), v.Name(), base64.StdEncoding.EncodeToString(raw))
	return b.Bytes(), nil
}

// checkSignature reports whether a raw signature fits the checkpoint.
func checkSignature(h Head, v note.Verifier, signature []byte) bool {
	return len(signature) == ed25519.SignatureSize && h.Book == v.Name() && v.Verify([]byte(checkpointText(h)), signature)
}

// signingKeys makes a note key pair from 32 random bytes. The standard
// generator may take its randomness elsewhere, and ours is injected.
func signingKeys(name string, random []byte) (secret, public string) {
	const ed25519Type = 1
	pub := ed25519.NewKeyFromSeed(random).Public().(ed25519.PublicKey)
	full := append([]byte{ed25519Type}, pub...)
	sum := sha256.Sum256(append([]byte(name+"\n"), full...))
	hash := binary.BigEndian.Uint32(sum[:4])
	seed := append([]byte{ed25519Type}, random...)
	secret = fmt.Sprintf("PRIVATE+KEY+%s+%08x+%s", name, hash, base64.StdEncoding.EncodeToString(seed))
	public = fmt.Sprintf("%s+%08x+%s", name, hash, base64.StdEncoding.EncodeToString(full))
	return secret, public
}
