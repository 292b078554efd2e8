package derive

import (
	"math/bits"

	"asleft/rules/base"
)

const levelCount = int(base.Factory) + 1

// state is one run of a program. All of it is allocated once: a run allocates nothing.
type state struct {
	raw     []uint64 // facts as said; every word of the domain when nobody said anything
	seen    []uint64 // the same with facts that do not apply, and groups as far as they are decided
	assumed []uint64 // what safety rules see: unknown facts are the worst
	truth   []base.Truth
	sure    []base.Truth // of safety rules, without assuming anything
	groups  []decided
}

// decided is how far a group has come.
type decided struct {
	after   [levelCount]uint64 // choices left after each level
	pick    uint64             // the choice taken, one bit
	none    uint64             // settings without a meaning here, by place
	emptied bool               // a hard level left nothing
	clash   bool               // two wishes left nothing
	at      base.Level         // the level where it was emptied or clashed
	open    bool               // a missing fact can change the pick
}

func (p *program) newState() *state {
	return &state{
		raw: make([]uint64, len(p.vars)), seen: make([]uint64, len(p.vars)), assumed: make([]uint64, len(p.vars)),
		truth: make([]base.Truth, len(p.rules)), sure: make([]base.Truth, len(p.rules)),
		groups: make([]decided, len(p.groups)),
	}
}

// load puts the facts of the install into the state.
func (p *program) load(st *state) {
	for v := range p.vars {
		if x := &p.vars[v]; x.fact == nil {
			st.raw[v] = x.full
		} else {
			st.raw[v] = p.said(x)
		}
	}
}

// said are the words that a fact can have by what was said.
func (p *program) said(x *variable) uint64 {
	value, said := p.facts.Said(x.name)
	if !said {
		value = x.fact.Absent
	}
	for i, w := range x.fact.Domain {
		if w == value {
			return 1 << i
		}
	}
	return x.full &^ noMeaning
}

// run decides everything from st.raw.
func (p *program) run(st *state) {
	copy(st.seen, st.raw)
	copy(st.assumed, st.raw)
	for v := range p.vars {
		if x := &p.vars[v]; x.worst != 0 && bits.OnesCount64(st.raw[v]) > 1 {
			st.assumed[v] = x.worst
		}
	}
	for i := range p.applying {
		a := &p.applying[i]
		st.seen[a.v] = applied(p.eval(a.when, a.never, st.seen), st.seen[a.v])
		st.assumed[a.v] = applied(p.eval(a.when, a.never, st.assumed), st.assumed[a.v])
	}
	next := 0
	for stage, g := range p.order {
		next = p.fire(st, next, int32(stage))
		p.decide(st, g)
	}
	p.fire(st, next, int32(len(p.order)))
}

// applied is a fact after its condition was looked at.
func applied(t base.Truth, have uint64) uint64 {
	switch t {
	case base.True:
		return have
	case base.False:
		return noMeaning
	}
	return have | noMeaning
}

// fire evaluates the rules whose groups are decided, from the one at next on.
func (p *program) fire(st *state, next int, stage int32) int {
	for ; next < len(p.rules) && p.rules[next].stage <= stage; next++ {
		r := &p.rules[next]
		if r.rule.Level == base.Safety {
			st.truth[next] = p.eval(r.when, r.never, st.assumed)
			st.sure[next] = p.eval(r.when, r.never, st.seen)
			continue
		}
		st.truth[next] = p.eval(r.when, r.never, st.seen)
	}
	return next
}

// eval gives the truth of a condition: the least of its clauses, each the greatest of its tests.
func (p *program) eval(s span, never bool, vec []uint64) base.Truth {
	if never {
		return base.False
	}
	all, clause := base.True, base.False
	for i := s.from; i < s.to; i++ {
		t := &p.tests[i]
		have := vec[t.v]
		switch {
		case have&^t.mask == 0:
			clause = base.True
		case have&t.mask != 0:
			clause = max(clause, base.Unknown)
		}
		if !t.last {
			continue
		}
		if clause == base.False {
			return base.False
		}
		all, clause = min(all, clause), base.False
	}
	return all
}

