package search

import (
	"slices"
	"testing"
)

const x = Never // disallowed

// Published assignment problems, each with the place where its optimum stands.
var published = []struct {
	source string
	cost   [][]int64
	best   int64
	column []int // nil where several are best: then the first of them, by our own rule
	first  []int
}{
	{"SciPy, scipy/optimize/_lsapmodule.c, docstring of linear_sum_assignment",
		[][]int64{{4, 1, 3}, {2, 0, 5}, {3, 2, 2}}, 5, []int{1, 0, 2}, nil},
	{"SciPy, scipy/sparse/csgraph/tests/test_matching.py",
		[][]int64{{400, 150, 400}, {400, 450, 600}, {300, 225, 300}}, 850, []int{1, 0, 2}, nil},
	{"SciPy, scipy/sparse/csgraph/tests/test_matching.py",
		[][]int64{{10, 10, 8}, {9, 8, 1}, {9, 7, 4}}, 18, []int{0, 2, 1}, nil},
	{"SciPy, scipy/sparse/csgraph/tests/test_matching.py, two are best",
		[][]int64{{10, 10, 8, 11}, {9, 8, 1, 1}, {9, 7, 4, 10}}, 15, nil, []int{0, 3, 2}},
	{"SciPy, scipy/sparse/csgraph/tests/test_matching.py, two are best",
		[][]int64{{400, 150, 400, 1}, {400, 450, 600, 2}, {300, 225, 300, 3}}, 452, nil, []int{1, 3, 0}},
	{"bmc/munkres, test_documented_example, two are best",
		[][]int64{{5, 9, 1}, {10, 3, 2}, {8, 7, 4}}, 12, nil, []int{0, 1, 2}},
	{"bmc/munkres, test_5_x_5",
		[][]int64{{12, 9, 27, 10, 23}, {7, 13, 13, 30, 19}, {25, 18, 26, 11, 26}, {9, 28, 26, 23, 13}, {16, 16, 24, 6, 9}}, 51, []int{1, 2, 3, 0, 4}, nil},
	{"aalmi/HungarianAlgorithm, README",
		[][]int64{{70, 40, 20, 55}, {65, 60, 45, 90}, {30, 45, 50, 75}, {25, 30, 55, 40}}, 150, []int{2, 1, 0, 3}, nil},
	{"wrabot/mdf",
		[][]int64{{1, 2, 3}, {2, 4, 6}, {3, 6, 9}}, 10, []int{2, 1, 0}, nil},
	{"bmc/munkres, disallowed cells",
		[][]int64{{5, 9, x}, {10, x, 2}, {8, x, 4}}, 19, nil, nil},
}

func TestPublishedAssignments(t *testing.T) {
	for _, p := range published {
		cost, escape := flat(p.cost)
		var a Assignment
		if got := a.Solve(len(p.cost), len(p.cost[0]), cost, escape); got != p.best {
			t.Errorf("%s: cost %d, published %d", p.source, got, p.best)
		}
		if p.column != nil && !slices.Equal(a.Column, p.column) {
			t.Errorf("%s: columns %v, published %v", p.source, a.Column, p.column)
		}
		if got := a.First(len(p.cost), len(p.cost[0]), cost, escape); got != p.best {
			t.Errorf("%s: First costs %d, published %d", p.source, got, p.best)
		}
		if p.first != nil && !slices.Equal(a.Column, p.first) {
			t.Errorf("%s: columns %v, first of the best %v", p.source, a.Column, p.first)
		}
	}
}

// The same source has a matrix that cannot be solved: a row of disallowed cells. Here that row
// escapes.
func TestPublishedUnsolvable(t *testing.T) {
	cost, escape := flat([][]int64{{5, 9, x}, {10, x, 2}, {x, x, x}})
	var a Assignment
	if got := a.Solve(3, 3, cost, escape); got != 5+2+dear || a.Column[2] != -1 {
		t.Errorf("cost %d, columns %v", got, a.Column)
	}
}

// The same matrices through the joint search: one board, every tool serves every item.
func TestPublishedAssignmentsThroughJoint(t *testing.T) {
	for _, p := range published {
		j := &Joint{Skip: dear, Stages: []uint{10, 0}}
		b := Board{}
		for i := range p.cost {
			j.Ways = append(j.Ways, 1<<i)
			alone := sized[int64](nil, len(p.cost), Never)
			alone[i] = 0
			j.Items = append(j.Items, JointItem{Alone: alone, Shared: alone})
			b.Cost = append(b.Cost, p.cost[i])
		}
		for i := range p.cost[0] {
			b.Slots = append(b.Slots, Slot{Label: i, Ways: 1<<len(p.cost) - 1})
		}
		j.Boards = []Board{b}
		got, err := j.Best()
		if err != nil || got.Cost != p.best {
			t.Errorf("%s: cost %d (%v), published %d", p.source, got.Cost, err, p.best)
		}
		if p.first != nil && !slices.Equal(got.Slot[0], p.first) {
			t.Errorf("%s: columns %v, first of the best %v", p.source, got.Slot[0], p.first)
		}
	}
}

const dear = 1 << 20

func flat(rows [][]int64) (cost, escape []int64) {
	for _, r := range rows {
		cost = append(cost, r...)
		escape = append(escape, dear)
	}
	return cost, escape
}

// Prices prove the optimum: no cell lies under them, and they add up to the cost.
func TestPricesProveTheOptimum(t *testing.T) {
	for _, p := range published {
		cost, escape := flat(p.cost)
		var a Assignment
		n, m := len(p.cost), len(p.cost[0])
		best := a.Solve(n, m, cost, escape)
		var sum int64
		for i, u := range a.Row {
			sum += u
			for j, v := range a.Price {
				if u+v > cost[i*m+j] || v > 0 {
					t.Errorf("%s: price %d+%d over cell %d,%d = %d", p.source, u, v, i, j, cost[i*m+j])
				}
			}
		}
		for _, v := range a.Price {
			sum += v
		}
		if sum != best {
			t.Errorf("%s: prices add up to %d, cost %d", p.source, sum, best)
		}
	}
}
