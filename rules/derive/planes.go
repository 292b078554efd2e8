package derive

import (
	"math/bits"

	"asleft/rules/base"
)

// planes is a state of sixty-four installs. A plane is a word with one bit for each install.
type planes struct {
	p       *program
	facts   []int32 // variables that are facts, in the order of vectors
	words   int     // machine words of a vector
	at      []int32 // first plane of each variable: one for each word of a fact, one for each choice of a group
	nothing []int32 // plane of a fact for "no meaning", -1 where it always has one
	seen    []uint64
	assumed []uint64
	atoms   []atom   // the different tests of the program, those of a variable together
	from    []int32  // first atom of each variable, and one more
	which   []int32  // atom of each test of the program
	isSeen  []sliced // of each atom
	isWorst []sliced // the same as safety sees it
	idle    []bool   // rules that decide no setting and refuse nothing that a verdict tells
	truth   []sliced // of each rule, as its level sees it
	sure    []sliced
	left    []uint64 // choices of the group being decided
	none    []uint64 // settings of that group: where they have no meaning
	after   [levelCount][]uint64
	first   int32  // first plane of a group: groups stand side by side
	count   int    // planes of all groups
	live    uint64 // installs that are there
	refused uint64
	open    uint64
	broken  []uint64 // by group: nothing left
	unsure  []uint64 // by group: open
}

// sliced is a truth value in every install: true where Is is set, false where May is not.
type sliced struct{ is, may uint64 }

const everywhere = ^uint64(0)

// atom is a test that many rules may share: it is evaluated once for all of them.
type atom struct {
	v       int32
	mask    uint64
	in, out []int32 // planes inside and outside the mask
}

// newPlanes lays the planes out: the words of all facts first, in the order of vectors, so that loading is transposing.
func newPlanes(p *program) planes {
	x := planes{p: p, at: make([]int32, len(p.vars)), nothing: make([]int32, len(p.vars)), truth: make([]sliced, len(p.rules)), sure: make([]sliced, len(p.rules))}
	total, widest := int32(0), 0
	for v := range p.vars {
		if f := p.vars[v].fact; f != nil {
			x.facts = append(x.facts, int32(v))
			x.at[v] = total
			total += int32(len(f.Domain))
		}
	}
	x.words = (int(total) + 63) / 64
	total = int32(64 * x.words)
	for v := range p.vars {
		x.nothing[v] = -1
		if f := p.vars[v].fact; f != nil && len(f.Applies) > 0 {
			x.nothing[v] = total
			total++
		}
	}
	x.first = total
	for _, g := range p.groups {
		x.at[g.v] = total
		total += int32(len(g.choices))
		widest = max(widest, len(g.choices))
	}
	x.count = int(total - x.first)
	x.seen, x.assumed = make([]uint64, total), make([]uint64, total)
	x.left, x.none = make([]uint64, widest), make([]uint64, maxSettings)
	x.collect()
	for l := range x.after {
		x.after[l] = make([]uint64, widest)
	}
	x.broken, x.unsure = make([]uint64, len(p.groups)), make([]uint64, len(p.groups))
	return x
}

// busy finds the rules that matter to a verdict, and the tests that they and the conditions of facts make.
func (x *planes) busy() []bool {
	x.idle = make([]bool, len(x.p.rules))
	needed := make([]bool, len(x.p.tests))
	need := func(s span) {
		for i := s.from; i < s.to; i++ {
			needed[i] = true
		}
	}
	decides := make([]bool, len(x.p.rules))
	for _, g := range x.p.groups {
		for i := range g.constraints {
			if r := g.constraints[i].rule; r >= 0 {
				decides[r] = true
			}
		}
	}
	for i := range x.p.rules {
		r := &x.p.rules[i]
		x.idle[i] = !decides[i] && r.rule.Refuse != "remote-start" && r.rule.Refuse != "job"
		if !x.idle[i] {
			need(r.when)
		}
	}
	for i := range x.p.applying {
		need(x.p.applying[i].when)
	}
	return needed
}

// collect finds the different tests.
func (x *planes) collect() {
	needed := x.busy()
	x.which = make([]int32, len(x.p.tests))
	byVariable := make([][]int, len(x.p.vars))
	for i, t := range x.p.tests {
		if needed[i] {
			byVariable[t.v] = append(byVariable[t.v], i)
		}
	}
	for v, tests := range byVariable {
		x.from = append(x.from, int32(len(x.atoms)))
		known := map[uint64]int32{}
		for _, i := range tests {
			mask := x.p.tests[i].mask
			at, ok := known[mask]
			if !ok {
				at = int32(len(x.atoms))
				known[mask] = at
				x.atoms = append(x.atoms, x.atom(int32(v), mask))
			}
			x.which[i] = at
		}
	}
	x.from = append(x.from, int32(len(x.atoms)))
	x.isSeen, x.isWorst = make([]sliced, len(x.atoms)), make([]sliced, len(x.atoms))
}

func (x *planes) atom(v int32, mask uint64) atom {
	a := atom{v: v, mask: mask}
	for m := x.p.vars[v].full; m != 0; m &= m - 1 {
		at := x.at[v] + int32(bits.TrailingZeros64(m))
		if m&-m == noMeaning {
			if at = x.nothing[v]; at < 0 {
				continue
			}
		}
		if mask&(m&-m) != 0 {
			a.in = append(a.in, at)
		} else {
			a.out = append(a.out, at)
		}
	}
	return a
}

