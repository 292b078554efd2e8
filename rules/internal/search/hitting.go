package search

import (
	"cmp"
	"math/bits"
	"slices"
)

// Set is a set of items 0 to 63.
type Set uint64

// SetOf makes a set.
func SetOf(items ...int) Set {
	var s Set
	for _, i := range items {
		s |= 1 << i
	}
	return s
}

// Items are the members in rising order.
func (s Set) Items() []int {
	var out []int
	for m := uint64(s); m != 0; m &= m - 1 {
		out = append(out, bits.TrailingZeros64(m))
	}
	return out
}

// Len is the number of members.
func (s Set) Len() int { return bits.OnesCount64(uint64(s)) }

// Has reports whether every member of the other set is in this one.
func (s Set) Has(other Set) bool { return other&^s == 0 }

// Hitting finds every minimal set that has a member in common with each of the family. It takes the sets one by
// one and keeps what is minimal (Berge): exact, and quick for the few dozen conflicts of an install. With a set in
// the family that is empty there is no hitting set; the empty family is hit by the empty set. The answer is
// sorted by size, then by members.
func Hitting(family []Set) []Set {
	hits := []Set{0}
	for _, f := range family {
		var next []Set
		for _, h := range hits {
			if h&f != 0 {
				next = append(next, h)
				continue
			}
			for m := uint64(f); m != 0; m &= m - 1 {
				next = append(next, h|Set(m&-m))
			}
		}
		hits = Minimal(next)
	}
	return hits
}

// Minimal are the sets that contain no other of them, sorted by size, then by members, each once.
func Minimal(sets []Set) []Set {
	sorted := slices.Clone(sets)
	slices.SortFunc(sorted, compareSets)
	var out []Set
	for _, s := range sorted {
		if !slices.ContainsFunc(out, func(o Set) bool { return s.Has(o) }) {
			out = append(out, s)
		}
	}
	return out
}

func compareSets(a, b Set) int {
	return cmp.Or(cmp.Compare(a.Len(), b.Len()), cmp.Compare(bits.Reverse64(uint64(b)), bits.Reverse64(uint64(a))))
}
