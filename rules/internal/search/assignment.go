package search

// Never is the cost of what cannot be chosen. Real costs stay below 1<<58 in sum.
const Never int64 = 1 << 61

// Assignment gives each row a column of its own or lets it escape, at least total cost: the
// shortest augmenting path method (Hungarian method; Kuhn 1955, Munkres 1957), O(rows^2 columns).
// The zero value is ready; a value may be used again and keeps its memory.
type Assignment struct {
	Column []int   // of each row; -1 where the row escaped
	Row    []int64 // dual price of each row
	Price  []int64 // dual price of each column, never positive

	holder []int // row that holds a column, -1 none
	from   []int // row of the tree by which a column was reached best
	slack  []int64
	seen   []bool
	tree   []int // rows in the tree
}

// Solve minimises the sum over rows of cost[row*columns+column] or escape[row]. After it
// Row[i]+Price[j] <= cost for every cell and Row[i] <= escape[i], with equality where chosen,
// which proves the value: the sum of all prices.
func (a *Assignment) Solve(rows, columns int, cost, escape []int64) int64 {
	a.reset(rows, columns)
	for i := range rows {
		a.place(i, columns, cost, escape)
	}
	var total int64
	for i, j := range a.Column {
		if j < 0 {
			total += escape[i]
		} else {
			total += cost[i*columns+j]
		}
	}
	return total
}

func (a *Assignment) reset(rows, columns int) {
	a.Column = sized(a.Column, rows, -1)
	a.Row = sized(a.Row, rows, 0)
	a.Price = sized(a.Price, columns, 0)
	a.holder = sized(a.holder, columns, -1)
	a.from = sized(a.from, columns, -1)
	a.slack = sized(a.slack, columns, Never)
	a.seen = sized(a.seen, columns, false)
}

func sized[T any](s []T, n int, fill T) []T {
	if cap(s) < n {
		s = make([]T, n)
	}
	s = s[:n]
	for i := range s {
		s[i] = fill
	}
	return s
}

// place adds row i: it grows a tree of alternating paths until it ends in a free column or in a
// row that does best to escape.
func (a *Assignment) place(i, columns int, cost, escape []int64) {
	if a.straight(i, columns, cost, escape) {
		return
	}
	for j := range columns {
		a.slack[j], a.seen[j] = 2*Never, false
	}
	a.tree = append(a.tree[:0], i)
	for row := i; ; {
		step, next := 2*Never, -1
		base := cost[row*columns : (row+1)*columns]
		for j, c := range base {
			if a.seen[j] {
				continue
			}
			if d := c - a.Row[row] - a.Price[j]; d < a.slack[j] {
				a.slack[j], a.from[j] = d, row
			}
			if a.slack[j] < step {
				step, next = a.slack[j], j
			}
		}
		leaver := -1
		for _, r := range a.tree {
			if d := escape[r] - a.Row[r]; d < step {
				step, leaver = d, r
			}
		}
		a.shift(step)
		if leaver >= 0 {
			j := a.Column[leaver]
			a.Column[leaver] = -1
			a.hand(j, i)
			return
		}
		a.seen[next] = true
		if a.holder[next] < 0 {
			a.hand(next, i)
			return
		}
		row = a.holder[next]
		a.tree = append(a.tree, row)
	}
}

// straight gives row i its cheapest column if that is free: no tree is needed then.
func (a *Assignment) straight(i, columns int, cost, escape []int64) bool {
	least, at := escape[i], -1
	for j, c := range cost[i*columns : (i+1)*columns] {
		if d := c - a.Price[j]; d < least || d == least && at < 0 {
			least, at = d, j
		}
	}
	if at >= 0 && a.holder[at] >= 0 {
		return false
	}
	a.Row[i] = least
	if at >= 0 {
		a.Column[i], a.holder[at] = at, i
	}
	return true
}

// shift raises the prices of the tree's rows and lowers those of its columns by step.
func (a *Assignment) shift(step int64) {
	for _, r := range a.tree {
		a.Row[r] += step
	}
	for j, in := range a.seen {
		if in {
			a.Price[j] -= step
		} else {
			a.slack[j] -= step
		}
	}
}

// hand gives column j to the row by which it was reached, that row's former column to the row
// before it, and so on to the root of the tree.
func (a *Assignment) hand(j, root int) {
	for j >= 0 {
		r := a.from[j]
		former := a.Column[r]
		a.Column[r], a.holder[j] = j, r
		if r == root {
			return
		}
		j = former
	}
}

// First solves the same problem and of all best answers gives the first: row 0 takes the lowest
// column that some best answer gives it, then row 1, and so on; escaping comes after all columns.
//
// By complementary slackness the best answers are those that choose nothing above its prices and
// leave no column of negative price free; that is a small assignment problem of its own.
func (a *Assignment) First(rows, columns int, cost, escape []int64) int64 {
	best := a.Solve(rows, columns, cost, escape)
	wall := int64(rows + columns + 1)
	cells, exits := make([]int64, rows*columns), make([]int64, rows)
	var covered int64
	for j := range columns {
		due := min(-a.Price[j], 1)
		covered -= due
		for i := range rows {
			cells[i*columns+j] = -due
			if cost[i*columns+j] != a.Row[i]+a.Price[j] {
				cells[i*columns+j] = wall
			}
		}
	}
	for i := range rows {
		if escape[i] != a.Row[i] {
			exits[i] = wall
		}
	}
	for i := range rows {
		a.settle(i, columns, cells, exits, covered)
	}
	return best
}

// settle moves row i to its first column that keeps the value, and nails it there.
func (a *Assignment) settle(i, columns int, cells, exits []int64, value int64) {
	wall := int64(len(exits) + columns + 1)
	row := cells[i*columns : (i+1)*columns]
	own := append([]int64(nil), row...)
	exit := exits[i]
	for j := 0; j < columns && a.Column[i] != j; j++ {
		if own[j] >= wall {
			continue
		}
		only(row, j, own[j], wall)
		exits[i] = wall
		var other Assignment
		if other.Solve(len(exits), columns, cells, exits) == value {
			copy(a.Column, other.Column)
			break
		}
		exits[i] = exit
	}
	if j := a.Column[i]; j >= 0 {
		only(row, j, own[j], wall)
		exits[i] = wall
	} else {
		only(row, -1, 0, wall)
		exits[i] = exit
	}
}

func only(row []int64, j int, cost, wall int64) {
	for k := range row {
		row[k] = wall
	}
	if j >= 0 {
		row[j] = cost
	}
}