// look evaluates the atoms of a variable.
func (x *planes) look(v int32, vec []uint64, into []sliced) {
	for i := x.from[v]; i < x.from[v+1]; i++ {
		a := &x.atoms[i]
		in, out := uint64(0), uint64(0)
		for _, at := range a.in {
			in |= vec[at]
		}
		for _, at := range a.out {
			out |= vec[at]
		}
		into[i] = sliced{is: x.live &^ out, may: in}
	}
}

// load fills the planes of facts from vectors: sixty-four installs by sixty-four words at a time.
func (x *planes) load(vectors []Vector) {
	clear(x.seen)
	x.live = everywhere >> (64 - len(vectors))
	for w := range x.words {
		square := (*[64]uint64)(x.seen[64*w:])
		for i, v := range vectors {
			square[i] = v[w]
		}
		transpose(square)
	}
	copy(x.assumed, x.seen)
	for _, v := range x.facts {
		if x.p.vars[v].worst != 0 {
			x.assume(v)
		}
	}
}

// transpose turns a square of bits round: bit i of word k becomes bit k of word i (Warren, Hacker's Delight, section 7-3;
// from memory).
func transpose(a *[64]uint64) {
	mask := uint64(0x00000000ffffffff)
	for j := 32; j != 0; j >>= 1 {
		for k := 0; k < 64; k = ((k | j) + 1) &^ j {
			t := (a[k]>>j ^ a[k|j]) & mask
			a[k] ^= t << j
			a[k|j] ^= t
		}
		mask ^= mask << (j >> 1)
	}
}

// assume leaves only the worst where a fact is not known.
func (x *planes) assume(v int32) {
	mine := x.assumed[x.at[v]:][:len(x.p.vars[v].fact.Domain)]
	once, twice := uint64(0), uint64(0)
	for _, w := range mine {
		twice |= once & w
		once |= w
	}
	for w := range mine {
		mine[w] &^= twice
	}
	mine[bits.TrailingZeros64(x.p.vars[v].worst)] |= twice
}

// run decides everything in all installs.
func (x *planes) run() {
	x.refused, x.open = 0, 0
	for _, v := range x.facts {
		x.look(v, x.seen, x.isSeen)
	}
	copy(x.isWorst, x.isSeen)
	for _, v := range x.facts {
		if x.p.vars[v].worst != 0 {
			x.look(v, x.assumed, x.isWorst)
		}
	}
	for i := range x.p.applying {
		a := &x.p.applying[i]
		x.apply(a, x.seen, x.isSeen)
		x.apply(a, x.assumed, x.isWorst)
	}
	next := 0
	for stage, g := range x.p.order {
		next = x.fire(next, int32(stage))
		x.decide(g)
	}
	x.fire(next, int32(len(x.p.order)))
}

func (x *planes) apply(a *applyCode, vec []uint64, atoms []sliced) {
	t := x.eval(a.when, a.never, atoms)
	mine := vec[x.at[a.v]:][:len(x.p.vars[a.v].fact.Domain)]
	for w := range mine {
		mine[w] &= t.may
	}
	vec[x.nothing[a.v]] = ^t.is & x.live
	x.look(a.v, vec, atoms)
}

func (x *planes) fire(next int, stage int32) int {
	for ; next < len(x.p.rules) && x.p.rules[next].stage <= stage; next++ {
		r := &x.p.rules[next]
		if x.idle[next] {
			continue
		}
		atoms := x.isSeen
		if r.rule.Level == base.Safety {
			x.sure[next] = x.eval(r.when, r.never, x.isSeen)
			atoms = x.isWorst
		}
		x.truth[next] = x.eval(r.when, r.never, atoms)
		if r.rule.Refuse == "remote-start" || r.rule.Refuse == "job" {
			sure := x.truth[next]
			if r.rule.Level == base.Safety {
				sure = x.sure[next]
			}
			x.refused |= sure.is
			x.open |= sure.may &^ sure.is
		}
	}
	return next
}

// eval is the truth of a condition in every install.
func (x *planes) eval(s span, never bool, atoms []sliced) sliced {
	if never {
		return sliced{}
	}
	all, clause := sliced{x.live, x.live}, sliced{}
	for i := s.from; i < s.to; i++ {
		t := &atoms[x.which[i]]
		clause.is |= t.is
		clause.may |= t.may
		if !x.p.tests[i].last {
			continue
		}
		all.is &= clause.is
		all.may &= clause.may
		if all.may == 0 {
			return sliced{}
		}
		clause = sliced{}
	}
	return all
}

// chosen copies the choices of all groups; where nothing is left or a missing fact decides there is none.
func (x *planes) chosen() []uint64 {
	out := make([]uint64, x.count)
	copy(out, x.seen[x.first:])
	for g, mine := range x.p.groups {
		if vague := x.broken[g] | x.unsure[g]; vague != 0 {
			at := int(x.at[mine.v] - x.first)
			for c := range mine.choices {
				out[at+c] &^= vague
			}
		}
	}
	return out
}
