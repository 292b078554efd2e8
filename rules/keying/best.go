package keying

import "asleft/rules/internal/search"

// best finds the cheapest route: over the laps of the menus where they are stepped forward with a kept cursor
// and a rank has many tasks, else by search over the stops.
func (s *stops) best() route {
	if t, ok := s.torus(); ok && s.crowded() {
		return s.overLaps(t)
	}
	return s.search()
}

// fewTasks is the largest rank that the search over stops does faster than the laps.
const fewTasks = 8

func (s *stops) crowded() bool {
	count := map[int]int{}
	for _, t := range s.tasks {
		if len(t.after) > 0 {
			return false
		}
		count[t.rank]++
	}
	// order-free: any one of them is enough
	for _, n := range count {
		if n > fewTasks {
			return true
		}
	}
	return false
}

// torus tells whether the menus are one: rows are the banks and columns the items, the longer side
// lying as columns.
func (s *stops) torus() (*sheet, bool) {
	g := s.m.grid
	if g == nil || g.k.Option.Way != "forward" || g.k.Bank.Way != "forward" || g.k.Cursor != "kept" || len(g.sizes) < 2 {
		return nil, false
	}
	rows, cols := len(g.sizes), g.sizes[0]
	for _, n := range g.sizes {
		if n != cols {
			return nil, false
		}
	}
	state := &s.m.States[g.at[0][1]]
	row, col := s.h.weigh(state, g.k.Bank.Input), s.h.weigh(state, g.k.Option.Input)
	sh := &sheet{stops: s, turned: rows > cols, known: map[legKey]leg{}}
	if sh.turned {
		rows, cols, row, col = cols, rows, col, row
	}
	for _, t := range s.tasks {
		if t.places[0].end == s.m.First && len(t.places) > 1 {
			sh.again = true // the first option of all has to be come to again
		} else if len(t.places) != 1 || t.places[0].at != t.places[0].end {
			return nil, false
		}
	}
	sh.torus = newTorus(rows, cols, row, col)
	return sh, rows <= maxRows
}

// sheet is a torus with the tasks that lie on it.
type sheet struct {
	*torus
	stops  *stops
	turned bool
	again  bool
	ranks  [][]int // tasks by rank
	known  map[legKey]leg
}

// leg is the walk through one rank, from where the one before ended; to is the task to end at, -1 any.
type leg struct {
	order []int
	cost  weight
}

type legKey struct {
	from halt
	to   int
}

func (sh *sheet) cellOf(option int) cell {
	o := sh.stops.m.Options[option]
	if sh.turned {
		return cell{o.Item - 1, o.Bank - 1}
	}
	return cell{o.Bank - 1, o.Item - 1}
}

// halt is a state of the search over ranks: so many ranks are done, and the cursor is at a task, -1 the start.
type halt struct{ done, at int }

// overLaps goes rank by rank; where one rank ends the next begins. How to end each is searched best first, with the
// cost of a rank that may end anywhere as bound.
func (s *stops) overLaps(sh *sheet) route {
	for rank := rankGuard; rank <= rankMoved; rank++ {
		var tasks []int
		for i, t := range s.tasks {
			if t.rank == rank {
				tasks = append(tasks, i)
			}
		}
		if len(tasks) > 0 {
			sh.ranks = append(sh.ranks, tasks)
		}
	}
	path, _ := search.Best(search.Graph[halt, []int]{
		Edges: sh.edges,
		Goal:  func(h halt) bool { return h.done == len(sh.ranks) },
		Bound: func(h halt) int {
			if h.done == len(sh.ranks) {
				return 0
			}
			return sh.over(h, -1).cost
		},
	}, halt{at: -1})
	r := route{proved: true, cost: path.Cost}
	for _, step := range path.Steps {
		for _, i := range step.By {
			r.visits = append(r.visits, visit{task: i})
			if len(s.tasks[i].places) == 1 {
				r.cost += s.tasks[i].places[0].cost
			}
		}
	}
	r.least = r.cost
	return r
}

func (sh *sheet) edges(from halt, yield func([]int, halt, int)) {
	tasks := sh.ranks[from.done]
	if from.done == len(sh.ranks)-1 {
		l := sh.over(from, -1)
		yield(l.order, halt{from.done + 1, l.order[len(l.order)-1]}, l.cost)
		return
	}
	for _, last := range tasks {
		l := sh.over(from, last)
		yield(l.order, halt{from.done + 1, last}, l.cost)
	}
}

// comePast is walkOver, where the start itself counts only when it is come to again: one step is
// made first.
func (sh *sheet) comePast(start cell, wanted []cell, end *cell, again bool) ([]cell, weight) {
	if !again {
		return sh.walkOver(start, wanted, end)
	}
	down, right := start, start
	down.row, right.col = (start.row+1)%sh.rows, (start.col+1)%sh.cols
	a, costA := sh.walkOver(down, wanted, end)
	b, costB := sh.walkOver(right, wanted, end)
	if costA+sh.row <= costB+sh.col {
		return a, costA + sh.row
	}
	return b, costB + sh.col
}

// over finds the walk through the next rank, once.
func (sh *sheet) over(from halt, to int) leg {
	if l, ok := sh.known[legKey{from, to}]; ok {
		return l
	}
	l := sh.walkRank(from, to)
	sh.known[legKey{from, to}] = l
	return l
}

func (sh *sheet) walkRank(from halt, to int) leg {
	start := cell{0, 0}
	if from.at >= 0 {
		start = sh.cellOf(sh.stops.tasks[from.at].option)
	}
	var end *cell
	if to >= 0 {
		c := sh.cellOf(sh.stops.tasks[to].option)
		end = &c
	}
	at := map[cell]int{}
	var wanted []cell
	for _, i := range sh.ranks[from.done] {
		c := sh.cellOf(sh.stops.tasks[i].option)
		at[c] = i
		wanted = append(wanted, c)
	}
	cells, cost := sh.comePast(start, wanted, end, from.at < 0 && sh.again)
	l := leg{cost: cost}
	for _, c := range cells {
		l.order = append(l.order, at[c])
	}
	return l
}