// decide walks the levels of one group downward.
func (p *program) decide(st *state, index int32) {
	g, d := p.groups[index], &st.groups[index]
	*d = decided{}
	for i := range g.constraints {
		if c := &g.constraints[i]; c.none && p.holds(st, c) == base.True {
			d.none |= 1 << c.at
		}
	}
	left := g.full
	i := 0
	for level := base.Safety; int(level) < levelCount; level++ {
		from := i
		for i < len(g.constraints) && g.constraints[i].level == level {
			i++
		}
		if !d.emptied {
			left = p.level(st, g, d, left, from, i, level)
		}
		d.after[level] = left
	}
	d.pick = left & -left
	if left&g.factory != 0 {
		d.pick = g.factory
	}
	d.open = p.mayChange(st, g, d)
	possible := d.pick
	if d.open || d.emptied || d.clash {
		possible = d.after[base.PolicyLimit]
	}
	if p.mayBeNone(st, g) {
		d.open, possible = true, g.full // then none of its constraints would count
	}
	st.seen[g.v], st.assumed[g.v] = possible, possible
}

// level applies the constraints of one level: first all masks together, then preferences one by one.
func (p *program) level(st *state, g *group, d *decided, left uint64, from, to int, level base.Level) uint64 {
	all := left
	for i := from; i < to; i++ {
		c := &g.constraints[i]
		if !c.mere() && p.counts(st, d, c) && (level.Hard() || left&c.mask != 0) {
			all &= c.mask
		}
	}
	switch {
	case all != 0:
		left = all
	case level.Hard():
		d.emptied, d.at = true, level
		return left
	default:
		d.clash = level == base.Wish
		if d.clash {
			d.at = level
			break
		}
		for i := from; i < to; i++ {
			if c := &g.constraints[i]; !c.mere() && p.counts(st, d, c) && left&c.mask != 0 {
				left &= c.mask
			}
		}
	}
	for i := from; i < to; i++ {
		c := &g.constraints[i]
		if c.prefer == nil || !p.counts(st, d, c) {
			continue
		}
		left &= firstLeft(c.prefer, left)
	}
	return left
}

// mere reports that the constraint has no mask of its own.
func (c *constraint) mere() bool { return c.none || c.prefer != nil }

// firstLeft is the first preference that leaves something; everything when none does.
func firstLeft(prefer []uint64, left uint64) uint64 {
	for _, m := range prefer {
		if left&m != 0 {
			return m
		}
	}
	return ^uint64(0)
}

// counts reports whether a constraint holds and its setting has a meaning.
func (p *program) counts(st *state, d *decided, c *constraint) bool {
	return d.none&(1<<c.at) == 0 && p.holds(st, c) == base.True
}

// holds is the truth of what stands behind a constraint.
func (p *program) holds(st *state, c *constraint) base.Truth {
	if c.rule < 0 {
		return base.True
	}
	return st.truth[c.rule]
}

// mayBeNone reports whether it is not known if a setting of the group has a meaning.
func (p *program) mayBeNone(st *state, g *group) bool {
	for i := range g.constraints {
		if c := &g.constraints[i]; c.none && p.holds(st, c) == base.Unknown {
			return true
		}
	}
	return false
}

// mayChange reports whether a rule of which nobody knows if it fires could change the pick. A constraint that
// lets the pick pass changes nothing at any level: the pick is in it, so whatever was applied later is still
// applied and whatever was skipped is still skipped. One that bars the pick changes it, unless a higher level
// has left it no room.
func (p *program) mayChange(st *state, g *group, d *decided) bool {
	before := g.full
	for i := range g.constraints {
		c := &g.constraints[i]
		if i > 0 && g.constraints[i-1].level != c.level {
			before = d.after[c.level-1]
		} else if i == 0 && c.level > 0 {
			before = d.after[c.level-1]
		}
		if p.holds(st, c) != base.Unknown || d.none&(1<<c.at) != 0 || c.none {
			continue
		}
		mask := c.mask
		if c.prefer != nil {
			mask = firstLeft(c.prefer, d.after[c.level])
		}
		if d.pick&mask == 0 && (c.level.Hard() || before&mask != 0) {
			return true
		}
	}
	return false
}
