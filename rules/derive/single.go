package derive

import "asleft/rules/base"

// Single derives installs of a sweep's shape one after the other. All its memory is made once: Derive and Reasons allocate
// nothing but what the list of reasons grows by.
type Single struct {
	sweep  *Sweep
	st     *state
	chosen []uint64
}

// Reason is a rule, wish or line of policy that had a say in a group of settings, or that refuses. Names give it words.
type Reason struct {
	Group int32 // -1 for a refusal
	Index int32 // of the constraint in its group, or of the rule
}

// Single makes a deriver of one install at a time.
func (s *Sweep) Single() *Single {
	return &Single{sweep: s, st: s.program.newState(), chosen: make([]uint64, s.planes.count)}
}

// Derive decides everything. The verdict is good until the next call.
func (x *Single) Derive(v Vector) Verdict { return x.sweep.one(x.st, v, x.chosen) }

// Reasons appends the reasons of the last verdict: for each group the constraints that narrowed what the levels above had
// left, and the rules that refuse.
func (x *Single) Reasons(dst []Reason) []Reason {
	p := x.sweep.program
	for gi, g := range p.groups {
		got := &x.st.groups[gi]
		for i := range g.constraints {
			c := &g.constraints[i]
			if p.holds(x.st, c) != base.True {
				continue
			}
			before := levelBefore(g, got, c.level)
			if c.none || (got.none&(1<<c.at) == 0 && before&^c.narrowed(got, before) != 0) {
				dst = append(dst, Reason{int32(gi), int32(i)})
			}
		}
	}
	for i := range p.rules {
		if p.rules[i].rule.Refuse != "" && x.st.truth[i] == base.True {
			dst = append(dst, Reason{-1, int32(i)})
		}
	}
	return dst
}

// Fired appends the rules that fire in the last verdict, as RULE or RULE INSTANCE.
func (x *Single) Fired(dst []string) []string {
	for i := range x.sweep.program.rules {
		if x.st.truth[i] == base.True {
			dst = append(dst, x.sweep.names[i])
		}
	}
	return dst
}

// Text says what a reason is: the setting or scope, and what was said about it.
func (s *Sweep) Text(r Reason) string {
	if r.Group < 0 {
		code := &s.program.rules[r.Index]
		return "refuses " + code.rule.Refuse + ": " + code.rule.Why
	}
	c := &s.program.groups[r.Group].constraints[r.Index]
	ref := s.program.ref(c)
	return ref.Says + ": " + ref.Why
}
