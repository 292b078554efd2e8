package keying

import (
	"math"
	"slices"
)

// A torus is the menu of a device that is stepped forward in both directions with a kept cursor: a tap
// goes one column on, a bank step one row on at the same column, and both wrap around. Hands start at one
// cell, have to come past the wanted cells, and end at one of them.
//
// Such a walk passes from the last column to the first some number of times w: it makes w+1 laps. Seen
// from the side, between two columns there are as many crossings on each row as laps that cross
// there; the order of the laps does not matter, since any connected set of steps that is balanced at each
// cell can be walked in one go (Euler). So it is enough to decide, column by column, on which rows the
// crossings run, and which steps between rows each column needs for that and for coming past its wanted cells.
//
// For each w and each set of rows on which the walk passes from the last column to the first, a
// dynamic programme over the columns finds the cheapest decision. It leaves one thing open: the steps
// may fall into two pieces that do not touch. Its cost is therefore a lower bound, and the true cost
// whenever the steps hang together. When they do not, a search over the same decisions, which also keeps
// account of what hangs together, with that lower bound, finds the cheapest that do (laps_joined.go).
type torus struct {
	rows, cols int
	row, col   weight   // cost of a step between rows, and of one between columns
	flows      []*flows // by the number of crossings

	room []weight // memory of one table after the other: there are hundreds, and one is used at a time
	used int
}

type cell struct{ row, col int }

// flow is the number of crossings on each row.
type flow [maxRows]int8

const maxRows = 8

// flows lists all ways in which a number of crossings spread over the rows, with the steps between rows that
// turn one into another.
type flows struct {
	list  []flow
	index map[flow]int
	turn  []weight // cost of turning i into j at i*len(list)+j
	seen  []uint8  // rows that come past on the way
	less  []int    // with one crossing less on row p: the place among the flows of one less, at i*rows+p; -1 none
}

func newTorus(rows, cols int, row, col weight) *torus {
	return &torus{rows: rows, cols: cols, row: row, col: col}
}

// spread returns the flows of n crossings.
func (t *torus) spread(n int) *flows {
	for len(t.flows) <= n {
		t.flows = append(t.flows, t.newFlows(len(t.flows)))
	}
	return t.flows[n]
}

func (t *torus) newFlows(n int) *flows {
	f := &flows{index: map[flow]int{}}
	var fill func(at flow, row, left int)
	fill = func(at flow, row, left int) {
		if row == t.rows-1 {
			at[row] = int8(left)
			f.index[at] = len(f.list)
			f.list = append(f.list, at)
			return
		}
		for k := 0; k <= left; k++ {
			at[row] = int8(k)
			fill(at, row+1, left-k)
		}
	}
	fill(flow{}, 0, n)
	for _, at := range f.list {
		for p := range t.rows {
			less := -1
			if at[p] > 0 {
				out := at
				out[p]--
				less = t.flows[n-1].index[out]
			}
			f.less = append(f.less, less)
		}
	}
	size := len(f.list)
	f.turn, f.seen = make([]weight, size*size), make([]uint8, size*size)
	for i, in := range f.list {
		for j, out := range f.list {
			steps := t.steps(in, out)
			sum := 0
			for p := range t.rows {
				sum += int(steps[p])
				if in[p] > 0 || steps[(p+t.rows-1)%t.rows] > 0 {
					f.seen[i*size+j] |= 1 << p
				}
			}
			f.turn[i*size+j] = t.row * sum
		}
	}
	return f
}

// steps are the fewest steps from each row to the next within a column that turn the crossings that
// come in into those that go out.
func (t *torus) steps(in, out flow) flow {
	var y flow
	low := int8(0)
	for p := 1; p < t.rows; p++ {
		y[p] = y[p-1] + in[p] - out[p]
		low = min(low, y[p])
	}
	for p := range t.rows {
		y[p] -= low
	}
	return y
}

// lap is the decision at one column: crossings that come in, those after the steps between rows,
// whether all rows are stepped round once more, and the row where the walk ends, -1 elsewhere.
type lap struct {
	in, mid flow
	round   bool
	end     int8
}

// walkOver finds the cheapest walk from a cell past all wanted cells. end is the wanted cell to
// end at; nil leaves it free. It returns the wanted cells in the order of the walk.
func (t *torus) walkOver(start cell, wanted []cell, end *cell) (order []cell, cost weight) {
	r := t.turned(start, wanted, end)
	best, bestLaps := weight(math.MaxInt), []lap(nil)
	for w := 0; weight(w*t.cols)*t.col < best; w++ {
		for _, wrap := range t.spread(w).list {
			c, laps := r.cheapest(w, wrap, best)
			if c < best {
				best, bestLaps = c, laps
			}
		}
	}
	order = r.walked(bestLaps)
	if end != nil {
		order = append(slices.DeleteFunc(order, func(c cell) bool { return c == *end }), *end)
	}
	return order, best
}

// ride is a walk to be found, with the columns counted from the start.
type ride struct {
	t     *torus
	start cell
	need  []uint8 // rows wanted, by column from the start on
	last  int     // the last column that is wanted
	end   *cell   // column counted from the start
}

func (t *torus) turned(start cell, wanted []cell, end *cell) *ride {
	r := &ride{t: t, start: start, need: make([]uint8, t.cols)}
	for _, c := range wanted {
		x := (c.col - start.col + t.cols) % t.cols
		r.need[x] |= 1 << c.row
		r.last = max(r.last, x)
	}
	if end != nil {
		r.end = &cell{end.row, (end.col - start.col + t.cols) % t.cols}
	}
	return r
}

