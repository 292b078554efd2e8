package record

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
)

// ID is a random number of 128 bits: the subject of a vehicle, drawn at its
// opening, or the identity that a client gives an entry so that a retry makes
// no double. It is written as 32 hexadecimal digits.
type ID [16]byte

// NewID draws an identity from random.
func NewID(random io.Reader) (ID, error) {
	var id ID
	if _, err := io.ReadFull(random, id[:]); err != nil {
		return ID{}, fmt.Errorf("no random numbers: %w", err)
	}
	return id, nil
}

// ParseID reads what String writes.
func ParseID(text string) (ID, error) {
	var id ID
	if len(text) != 2*len(id) {
		return ID{}, fmt.Errorf("identity %q: expected %d hexadecimal digits", text, 2*len(id))
	}
	if !decodeHex(id[:], text) {
		return ID{}, fmt.Errorf("identity %q: expected lower case hexadecimal digits", text)
	}
	return id, nil
}

// decodeHex reads two small hexadecimal digits a byte into all of dst, and
// refuses capitals: one value has one spelling.
func decodeHex[T string | []byte](dst []byte, text T) bool {
	var bad byte
	for i := range dst {
		high, low := hexValue[text[2*i]], hexValue[text[2*i+1]]
		bad |= high | low
		dst[i] = high<<4 | low
	}
	return bad < 16
}

// hexValue is the value of each hexadecimal digit, 255 of every other byte.
var hexValue = func() (table [256]byte) {
	for i := range table {
		table[i] = 255
	}
	for i, digit := range []byte("0123456789abcdef") {
		table[digit] = byte(i)
	}
	return table
}()

// String is the 32 hexadecimal digits.
func (id ID) String() string { return hex.EncodeToString(id[:]) }

// IsZero reports whether no identity was given.
func (id ID) IsZero() bool { return id == ID{} }

// Digest is the SHA-256 of a document's bytes (FIPS 180-4). Entries name
// documents by it, so a leaf covers every byte of what it names.
type Digest [sha256.Size]byte

// DigestOf hashes a document.
func DigestOf(data []byte) Digest { return sha256.Sum256(data) }

// ParseDigest reads what String writes.
func ParseDigest(text string) (Digest, error) {
	var d Digest
	if len(text) != 2*len(d) {
		return Digest{}, fmt.Errorf("digest %q: expected %d hexadecimal digits", text, 2*len(d))
	}
	if !decodeHex(d[:], text) {
		return Digest{}, fmt.Errorf("digest %q: expected lower case hexadecimal digits", text)
	}
	return d, nil
}

// String is the 64 hexadecimal digits.
func (d Digest) String() string { return hex.EncodeToString(d[:]) }

// IsZero reports whether the digest names nothing.
func (d Digest) IsZero() bool { return d == Digest{} }
