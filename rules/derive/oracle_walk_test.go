package derive

import (
	"fmt"
	"math/bits"
	"strings"

	"asleft/rules/base"
)

const preamble = `view(s). view(a).
raw(X,I,F,V) :- view(X), said(I,F,V).
raw(s,I,F,V) :- unk(I,F), dom(F,V).
raw(a,I,F,V) :- unk(I,F), worst(F,V).
raw(a,I,F,V) :- unk(I,F), dom(F,V), not worst(F,_).
#defined said/3. #defined unk/2. #defined worst/2.
#show pick/3. #show open/2. #show dead/2. #show clash/2. #show fires/2. #show perhaps/2.
`

// writeProgram is the whole program but for what is said about the installs.
func writeProgram(p *program, in Input) *asp {
	a := &asp{p: p, facts: map[string]int{}}
	a.say("%s", preamble)
	conditions := map[string]int{}
	n := 0
	for _, r := range p.facts.Base.Rules {
		for _, instance := range p.instances(r.Each) {
			node := a.condition(r.When, instance)
			conditions[r.ID+" "+instance] = node
			if r.Refuse != "" {
				view := map[bool]string{true: "a", false: "s"}[r.Level == base.Safety]
				a.say("fires(%d,I) :- t_%d(%s,I). perhaps(%d,I) :- m_%d(%s,I).", n, node, view, n, node, view)
			}
			n++
		}
	}
	for i, g := range p.groups {
		a.group(i, g, a.gather(g, in, conditions))
	}
	return a
}

// walker writes the steps of one group.
type walker struct {
	*asp
	i    int // the group
	g    *group
	step int
}

func (w *walker) left(step, choice int) string {
	return fmt.Sprintf("l_%d_%d(I,%d)", w.i, step, choice)
}

// group writes how a group is decided.
func (a *asp) group(i int, g *group, list []says) {
	w := &walker{asp: a, i: i, g: g}
	a.say("#defined none_%d/2. #defined nmaybe_%d/1. #defined clash_%d/1. #defined open_%d/1. #defined dead_%d_0/1.", i, i, i, i, i)
	for c := range g.choices {
		a.say("l_%d_0(I,%d) :- i(I).", i, c)
	}
	for k, s := range list {
		view := map[bool]string{true: "a", false: "s"}[s.safety]
		a.say("#defined f_%d_%d/1. #defined maybe_%d_%d/1.", i, k, i, k)
		if s.node == 0 {
			a.say("f_%d_%d(I) :- i(I).", i, k)
		} else {
			a.say("f_%d_%d(I) :- t_%d(%s,I). maybe_%d_%d(I) :- m_%d(%s,I), not t_%d(%s,I).", i, k, s.node, view, i, k, s.node, view, s.node, view)
		}
		if s.none {
			a.say("none_%d(I,%d) :- f_%d_%d(I). nmaybe_%d(I) :- maybe_%d_%d(I).", i, s.at, i, k, i, i, k)
		}
		a.say("c_%d_%d(I) :- f_%d_%d(I), not none_%d(I,%d).", i, k, i, k, i, s.at)
	}
	after := map[base.Level]int{}
	at := 0
	for level := base.Safety; level <= base.Factory; level++ {
		from := at
		for at < len(list) && list[at].level == level {
			at++
		}
		w.level(list, from, at, level)
		after[level] = w.step
	}
	w.pick()
	w.openings(list, after)
	w.possible(after[base.PolicyLimit])
}

// level writes one level: hard levels and wishes jointly, defaults one by one, preferences last.
func (w *walker) level(list []says, from, to int, level base.Level) {
	joint := level.Hard() || level == base.Wish
	var masks []int
	for k := from; k < to; k++ {
		if list[k].mask != nil {
			masks = append(masks, k)
		}
	}
	if joint && len(masks) > 0 {
		w.together(list, masks, level)
	}
	for k := from; k < to; k++ {
		switch {
		case list[k].mask != nil && !joint:
			w.first(k, [][]bool{list[k].mask})
		case list[k].prefer != nil:
			w.first(k, list[k].prefer)
		}
	}
}

func (w *walker) together(list []says, masks []int, level base.Level) {
	now, next := w.step, w.step+1
	w.step = next
	w.say("#defined b_%d_%d/2.", w.i, next)
	for _, k := range masks {
		barred := fmt.Sprintf("c_%d_%d(I)", w.i, k)
		if level == base.Wish {
			w.say("#defined fits_%d_%d/1.", w.i, k)
			for c, in := range list[k].mask {
				if in {
					w.say("fits_%d_%d(I) :- c_%d_%d(I), %s.", w.i, k, w.i, k, w.left(now, c))
				}
			}
			barred = fmt.Sprintf("fits_%d_%d(I)", w.i, k)
		}
		for c, in := range list[k].mask {
			if !in {
				w.say("b_%d_%d(I,%d) :- %s.", w.i, next, c, barred)
			}
		}
	}
	w.say("r_%d_%d(I,C) :- l_%d_%d(I,C), not b_%d_%d(I,C).", w.i, next, w.i, now, w.i, next)
	w.say("some_%d_%d(I) :- r_%d_%d(I,_).", w.i, next, w.i, next)
	w.say("dead_%d_%d(I) :- dead_%d_%d(I).", w.i, next, w.i, now)
	if level == base.Wish {
		w.say("clash_%d(I) :- i(I), not some_%d_%d(I), not dead_%d_%d(I).", w.i, w.i, next, w.i, next)
	} else {
		w.say("dead_%d_%d(I) :- i(I), not some_%d_%d(I).", w.i, next, w.i, next)
	}
	w.say("l_%d_%d(I,C) :- r_%d_%d(I,C), not dead_%d_%d(I).", w.i, next, w.i, next, w.i, next)
	w.say("l_%d_%d(I,C) :- l_%d_%d(I,C), dead_%d_%d(I).", w.i, next, w.i, now, w.i, next)
	w.say("l_%d_%d(I,C) :- l_%d_%d(I,C), not some_%d_%d(I).", w.i, next, w.i, now, w.i, next)
}

