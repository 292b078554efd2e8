package derive

import (
	"encoding/binary"
	"math/bits"

	"asleft/rules/base"
)

// planes is a state of sixty-four installs. A plane is a word with one bit for each install.
type planes struct {
	p       *program
	facts   []int32 // variables that are facts, in the order of vectors
	at      []int32 // first plane of each variable; a fact has one for each word and one for "no meaning"
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

func newPlanes(p *program) planes {
	x := planes{p: p, at: make([]int32, len(p.vars)), truth: make([]sliced, len(p.rules)), sure: make([]sliced, len(p.rules))}
	total, widest := int32(0), 0
	for v := range p.vars {
		x.at[v] = total
		if x.p.vars[v].fact == nil {
			if x.count == 0 {
				x.first = total
			}
			x.count += x.width(v)
		} else {
			x.facts = append(x.facts, int32(v))
		}
		total += int32(x.width(v))
		widest = max(widest, x.width(v))
	}
	x.seen, x.assumed = make([]uint64, total), make([]uint64, total)
	x.left, x.none = make([]uint64, widest), make([]uint64, maxSettings)
	x.collect()
	for l := range x.after {
		x.after[l] = make([]uint64, widest)
	}
	x.broken, x.unsure = make([]uint64, len(p.groups)), make([]uint64, len(p.groups))
	return x
}

// width is the number of planes of a variable.
func (x *planes) width(v int) int {
	n := bits.OnesCount64(x.p.vars[v].full)
	return n
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
		at := x.at[v] + int32(plane(m&-m, x.width(int(v))))
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

// plane is the number of the plane of a value bit: "no meaning" stands last.
func plane(bit uint64, width int) int {
	if bit == noMeaning {
		return width - 1
	}
	return bits.TrailingZeros64(bit)
}

// load fills the planes of facts from vectors, eight facts of eight installs at a time.
func (x *planes) load(vectors []Vector) {
	clear(x.seen)
	x.live = everywhere >> (64 - len(vectors))
	for from := 0; from < len(vectors); from += 8 {
		rows := vectors[from:min(from+8, len(vectors))]
		for f := 0; f < len(x.facts); f += 8 {
			var bytes [8]uint64
			for i, row := range rows {
				bytes[i] = binary.LittleEndian.Uint64(row[f:])
			}
			transpose(&bytes)
			for i, v := range x.facts[f:min(f+8, len(x.facts))] {
				if x.from[v] == x.from[v+1] {
					continue // nothing asks about it
				}
				x.spread(v, bytes[i], uint(from), byte(1<<len(rows)-1))
			}
		}
	}
	copy(x.assumed, x.seen)
	for v := range x.p.vars {
		if x.p.vars[v].worst != 0 {
			x.assume(v)
		}
	}
}

// spread puts the words of one fact in eight installs into its planes.
func (x *planes) spread(v int32, words uint64, from uint, rows byte) {
	mine := x.seen[x.at[v]:][:len(x.p.vars[v].fact.Domain)]
	unknown := uint64(equal(words, 0)&rows) << from
	for w := range mine {
		mine[w] |= unknown | uint64(equal(words, byte(w+1)))<<from
	}
}

// equal tells which of eight bytes equal b, one bit each.
func equal(bytes uint64, b byte) byte {
	const ones, low = 0x0101010101010101, 0x7f7f7f7f7f7f7f7f
	t := bytes ^ uint64(b)*ones
	zero := ^((t&low + low) | t | low) // the top bit of each byte that is 0
	return byte((zero >> 7) * 0x0102040810204080 >> 56)
}

// transpose turns eight rows of eight bytes into columns: by halves, quarters and eighths.
func transpose(m *[8]uint64) {
	for _, s := range []struct {
		step  int
		shift uint
		mask  uint64
	}{{4, 32, 0x00000000ffffffff}, {2, 16, 0x0000ffff0000ffff}, {1, 8, 0x00ff00ff00ff00ff}} {
		for i := range 8 {
			if i&s.step != 0 {
				continue
			}
			a, b := m[i], m[i+s.step]
			m[i] = a&s.mask | (b&s.mask)<<s.shift
			m[i+s.step] = (a>>s.shift)&s.mask | b&^s.mask
		}
	}
}

// assume leaves only the worst where a fact is not known.
func (x *planes) assume(v int) {
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
	mine := vec[x.at[a.v]:][:x.width(int(a.v))]
	for w := range len(mine) - 1 {
		mine[w] &= t.may
	}
	mine[len(mine)-1] = ^t.is & x.live
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
