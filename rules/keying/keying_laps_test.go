package keying

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// shortestOver is the cost of the cheapest walk on a torus past all wanted cells, by a dynamic programme
// over all sets of cells (Held and Karp 1962).
func shortestOver(rows, cols, row, col int, start cell, wanted []cell, end *cell) int {
	d := func(a, b cell) int {
		return (b.row-a.row+rows)%rows*row + (b.col-a.col+cols)%cols*col
	}
	n := len(wanted)
	best := make([][]int, 1<<n)
	for m := range best {
		best[m] = slices.Repeat([]int{1 << 60}, n)
	}
	for i, c := range wanted {
		best[1<<i][i] = d(start, c)
	}
	for m := range best {
		for i := range n {
			for j := range n {
				if m>>i&1 == 1 && m>>j&1 == 0 {
					k := m | 1<<j
					best[k][j] = min(best[k][j], best[m][i]+d(wanted[i], wanted[j]))
				}
			}
		}
	}
	least := 1 << 60
	for i, c := range wanted {
		if end == nil || c == *end {
			least = min(least, best[1<<n-1][i])
		}
	}
	return least
}

// TestLapsAreShortest compares the walks over laps with Held and Karp's programme on small menus, with the
// end free and with the end given, and walks the order that they give.
func TestLapsAreShortest(t *testing.T) {
	const seed = 7
	menus := counted(2000)
	r := rand.New(rand.NewPCG(seed, 2))
	t.Logf("seed %d, %d menus", seed, menus)
	for n := range menus {
		cols := 2 + r.IntN(6)
		rows := 2 + r.IntN(min(cols, 5)-1)
		row, col := 1+r.IntN(3), 1+r.IntN(3)
		all := make([]cell, 0, rows*cols)
		for i := range rows * cols {
			all = append(all, cell{i / cols, i % cols})
		}
		r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		wanted := all[:1+r.IntN(min(len(all), 9))]
		start := cell{r.IntN(rows), r.IntN(cols)}
		var end *cell
		if r.IntN(2) == 0 {
			end = &wanted[r.IntN(len(wanted))]
		}
		order, cost := newTorus(rows, cols, row, col).walkOver(start, wanted, end)
		want := shortestOver(rows, cols, row, col, start, wanted, end)
		if cost != want {
			t.Fatalf("menu %d: %d rows of %d, steps %d and %d, from %v past %v to %v: %d, shortest %d", n, rows, cols, row, col, start, wanted, end, cost, want)
		}
		at, walked := start, 0
		for _, c := range order {
			walked += (c.row-at.row+rows)%rows*row + (c.col-at.col+cols)%cols*col
			at = c
		}
		if walked != want || len(order) != len(wanted) {
			t.Fatalf("menu %d: the order %v costs %d, shortest %d", n, order, walked, want)
		}
	}
}

// TestDisjointLapsAreJoined: a bank that is best walked in a lap of its own has to be reached, and the steps that
// reach it count.
func TestDisjointLapsAreJoined(t *testing.T) {
	const rows, cols = 4, 9
	var wanted []cell
	for x := range cols {
		wanted = append(wanted, cell{2, x})
	}
	_, cost := newTorus(rows, cols, 1, 1).walkOver(cell{0, 0}, wanted, nil)
	if want := 2 + cols - 1; cost != want {
		t.Errorf("cost %d, want %d", cost, want)
	}
}