// first writes a step that takes the first of some sets that leaves anything.
func (w *walker) first(k int, sets [][]bool) {
	now, next := w.step, w.step+1
	w.step = next
	w.say("dead_%d_%d(I) :- dead_%d_%d(I).", w.i, next, w.i, now)
	var hits []string
	for j, set := range sets {
		hit := fmt.Sprintf("h_%d_%d_%d_%d(I)", w.i, next, k, j)
		w.say("#defined %s/1.", strings.TrimSuffix(hit, "(I)"))
		body := fmt.Sprintf("c_%d_%d(I), not dead_%d_%d(I)", w.i, k, w.i, next)
		for _, h := range hits {
			body += ", not " + h
		}
		for c, in := range set {
			if in {
				w.say("%s :- %s, %s.", hit, body, w.left(now, c))
				w.say("%s :- %s, %s.", w.left(next, c), hit, w.left(now, c))
			}
		}
		hits = append(hits, hit)
	}
	body := fmt.Sprintf("l_%d_%d(I,C)", w.i, now)
	for _, h := range hits {
		body += ", not " + h
	}
	w.say("l_%d_%d(I,C) :- %s.", w.i, next, body)
}

// pick writes which choice is taken.
func (w *walker) pick() {
	factory := -1
	if w.g.factory != 0 {
		factory = bits.TrailingZeros64(w.g.factory)
		w.say("pick(%d,I,%d) :- %s.", w.i, factory, w.left(w.step, factory))
	}
	lower := ""
	if factory >= 0 {
		lower = ", not " + w.left(w.step, factory)
	}
	for c := range w.g.choices {
		if c != factory {
			w.say("pick(%d,I,%d) :- %s%s.", w.i, c, w.left(w.step, c), lower)
			lower += ", not " + w.left(w.step, c)
		}
	}
	w.say("dead(%d,I) :- dead_%d_%d(I). clash(%d,I) :- clash_%d(I). open(%d,I) :- open_%d(I).", w.i, w.i, w.step, w.i, w.i, w.i, w.i)
}

// openings writes when a missing fact can change the pick.
func (w *walker) openings(list []says, after map[base.Level]int) {
	w.say("open_%d(I) :- nmaybe_%d(I).", w.i, w.i)
	for k, s := range list {
		head := fmt.Sprintf("open_%d(I) :- maybe_%d_%d(I), not none_%d(I,%d)", w.i, w.i, k, w.i, s.at)
		switch {
		case s.mask != nil:
			room := []string{""}
			if !s.level.Hard() {
				room = nil
				for c, in := range s.mask {
					if in {
						room = append(room, ", "+w.left(after[s.level-1], c))
					}
				}
			}
			for c, in := range s.mask {
				for _, r := range room {
					if !in {
						w.say("%s, pick(%d,I,%d)%s.", head, w.i, c, r)
					}
				}
			}
		case s.prefer != nil:
			earlier := ""
			for j, set := range s.prefer {
				has := fmt.Sprintf("fl_%d_%d_%d(I)", w.i, k, j)
				w.say("#defined %s/1.", strings.TrimSuffix(has, "(I)"))
				for c, in := range set {
					if in {
						w.say("%s :- %s%s.", has, w.left(after[s.level], c), earlier)
					}
				}
				for c, in := range set {
					if !in {
						w.say("%s, %s, pick(%d,I,%d).", head, has, w.i, c)
					}
				}
				earlier += ", not " + has
			}
		}
	}
}

// possible writes what sentences about the settings of the group see.
func (w *walker) possible(policy int) {
	i := w.i
	w.say("vague_%d(I) :- open_%d(I). vague_%d(I) :- clash_%d(I). vague_%d(I) :- dead_%d_%d(I).", i, i, i, i, i, i, w.step)
	w.say("posg_%d(X,I,C) :- view(X), pick(%d,I,C), not vague_%d(I).", i, i, i)
	w.say("posg_%d(X,I,C) :- view(X), vague_%d(I), not nmaybe_%d(I), l_%d_%d(I,C).", i, i, i, i, policy)
	w.say("posg_%d(X,I,C) :- view(X), nmaybe_%d(I), l_%d_0(I,C).", i, i, i)
	w.say("#defined dead_%d_%d/1.", i, w.step)
}
