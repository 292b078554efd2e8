package derive

import (
	"fmt"
	"math/bits"
	"strings"

	"asleft/config/setting"
	"asleft/rules/base"
)

// Sweep derives many installs of one shape: the same devices, the same names of conductors, openings, functions and so
// on, the same wishes, policy and numbers. What differs are the facts. Sixty-four installs are derived at once, one in each
// bit of a machine word: for every word of a fact's domain there is a word of sixty-four bits that tells in which installs
// the fact can still be that, and the same for the choices of groups. The levels are walked exactly as for one install, with
// "and", "or" and "not" in the place of branches; a test holds both ways against each other.
type Sweep struct {
	program *program
	planes  planes
	names   []string // of the rules, with their instances
}

// Vector is the canonical fact vector of an install: a bit for each word of each fact of the shape, in the order of Facts and
// of the words in their domains; it is set when the fact can still be that. One bit of a fact is set when it is known, all when
// it is not. That is all that a derivation needs to know of an install of the shape, so a record can keep it in place of the
// job.
type Vector []uint64

// Verdict is what an install of a sweep comes to, without reasons: Derive gives them.
type Verdict struct {
	Refused bool // remote start is refused for sure, or something contradicts itself
	Open    bool // a missing fact can change a setting or a refusal of remote start

	chosen []uint64 // planes of the choices of all groups, shared by the installs of a word
	bit    uint64
}

// NewSweep compiles the shape of an install.
func NewSweep(in Input) (*Sweep, error) {
	d, err := prepare(in)
	if err != nil {
		return nil, err
	}
	s := &Sweep{program: d.program, planes: newPlanes(d.program)}
	for i := range d.program.rules {
		s.names = append(s.names, strings.TrimSpace(d.program.rules[i].rule.ID+" "+d.program.rules[i].instance))
	}
	return s, nil
}

// Facts are the names of the facts of the shape, in the order of vectors.
func (s *Sweep) Facts() []string {
	var out []string
	for _, x := range s.program.vars {
		if x.fact != nil {
			out = append(out, x.name)
		}
	}
	return out
}

// Vector is the fact vector of an install of this shape. The error names the first fact that makes the shape another: an
// instance or device that this shape does not have.
func (s *Sweep) Vector(in Input) (Vector, error) {
	other, err := prepare(in)
	if err != nil {
		return nil, err
	}
	out := make(Vector, s.planes.words)
	for _, v := range s.planes.facts {
		x := &s.program.vars[v]
		if _, ok := other.program.byName[x.name]; !ok {
			return nil, fmt.Errorf("the install is of another shape: it has no fact %s", x.name)
		}
		out.put(int(s.planes.at[v]), len(x.fact.Domain), other.program.said(x))
	}
	if len(other.program.groups) != len(s.program.groups) {
		return nil, fmt.Errorf("the install is of another shape: its devices have other settings")
	}
	return out, nil
}

// put writes n bits at a place.
func (v Vector) put(at, n int, value uint64) {
	mask := bitsBelow(n)
	v[at/64] = v[at/64]&^(mask<<(at%64)) | value<<(at%64)
	if at%64+n > 64 {
		high := 64 - at%64
		v[at/64+1] = v[at/64+1]&^(mask>>high) | value>>high
	}
}

// get reads n bits at a place.
func (v Vector) get(at, n int) uint64 {
	value := v[at/64] >> (at % 64)
	if at%64+n > 64 {
		value |= v[at/64+1] << (64 - at%64)
	}
	return value & bitsBelow(n)
}

// Value is the value that a verdict gives to a setting; "" when it has none, because nothing is left or a missing fact
// decides.
func (s *Sweep) Value(v Verdict, key setting.Key) setting.Value {
	for _, i := range s.program.bySet[key.Setting] {
		if g := s.program.groups[i]; g.device.Name == key.Device {
			if c := s.choice(v, g); c >= 0 {
				return g.choices[c].values[g.place(key.Setting)]
			}
		}
	}
	return ""
}

// choice is the choice that a verdict takes in a group; -1 for none.
func (s *Sweep) choice(v Verdict, g *group) int {
	for c := range g.choices {
		if v.chosen[int(s.planes.at[g.v]-s.planes.first)+c]&v.bit != 0 {
			return c
		}
	}
	return -1
}

// Verdicts derives the installs, sixty-four at a time. Every vector must be of this shape.
func (s *Sweep) Verdicts(vectors []Vector) []Verdict {
	out := make([]Verdict, len(vectors))
	for from := 0; from < len(vectors); from += 64 {
		n := min(64, len(vectors)-from)
		s.planes.load(vectors[from : from+n])
		s.planes.run()
		chosen := s.planes.chosen()
		for i := range n {
			bit := uint64(1) << i
			out[from+i] = Verdict{Refused: s.planes.refused&bit != 0, Open: s.planes.open&bit != 0, chosen: chosen, bit: bit}
		}
	}
	return out
}

// one uses a state again and allocates nothing.
func (s *Sweep) one(st *state, vector Vector, chosen []uint64) Verdict {
	for v := range s.program.vars {
		if x := &s.program.vars[v]; x.fact != nil {
			st.raw[v] = vector.get(int(s.planes.at[v]), len(x.fact.Domain))
		} else {
			st.raw[v] = x.full
		}
	}
	s.program.run(st)
	out := Verdict{chosen: chosen, bit: 1}
	clear(chosen)
	for g := range st.groups {
		got := &st.groups[g]
		out.Refused = out.Refused || got.emptied || got.clash
		out.Open = out.Open || got.open
		if !got.open && !got.emptied && !got.clash {
			chosen[int(s.planes.at[s.program.groups[g].v]-s.planes.first)+bits.TrailingZeros64(got.pick)] = 1
		}
	}
	for r := range s.program.rules {
		code := &s.program.rules[r]
		if code.rule.Refuse != "remote-start" && code.rule.Refuse != "job" {
			continue
		}
		sure := st.truth[r]
		if code.rule.Level == base.Safety {
			sure = st.sure[r]
		}
		out.Refused = out.Refused || sure == base.True
		out.Open = out.Open || sure == base.Unknown
	}
	return out
}
