package assign

import (
	"fmt"
	"strings"

	"asleft/rules/internal/search"
)

// Program writes the problem as an answer set program, so that another solver can find the optimum
// by other means: its levels from 8 down to 1 are the fields of Cost in order, without the parts of
// outputs of fixed use, which are the same in every plan.
func Program(p Problem) (string, error) {
	m, _, err := modelOf(&p, nil)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	for i := range m.items {
		m.writeItem(&b, i)
	}
	for c, tools := range m.joint.Ways {
		for k := range m.p.Outputs {
			if tools>>k&1 == 1 {
				fmt.Fprintf(&b, "fires(%d,%d).\n", c, k)
			}
		}
	}
	for n := range m.joint.Boards {
		m.writeBoard(&b, n)
	}
	b.WriteString(programRules)
	return b.String(), nil
}

// writeItem writes what outputs can do for a function: fit(function,output,relays,diodes,options,
// lacking) as its only one, share(...) as one of several.
func (m *model) writeItem(b *strings.Builder, i int) {
	base := len(m.commonSeries(i)) * len(m.p.Functions[m.items[i]].Lines)
	fmt.Fprintf(b, "item(%d). base(%d,%d).\n", i, i, base)
	it := &m.joint.Items[i]
	for k := range m.p.Outputs {
		s := &m.setup[i][k]
		if it.Alone[k] < search.Never {
			h := &m.alone[i][k]
			fmt.Fprintf(b, "fit(%d,%d,%d,%d,%d,%d).\n", i, k, h.relays-base, h.diodes, len(s.changed), len(s.lacks))
		}
		if it.Shared[k] < search.Never {
			h := &m.more[i][k]
			fmt.Fprintf(b, "share(%d,%d,%d,%d,%d,%d).\n", i, k, h.relays-base, h.diodes, len(s.changed), len(s.lacks))
		}
		if it.Has>>k&1 == 1 {
			fmt.Fprintf(b, "own(%d,%d).\n", i, k)
		}
	}
	for c := range m.joint.Ways {
		if it.Free>>c&1 == 1 {
			fmt.Fprintf(b, "ok(%d,%d).\n", i, c)
		}
	}
}

// writeBoard writes what is wanted on a remote: may(remote,function,gesture,effort,to teach,to sign),
// and which channels a gesture sends.
func (m *model) writeBoard(b *strings.Builder, n int) {
	board := &m.joint.Boards[n]
	for g, slot := range board.Slots {
		fmt.Fprintf(b, "sign(%d,%d,%d).\n", n, g, slot.Label)
		for c := range m.joint.Ways {
			if slot.Ways>>c&1 == 1 {
				fmt.Fprintf(b, "sends(%d,%d,%d).\n", n, g, c)
			}
		}
	}
	for i, row := range board.Cost {
		if row == nil {
			continue
		}
		fmt.Fprintf(b, "want(%d,%d).\n", n, i)
		for g, cost := range row {
			if cost < search.Never {
				c := m.aims.cost(cost)
				fmt.Fprintf(b, "may(%d,%d,%d,%d,%d,%d).\n", n, i, g, c.Effort, c.Options, c.ToSign)
			}
		}
	}
}

// programRules is the model once more, in the words of answer set programming.
const programRules = `
{ own(F,O) : share(F,O,_,_,_,_) ; own(F,O) : fit(F,O,_,_,_,_) } 1 :- output(O).
output(O) :- fit(_,O,_,_,_,_).
output(O) :- share(_,O,_,_,_,_).
several(F) :- item(F), 2 { own(F,O) : output(O) }.
hosted(F) :- own(F,_).
:- own(F,O), several(F), not share(F,O,_,_,_,_).
:- own(F,O), not several(F), not fit(F,O,_,_,_,_).
ok(F,C) :- own(F,O), fires(C,O), not barred(F,C).
barred(F,C) :- item(F), fires(C,O), own(G,O), G != F.
good(R,F,G) :- may(R,F,G,_,_,_), sends(R,G,C), ok(F,C).
{ at(R,F,G) : may(R,F,G,_,_,_) } 1 :- want(R,F).
:- at(R,F,G), not good(R,F,G).
:- at(R,F,G), at(R,H,G), F < H.
reached(R,F) :- at(R,F,_).
1 { main(F,S) : sign(_,_,S) } 1 :- item(F).
#minimize { 1@8,R,F : want(R,F), not reached(R,F) }.
#minimize { N@7,R,F : at(R,F,G), may(R,F,G,_,_,N) }.
#minimize { N@6,F,O : own(F,O), not several(F), fit(F,O,_,_,_,N) ; N@6,F,O : own(F,O), several(F), share(F,O,_,_,_,N) }.
#minimize { N@5,F,O : own(F,O), not several(F), fit(F,O,N,_,_,_) ; N@5,F,O : own(F,O), several(F), share(F,O,N,_,_,_) ; N@5,F : hosted(F), base(F,N) }.
#minimize { N@4,F,O : own(F,O), not several(F), fit(F,O,_,N,_,_) ; N@4,F,O : own(F,O), several(F), share(F,O,_,N,_,_) }.
#minimize { 1@3,R,F : at(R,F,G), sign(R,G,S), S >= 0, not main(F,S) }.
#minimize { N@2,R,F : at(R,F,G), may(R,F,G,N,_,_) }.
#minimize { N@1,R,F,r : at(R,F,G), may(R,F,G,_,N,_) ; N@1,F,O,o : own(F,O), not several(F), fit(F,O,_,_,N,_) ; N@1,F,O,o : own(F,O), several(F), share(F,O,_,_,N,_) }.
#show at/3.
#show own/2.
`
