package derive

import (
	"fmt"
	"math/bits"
	"math/rand/v2"
	"slices"

	"asleft/rules/base"
)

// undecided looks among random installs of a device for settings of which the rules leave several values and not the
// factory's: then the first in the order of the device would be taken, and nobody said so.
func undecided(p *program, samples int) []Flaw {
	st := p.newState()
	r := rand.New(rand.NewPCG(1, uint64(len(p.groups))))
	seen := map[*group]bool{}
	var out []Flaw
	for range samples {
		p.random(st, r)
		if !p.mend(st, r) {
			continue
		}
		p.run(st)
		for i, g := range p.groups {
			got := &st.groups[i]
			left := got.after[base.TradeDefault]
			if seen[g] || g.virtual || got.emptied || got.clash || got.open || g.factory == 0 || left&g.factory != 0 || bits.OnesCount64(left) < 2 {
				continue
			}
			at := ambiguous(g, left, got.none)
			if at < 0 {
				continue
			}
			seen[g] = true
			f := Flaw{Kind: Undecided, Subject: g.device.Profile.ID + ": " + g.settings[at], Witness: p.written(st), Pos: g.device.Pos}
			f.Says = fmt.Sprintf("An install leaves %s at %s, and the factory's value of %s is not among them.", g.settings[at], valuesOf(g, at, left), g.device.Profile.ID)
			for k := range g.constraints {
				if c := &g.constraints[k]; c.rule >= 0 && p.holds(st, c) == base.True && !c.none {
					f.Rules = append(f.Rules, p.rules[c.rule].rule.ID)
				}
			}
			out = append(out, f)
		}
	}
	return out
}

// ambiguous is a setting with a meaning of which several values are left; -1 for none.
func ambiguous(g *group, left, none uint64) int {
	for at := range g.settings {
		if none&(1<<at) == 0 && count(g, at, left) > 1 {
			return at
		}
	}
	return -1
}

// random says something about every fact.
func (p *program) random(st *state, r *rand.Rand) {
	for v := range p.vars {
		x := &p.vars[v]
		if st.raw[v] = x.full; x.fact != nil {
			st.raw[v] = 1 << r.IntN(len(x.fact.Domain))
		}
	}
}

// mend says something else about facts that cannot go together, until they can; false when that takes too long.
func (p *program) mend(st *state, r *rand.Rand) bool {
	for range 400 {
		broken := slices.IndexFunc(p.nogoods, func(c applyCode) bool { return p.eval(c.when, c.never, st.raw) == base.True })
		if broken < 0 {
			return true
		}
		s := p.nogoods[broken].when
		v := p.tests[s.from+int32(r.IntN(int(s.to-s.from)))].v
		st.raw[v] = 1 << r.IntN(len(p.vars[v].fact.Domain))
	}
	return false
}

// written writes the facts of a state as lines.
func (p *program) written(st *state) []string {
	facts := map[string]string{}
	for v := range p.vars {
		x := &p.vars[v]
		if x.fact == nil || st.seen[v] == noMeaning {
			continue
		}
		if w := x.fact.Domain[bits.TrailingZeros64(st.raw[v])]; w != x.fact.Absent {
			facts[x.name] = w
		}
	}
	var out []string
	for _, name := range sortedNames(facts) {
		out = append(out, name+" = "+facts[name])
	}
	return out
}