// table holds, for one way of passing from the last column to the first, the least cost from each column
// on: before the walk has ended (w+1 crossings) and after it (w crossings).
type table struct {
	w            int
	wrap         flow
	going, ended [][]weight
}

// impossible is a cost that no walk has.
const impossible = weight(math.MaxInt / 4)

// weights gives memory for a part of the table that is being filled; what is in it is of a table before.
func (t *torus) weights(n int) []weight {
	if t.used+n > len(t.room) {
		t.room, t.used = make([]weight, 2*len(t.room)+n+256), 0
	}
	t.used += n
	return t.room[t.used-n : t.used : t.used]
}

// fill works the table out from the last column to the first.
func (r *ride) fill(w int, wrap flow) *table {
	t := r.t
	g, e := t.spread(w+1), t.spread(w)
	tb := &table{w: w, wrap: wrap, going: make([][]weight, t.cols+1), ended: make([][]weight, t.cols+1)}
	t.used = 0
	after, onward := t.weights(len(g.list)), t.weights(len(e.list))
	tb.going[t.cols], tb.ended[t.cols] = t.weights(len(g.list)), t.weights(len(e.list))
	for i := range g.list {
		tb.going[t.cols][i] = impossible
	}
	for i := range e.list {
		tb.ended[t.cols][i] = impossible
	}
	tb.ended[t.cols][e.index[wrap]] = 0
	for x := t.cols - 1; x >= 0; x-- {
		for i := range g.list {
			after[i] = tb.going[x+1][i] + weight(w+1)*t.col
			if r.end != nil && x != r.end.col {
				continue
			}
			for p, out := range g.less[i*t.rows : (i+1)*t.rows] {
				if out >= 0 && (r.end == nil || p == r.end.row) {
					after[i] = min(after[i], tb.ended[x+1][out]+weight(w)*t.col)
				}
			}
		}
		tb.going[x] = r.column(g, after, r.need[x])
		for i := range e.list {
			onward[i] = tb.ended[x+1][i] + weight(w)*t.col
		}
		tb.ended[x] = r.column(e, onward, r.need[x])
	}
	return tb
}

// column is the least cost from a column on, for each set of crossings that come in.
func (r *ride) column(f *flows, after []weight, need uint8) []weight {
	n := len(f.list)
	out := r.t.weights(n)
	round := r.t.row * r.t.rows
	for i := range n {
		best := impossible
		turn, seen := f.turn[i*n:(i+1)*n], f.seen[i*n:(i+1)*n]
		for j := range n {
			c := turn[j] + after[j]
			if c >= best {
				continue
			}
			if need&^seen[j] != 0 {
				if c += round; c >= best || f.list[i] == (flow{}) {
					continue
				}
			}
			best = c
		}
		out[i] = best
	}
	return out
}

// cheapest is the cheapest walk that passes from the last column to the first on the rows of wrap, if
// it costs less than below.
func (r *ride) cheapest(w int, wrap flow, below weight) (weight, []lap) {
	tb := r.fill(w, wrap)
	in := wrap
	in[r.start.row]++
	g := r.t.spread(w + 1)
	cost := tb.going[0][g.index[in]]
	if cost >= below {
		return cost, nil
	}
	laps := r.follow(tb, in)
	if r.joined(laps) {
		return cost, laps
	}
	return r.joinedWalk(tb, in, below)
}

// follow reads the cheapest decisions out of a table.
func (r *ride) follow(tb *table, in flow) []lap {
	var laps []lap
	ended := false
	for x := range r.t.cols {
		best, pick, next := impossible, lap{}, flow{}
		r.choices(tb, x, in, ended, false, func(l lap, out flow, done bool, step weight) {
			if c := step + tb.rest(r.t, x+1, out, done); c < best {
				best, pick, next = c, l, out
			}
		})
		laps = append(laps, pick)
		ended = ended || pick.end >= 0
		in = next
	}
	return laps
}

// rest is the least cost from a column on.
func (tb *table) rest(t *torus, x int, in flow, ended bool) weight {
	if ended {
		return tb.ended[x][t.spread(tb.w).index[in]]
	}
	return tb.going[x][t.spread(tb.w + 1).index[in]]
}

// choices yields what can be decided at a column, with the cost of the column and of the crossings to
// the next. free also yields rounds that no wanted cell asks for.
func (r *ride) choices(tb *table, x int, in flow, ended, free bool, yield func(l lap, out flow, done bool, step weight)) {
	t := r.t
	n := tb.w + 1
	if ended {
		n = tb.w
	}
	f, e := t.spread(n), t.spread(tb.w)
	i := f.index[in]
	for j, mid := range f.list {
		at := i*len(f.list) + j
		short := r.need[x]&^f.seen[at] != 0
		for _, round := range []bool{false, true} {
			if (short && !round) || (round && !short && !free) || (round && in == (flow{})) {
				continue
			}
			c := f.turn[at]
			if round {
				c += t.row * t.rows
			}
			yield(lap{in, mid, round, -1}, mid, ended, c+weight(n)*t.col)
			if ended || r.end != nil && x != r.end.col {
				continue
			}
			for p, out := range f.less[j*t.rows : (j+1)*t.rows] {
				if out >= 0 && (r.end == nil || p == r.end.row) {
					yield(lap{in, mid, round, int8(p)}, e.list[out], true, c+weight(tb.w)*t.col)
				}
			}
		}
	}
}
