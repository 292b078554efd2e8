package keying

import (
	"slices"

	"asleft/rules/internal/search"
)

// piece is a set of steps that hang together: the pieces of the start and of the rows on which the walk
// came over from the last column (bit maxRows is the start), and the rows on which it runs now.
type piece struct{ from, now uint16 }

// pieces lists the pieces at a column, sorted; unused places are zero.
type pieces [maxRows + 1]piece

const startBit = uint16(1) << maxRows

// begin are the pieces at the first column.
func (r *ride) begin(wrap flow) pieces {
	var list []piece
	for p := range r.t.rows {
		if wrap[p] > 0 {
			list = append(list, piece{1 << p, 1 << p})
		}
	}
	list = append(list, piece{startBit, 1 << r.start.row})
	return sorted(merge(list))
}

// through takes the pieces through the steps of a column. A row that ends or is left stays part of
// its piece, but the piece no longer runs there.
func (r *ride) through(ps pieces, l lap, out flow) pieces {
	var list []piece
	for _, p := range ps {
		if p != (piece{}) {
			list = append(list, p)
		}
	}
	y := r.t.steps(l.in, l.mid)
	for p := range r.t.rows {
		if l.round || y[p] > 0 {
			list = append(list, piece{0, 1<<p | 1<<((p+1)%r.t.rows)})
		}
	}
	list = merge(list)
	var runs uint16
	for p := range r.t.rows {
		if out[p] > 0 {
			runs |= 1 << p
		}
	}
	for i := range list {
		list[i].now &= runs
	}
	return sorted(list)
}

// merge joins pieces that run on a common row.
func merge(list []piece) []piece {
	for again := true; again; {
		again = false
		for i := 0; i < len(list) && !again; i++ {
			for j := i + 1; j < len(list); j++ {
				if list[i].now&list[j].now != 0 {
					list[i].now |= list[j].now
					list[i].from |= list[j].from
					list = slices.Delete(list, j, j+1)
					again = true
					break
				}
			}
		}
	}
	return list
}

func sorted(list []piece) pieces {
	var out pieces
	slices.SortFunc(list, func(a, b piece) int {
		if a.from != b.from {
			return int(b.from) - int(a.from)
		}
		return int(b.now) - int(a.now)
	})
	copy(out[:], list)
	return out
}

// one tells whether the pieces hang together once the last column is joined to the first.
func (ps pieces) one() bool {
	var list []piece
	for _, p := range ps {
		if p != (piece{}) {
			list = append(list, piece{0, p.from | p.now})
		}
	}
	return len(merge(list)) == 1
}

// joined tells whether the steps of a row of decisions hang together.
func (r *ride) joined(laps []lap) bool {
	wrap := laps[0].in
	wrap[r.start.row]--
	ps := r.begin(wrap)
	for _, l := range laps {
		ps = r.through(ps, l, l.out())
	}
	return ps.one()
}

// out are the crossings after a column.
func (l lap) out() flow {
	out := l.mid
	if l.end >= 0 {
		out[l.end]--
	}
	return out
}

// crossing is a state of the search for steps that hang together.
type crossing struct {
	x     int32
	ended bool
	in    flow
	ps    pieces
}

// joinedWalk finds the cheapest decisions whose steps hang together, with the table as lower bound.
func (r *ride) joinedWalk(tb *table, in flow, below weight) (weight, []lap) {
	bound := func(x int32, in flow, ended bool) int {
		rest := tb.rest(r.t, int(x), in, ended)
		if rest >= impossible || rest >= below {
			return -1
		}
		return rest
	}
	path, outcome := search.Best(search.Graph[crossing, lap]{
		Edges: func(from crossing, yield func(lap, crossing, int)) {
			if int(from.x) == r.t.cols {
				return
			}
			r.choices(tb, int(from.x), from.in, from.ended, true, func(l lap, out flow, done bool, step weight) {
				if bound(from.x+1, out, done) >= 0 { // else how its pieces hang together is of no interest
					yield(l, crossing{from.x + 1, done, out, r.through(from.ps, l, out)}, step)
				}
			})
		},
		Goal:  func(c crossing) bool { return int(c.x) == r.t.cols && c.ended && c.in == tb.wrap && c.ps.one() },
		Bound: func(c crossing) int { return bound(c.x, c.in, c.ended) },
	}, crossing{in: in, ps: r.begin(tb.wrap)})
	if outcome != search.Found {
		return impossible, nil
	}
	var laps []lap
	for _, s := range path.Steps {
		laps = append(laps, s.By)
	}
	return path.Cost, laps
}

// walked turns decisions into a walk: the wanted cells in the order in which it first comes past them.
func (r *ride) walked(laps []lap) []cell {
	t := r.t
	down, right := make([]flow, t.cols), make([]flow, t.cols)
	for x, l := range laps {
		down[x] = t.steps(l.in, l.mid)
		if l.round {
			for p := range t.rows {
				down[x][p]++
			}
		}
		right[x] = l.out()
	}
	// Hierholzer: go on until stuck, keep the cells on the way back.
	stack, path := []cell{{r.start.row, 0}}, []cell(nil)
	for len(stack) > 0 {
		at := stack[len(stack)-1]
		switch {
		case down[at.col][at.row] > 0:
			down[at.col][at.row]--
			stack = append(stack, cell{(at.row + 1) % t.rows, at.col})
		case right[at.col][at.row] > 0:
			right[at.col][at.row]--
			stack = append(stack, cell{at.row, (at.col + 1) % t.cols})
		default:
			path = append(path, at)
			stack = stack[:len(stack)-1]
		}
	}
	slices.Reverse(path)
	var order []cell
	need := slices.Clone(r.need)
	for _, at := range path {
		if need[at.col]>>at.row&1 == 1 {
			need[at.col] &^= 1 << at.row
			order = append(order, cell{at.row, (at.col + r.start.col) % t.cols})
		}
	}
	return order
}
