package record

import (
	"fmt"
	"math/bits"

	"golang.org/x/mod/sumdb/tlog"
)

// The tree is the one of RFC 6962, section 2.1. Each row carries the hashes
// that its leaf completes: its own, and those of every perfect subtree that
// ends with it. The hash of level l over the leaves k*2^l and following then
// stands in the row of the last of them, so an append touches one row and any
// proof is read from at most two rows a level.

// frontier is the tree of the first size leaves, reduced to what the next
// leaf needs: the roots of its perfect subtrees, largest first.
type frontier struct {
	size  int64
	peaks []tlog.Hash
}

// push adds a leaf and returns the hashes it completes, the leaf's first.
// The slice is valid until the next push.
func (f *frontier) push(leaf tlog.Hash, completed []tlog.Hash) []tlog.Hash {
	completed = append(completed[:0], leaf)
	for level := 0; f.size>>level&1 == 1; level++ {
		last := len(f.peaks) - 1
		leaf = nodeHash(&f.peaks[last], &leaf)
		f.peaks = f.peaks[:last]
		completed = append(completed, leaf)
	}
	f.peaks = append(f.peaks, leaf)
	f.size++
	return completed
}

// root is the Merkle tree hash; of no leaves the hash of nothing.
func (f *frontier) root() Digest {
	if f.size == 0 {
		return DigestOf(nil)
	}
	h := f.peaks[len(f.peaks)-1]
	for i := len(f.peaks) - 2; i >= 0; i-- {
		h = nodeHash(&f.peaks[i], &h)
	}
	return Digest(h)
}

// loadFrontier reads the frontier of the first size leaves from stored
// hashes. It trusts them: verification builds its own from raw entries.
func loadFrontier(r Reader, log, size int64) (*frontier, error) {
	f := &frontier{size: size}
	var start int64
	for level := bits.Len64(uint64(size)) - 1; level >= 0; level-- {
		if size>>level&1 == 0 {
			continue
		}
		start += 1 << level
		h, err := storedHash(r, log, start-1, level)
		if err != nil {
			return nil, err
		}
		f.peaks = append(f.peaks, h)
	}
	return f, nil
}

// storedHash reads the hash of the given level that leaf completes.
func storedHash(r Reader, log, leaf int64, level int) (tlog.Hash, error) {
	hashes, err := r.Hashes(log, leaf)
	if err != nil {
		return tlog.Hash{}, fmt.Errorf("hash of entry %d: %w", leaf, err)
	}
	at := level * tlog.HashSize
	if len(hashes) < at+tlog.HashSize {
		return tlog.Hash{}, fmt.Errorf("hash of entry %d: shorter than its place in the tree needs", leaf)
	}
	return tlog.Hash(hashes[at : at+tlog.HashSize]), nil
}

// storedHashes lets tlog make proofs from the rows of one log.
type storedHashes struct {
	r   Reader
	log int64
}

// ReadHashes implements tlog.HashReader.
func (s storedHashes) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, index := range indexes {
		level, k := tlog.SplitStoredHashIndex(index)
		h, err := storedHash(s.r, s.log, (k+1)<<level-1, level)
		if err != nil {
			return nil, err
		}
		out[i] = h
	}
	return out, nil
}

// joinHashes lays the completed hashes out as a row keeps them.
func joinHashes(hashes []tlog.Hash) []byte {
	out := make([]byte, 0, len(hashes)*tlog.HashSize)
	for i := range hashes {
		out = append(out, hashes[i][:]...)
	}
	return out
}
