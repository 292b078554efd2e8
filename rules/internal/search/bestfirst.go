package search

// Graph is a directed graph that Best walks. Costs are whole numbers, never negative; a caller with
// two measures packs them (presses * 100000 + tenths of a second) so that the first decides.
type Graph[S comparable, A any] struct {
	// Edges calls yield once for each edge that leaves the state, in an order that depends on nothing
	// but the state: it is the last tie-break.
	Edges func(from S, yield func(by A, to S, cost int))
	// Goal tells whether the path may end here.
	Goal func(S) bool
	// Bound is a lower bound of the cost from the state to the nearest goal. It must never be too
	// high, or the path found may not be the cheapest. A negative bound says that no goal can be
	// reached from here. Nil stands for 0 everywhere (Dijkstra).
	Bound func(S) int
	// Limit ends the search after so many expanded states; 0 is no limit.
	Limit int
}

// Step is one edge of a path: what was done and where it led.
type Step[S comparable, A any] struct {
	By   A
	To   S
	Cost int
}

// Path is what Best found.
type Path[S comparable, A any] struct {
	From     S
	Steps    []Step[S, A]
	Cost     int
	Expanded int // states taken from the queue: the work it took
}

// Outcome says how a search ended.
type Outcome int

// The three ends of a search. Only Found carries a path, and that path is proved cheapest.
const (
	Found       Outcome = iota
	Unreachable         // every reachable state was looked at and none is a goal
	GaveUp              // the limit came first: nothing is known
)

// Best finds a cheapest path from any of the starts to a goal by A*. The proof of optimality is the
// usual one (Hart, Nilsson, Raphael 1968): a goal is returned only when it is taken from the queue,
// and with a bound that is never too high everything else in the queue costs at least as much. States
// are taken again when a cheaper way to them turns up, so the bound need not be consistent.
//
// Ties: lower cost plus bound first, then lower bound (nearer to the goal), then first come. With the
// edges in a fixed order the path is therefore always the same one.
func Best[S comparable, A any](g Graph[S, A], starts ...S) (Path[S, A], Outcome) {
	w := walk[S, A]{graph: g, index: make(map[S]int32)}
	for _, s := range starts {
		w.reach(s, 0, -1, *new(A), 0)
	}
	expanded := 0
	for w.queue.len() > 0 {
		item := w.queue.pop()
		n := &w.nodes[item.node]
		if n.done || item.cost != n.cost {
			continue // a cheaper way to the same state was taken before
		}
		if g.Goal(n.state) {
			return w.path(item.node, expanded), Found
		}
		if g.Limit > 0 && expanded >= g.Limit {
			return Path[S, A]{Expanded: expanded}, GaveUp
		}
		n.done = true
		expanded++
		from, cost, state := item.node, n.cost, n.state
		g.Edges(state, func(by A, to S, c int) { w.reach(to, cost+c, from, by, c) })
	}
	return Path[S, A]{Expanded: expanded}, Unreachable
}

// node is a state that was reached, by its cheapest known way.
type node[S comparable, A any] struct {
	state S
	by    A
	prev  int32
	cost  int
	step  int
	bound int
	done  bool
}

type walk[S comparable, A any] struct {
	graph Graph[S, A]
	index map[S]int32
	nodes []node[S, A]
	queue queue
}

// nowhere stands for a state from which no goal can be reached.
const nowhere = -1

// reach notes a way to a state, if it is new or cheaper than the ways known.
func (w *walk[S, A]) reach(to S, cost int, prev int32, by A, step int) {
	at, known := w.index[to]
	if !known {
		bound := 0
		if w.graph.Bound != nil {
			bound = w.graph.Bound(to)
		}
		if at = int32(len(w.nodes)); bound < 0 {
			at = nowhere
		}
		w.index[to] = at
		if bound >= 0 {
			w.nodes = append(w.nodes, node[S, A]{state: to, bound: bound, cost: -1})
		}
	}
	if at == nowhere {
		return
	}
	n := &w.nodes[at]
	if n.cost >= 0 && n.cost <= cost {
		return
	}
	n.cost, n.prev, n.by, n.step, n.done = cost, prev, by, step, false
	w.queue.push(entry{sum: cost + n.bound, bound: n.bound, cost: cost, node: at})
}

func (w *walk[S, A]) path(at int32, expanded int) Path[S, A] {
	p := Path[S, A]{Cost: w.nodes[at].cost, Expanded: expanded}
	for ; w.nodes[at].prev >= 0; at = w.nodes[at].prev {
		n := w.nodes[at]
		p.Steps = append(p.Steps, Step[S, A]{By: n.by, To: n.state, Cost: n.step})
	}
	p.From = w.nodes[at].state
	for i, j := 0, len(p.Steps)-1; i < j; i, j = i+1, j-1 {
		p.Steps[i], p.Steps[j] = p.Steps[j], p.Steps[i]
	}
	return p
}
