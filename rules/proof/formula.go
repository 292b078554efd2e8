package proof

import "asleft/rules/internal/search"

// formula is a literal, or formulas that hold all together (all), or of which one holds. No formula at all is true of all and false of
// some.
type formula struct {
	lit  *search.Literal
	all  bool
	kids []formula
}

func literal(v int, mask uint64) formula { return formula{lit: &search.Literal{Var: v, Mask: mask}} }

func all(kids ...formula) formula { return formula{all: true, kids: kids} }

func some(kids ...formula) formula { return formula{kids: kids} }

// truth is the formula that always holds, or never.
func truth(holds bool) formula { return formula{all: holds} }

// not turns a formula round.
func (w *world) not(f formula) formula {
	if f.lit != nil {
		return literal(f.lit.Var, w.problem.Domains[f.lit.Var]&^f.lit.Mask)
	}
	out := formula{all: !f.all}
	for _, k := range f.kids {
		out.kids = append(out.kids, w.not(k))
	}
	return out
}

// claim adds that a formula holds, unless one of the literals does. A part that is no clause gets a variable of its own, which may be
// yes only if the part holds: enough, since all formulas stand without a "not" before them (Plaisted and Greenbaum 1986, J. Symbolic
// Computation 2, 293-304, from memory).
func (w *world) claim(f formula, unless ...search.Literal) {
	switch {
	case f.lit != nil:
		w.clause(append(unless[:len(unless):len(unless)], *f.lit)...)
	case f.all:
		for _, k := range f.kids {
			w.claim(k, unless...)
		}
	default:
		w.clause(w.gather(f, unless[:len(unless):len(unless)])...)
	}
}

// gather makes literals of the alternatives of a formula.
func (w *world) gather(f formula, into []search.Literal) []search.Literal {
	for _, k := range f.kids {
		switch {
		case k.lit != nil:
			into = append(into, *k.lit)
		case k.all && len(k.kids) == 1 || !k.all:
			into = w.gather(formula{kids: k.kids}, into)
		default:
			y := w.fresh()
			w.claim(k, lit(y, no))
			into = append(into, lit(y, yes))
		}
	}
	return into
}
