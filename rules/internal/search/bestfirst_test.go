package search

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

type arc struct {
	to   string
	cost int
}

func walkArcs(arcs map[string][]arc, goal string) Graph[string, string] {
	return Graph[string, string]{
		Edges: func(from string, yield func(string, string, int)) {
			for _, a := range arcs[from] {
				yield(from+a.to, a.to, a.cost)
			}
		},
		Goal: func(s string) bool { return s == goal },
	}
}

func names(p Path[string, string]) string {
	out := []string{p.From}
	for _, s := range p.Steps {
		out = append(out, s.To)
	}
	return strings.Join(out, ",")
}

// Source: the graph of the article on Yen's algorithm as gonum carries it, graph/path/yen_ksp_test.go:
// the shortest path is C,E,F,H with cost 5.
func TestBestFindsTheShortestPathOfYensGraph(t *testing.T) {
	arcs := map[string][]arc{
		"C": {{"D", 3}, {"E", 2}}, "E": {{"D", 1}, {"F", 2}, {"G", 3}}, "D": {{"F", 4}},
		"F": {{"G", 2}, {"H", 1}}, "G": {{"H", 2}},
	}
	p, out := Best(walkArcs(arcs, "H"), "C")
	if out != Found || p.Cost != 5 || names(p) != "C,E,F,H" {
		t.Fatalf("got %v cost %d path %s, want C,E,F,H at 5", out, p.Cost, names(p))
	}
}

// Source: gonum graph/path/internal/testgraphs/shortest.go, "confounding paths directed": 0 to 5 costs
// 4 by three paths, and 5 cannot be reached from 4. Costs are in quarters here, to stay whole.
func TestBestOnConfoundingPaths(t *testing.T) {
	arcs := map[string][]arc{
		"0": {{"1", 4}, {"5", 16}, {"2", 8}, {"3", 16}, {"4", 1}},
		"1": {{"2", 4}}, "2": {{"3", 4}}, "3": {{"5", 4}},
	}
	p, out := Best(walkArcs(arcs, "5"), "0")
	if out != Found || p.Cost != 16 {
		t.Fatalf("got %v cost %d, want 16 quarters", out, p.Cost)
	}
	if _, out := Best(walkArcs(arcs, "5"), "4"); out != Unreachable {
		t.Fatalf("5 from 4: got %v, want unreachable", out)
	}
}

// The textbook graph of Dijkstra's algorithm; distances from 1 are 0, 7, 9, 20, 20, 11 (values from
// memory, computed again by hand).
func TestBestOnTheTextbookGraph(t *testing.T) {
	arcs := map[string][]arc{}
	for _, e := range []struct {
		a, b string
		c    int
	}{{"1", "2", 7}, {"1", "3", 9}, {"1", "6", 14}, {"2", "3", 10}, {"2", "4", 15}, {"3", "4", 11}, {"3", "6", 2}, {"4", "5", 6}, {"5", "6", 9}} {
		arcs[e.a] = append(arcs[e.a], arc{e.b, e.c})
		arcs[e.b] = append(arcs[e.b], arc{e.a, e.c})
	}
	for i, want := range []int{0, 7, 9, 20, 20, 11} {
		p, out := Best(walkArcs(arcs, string(rune('1'+i))), "1")
		if out != Found || p.Cost != want {
			t.Errorf("to %d: cost %d, want %d", i+1, p.Cost, want)
		}
	}
}

// With a bound that is right but not consistent the optimum equals that of exhaustive relaxation.
func TestBestEqualsRelaxation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(t, "n")
		arcs := make([][]int, n) // arcs[i][j] is the cost, -1 for none
		for i := range arcs {
			arcs[i] = rapid.SliceOfN(rapid.IntRange(-1, 6), n, n).Draw(t, "row")
		}
		far := make([]int, n) // cost to n-1
		for i := range far {
			far[i] = 1 << 30
		}
		far[n-1] = 0
		for range n {
			for i := range arcs {
				for j, c := range arcs[i] {
					if c >= 0 {
						far[i] = min(far[i], far[j]+c)
					}
				}
			}
		}
		slack := rapid.SliceOfN(rapid.IntRange(0, 4), n, n).Draw(t, "slack")
		g := Graph[int, int]{
			Edges: func(i int, yield func(int, int, int)) {
				for j, c := range arcs[i] {
					if c >= 0 {
						yield(j, j, c)
					}
				}
			},
			Goal:  func(i int) bool { return i == n-1 },
			Bound: func(i int) int { return max(0, min(far[i], 1000)-slack[i]) },
		}
		p, out := Best(g, 0)
		if (out == Found) != (far[0] < 1<<30) || (out == Found && p.Cost != far[0]) {
			t.Fatalf("got %v at %d, want %d", out, p.Cost, far[0])
		}
		again, _ := Best(g, 0)
		if !slices.Equal(p.Steps, again.Steps) {
			t.Fatal("two runs, two paths")
		}
	})
}
