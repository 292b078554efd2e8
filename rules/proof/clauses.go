package proof

import (
	"math/bits"

	"asleft/rules/internal/search"
)

// booleans translates a problem over domains into one over yes and no: each value of a variable is a proposition of its own, exactly one of
// them holds, and a literal is the alternatives of its values, or "not" the one value that it leaves out. A variable of two values is one
// proposition.
type booleans struct {
	base    []int32 // first proposition of each variable
	domains []uint64
	count   int32
	clauses [][]int32 // literals: 2*proposition, and 1 more for "not"
}

// variables takes in more variables.
func (b *booleans) variables(domains []uint64) {
	for _, d := range domains {
		v, n := len(b.domains), bits.OnesCount64(d)
		b.domains = append(b.domains, d)
		b.base = append(b.base, b.count)
		if n == 2 {
			b.count++
			continue
		}
		b.count += int32(n)
		b.exactlyOne(v, n)
	}
}

// take takes in a clause.
func (b *booleans) take(c search.Clause) {
	if out, holds := b.clause(c); !holds {
		b.clauses = append(b.clauses, out)
	}
}

func (b *booleans) exactlyOne(v, n int) {
	var one []int32
	for i := range int32(n) {
		one = append(one, 2*(b.base[v]+i))
		for j := range i {
			b.clauses = append(b.clauses, []int32{2*(b.base[v]+i) + 1, 2*(b.base[v]+j) + 1})
		}
	}
	b.clauses = append(b.clauses, one)
}

// clause gives the literals of a clause; true when it always holds.
func (b *booleans) clause(c search.Clause) (out []int32, holds bool) {
	seen := map[int32]bool{}
	add := func(l int32) {
		if !seen[l] {
			seen[l] = true
			out = append(out, l)
			holds = holds || seen[l^1]
		}
	}
	for _, l := range c {
		d := b.domains[l.Var]
		in, outside := d&l.Mask, d&^l.Mask
		switch {
		case outside == 0:
			return nil, true
		case in == 0:
		case bits.OnesCount64(d) > 2 && bits.OnesCount64(outside) == 1:
			add(b.is(l.Var, outside) ^ 1)
		default:
			for m := in; m != 0; m &= m - 1 {
				add(b.is(l.Var, m&-m))
			}
		}
	}
	return out, holds
}

// is is the literal that a variable has a value.
func (b *booleans) is(v int, value uint64) int32 {
	d := b.domains[v]
	at := int32(bits.OnesCount64(d & (value - 1)))
	if bits.OnesCount64(d) == 2 {
		return 2*b.base[v] + 1 - at // the higher value is "yes"
	}
	return 2 * (b.base[v] + at)
}

// values reads an answer back.
func (b *booleans) values(yes []int8) []uint64 {
	out := make([]uint64, len(b.domains))
	for v, d := range b.domains {
		for m := d; m != 0; m &= m - 1 {
			l := b.is(v, m&-m)
			if yes[l>>1] == 1-2*int8(l&1) {
				out[v] = m & -m
				break
			}
		}
	}
	return out
}
