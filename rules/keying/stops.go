package keying

import (
	"math/bits"

	"asleft/rules/internal/search"
)

// MaxTasks is the largest number of options that one card changes.
const MaxTasks = 128

// many is a set of tasks.
type many [2]uint64

func (s many) has(i int) bool  { return s[i>>6]>>(i&63)&1 == 1 }
func (s many) with(i int) many { s[i>>6] |= 1 << (i & 63); return s }
func (s many) size() int       { return bits.OnesCount64(s[0]) + bits.OnesCount64(s[1]) }
func (s many) all(n []int) bool { // every one of n is in s
	for _, i := range n {
		if !s.has(i) {
			return false
		}
	}
	return true
}

// stop is a state of the search over stops: where the cursor rests and what is done.
type stop struct {
	at   int32
	last int32 // the task done last, -1 none
	done many
}

// visit is one edge of that search: a task done at one of its places.
type visit struct{ task, place int }

// route is the order in which tasks are done.
type route struct {
	visits []visit
	cost   weight
	least  weight // no route costs less
	proved bool
}

// stops searches the cheapest order of tasks over the places where they are done. Between two
// places the hands go the shortest way. Three rules cut the search down without losing the optimum: a
// task that lies on a shortest way to another one, and leaves the cursor where it is, is done in passing;
// and where choosing costs the same from everywhere in a bank, its tasks are done from the top. The third,
// stays, keeps to a bank that was begun.
type stops struct {
	m     *Machine
	h     hands
	tasks []task
	start int
	ways  map[int]ways // by state
	enter []weight     // least cost of getting to a task and doing it
	even  bool         // choosing an option costs the same wherever the cursor stands in the bank
	whole bool         // a bank that was begun is finished, see stays
	limit int          // states that may be opened; beyond it a route is made without proof
}

// The bounds of a search: for a card, and for a closing check, which need not be the shortest.
const (
	limitCard  = 400_000
	limitCheck = 20_000
)

func newStops(m *Machine, h hands, tasks []task, start int) *stops {
	s := &stops{m: m, h: h, tasks: tasks, start: start, ways: map[int]ways{}, enter: make([]weight, len(tasks)), limit: limitCard}
	if g := m.grid; g != nil {
		s.even = !g.stepped(g.k.Option)
		s.whole = s.even || g.k.Option.Way == "forward" && g.k.Cursor != "kept"
	}
	for _, t := range tasks {
		s.whole = s.whole && len(t.after) == 0 && len(t.places) == 1
	}
	from := []int{start}
	for _, t := range tasks {
		for _, p := range t.places {
			from = append(from, p.end)
		}
	}
	for _, f := range from {
		s.from(f)
	}
	for i, t := range tasks {
		s.enter[i] = -1
		for _, f := range from {
			for _, p := range t.places {
				if d := s.from(f).dist[p.at]; d >= 0 && (s.enter[i] < 0 || d+p.cost < s.enter[i]) {
					s.enter[i] = d + p.cost
				}
			}
		}
	}
	return s
}

func (s *stops) from(state int) ways {
	w, ok := s.ways[state]
	if !ok {
		w = s.m.reach(s.h, state)
		s.ways[state] = w
	}
	return w
}

// search finds the cheapest route through all tasks.
func (s *stops) search() route {
	path, outcome := search.Best(search.Graph[stop, visit]{
		Edges: s.edges,
		Goal:  func(at stop) bool { return at.done.size() == len(s.tasks) },
		Bound: s.bound,
		Limit: s.limit,
	}, stop{at: int32(s.start), last: -1})
	start := stop{at: int32(s.start), last: -1}
	if outcome != search.Found {
		r := s.greedy()
		r.least = s.bound(start)
		return r
	}
	r := route{cost: path.Cost, least: path.Cost, proved: true}
	for _, step := range path.Steps {
		r.visits = append(r.visits, step.By)
	}
	return r
}

func (s *stops) bound(at stop) int {
	sum := 0
	for i, c := range s.enter {
		if !at.done.has(i) {
			sum += c
		}
	}
	return sum
}

// open lists the tasks that may be done now: those of the lowest rank left whose forerunners are done.
func (s *stops) open(done many) []int {
	rank := -1
	for i, t := range s.tasks {
		if !done.has(i) && (rank < 0 || t.rank < rank) {
			rank = t.rank
		}
	}
	var out []int
	for i, t := range s.tasks {
		if t.rank == rank && !done.has(i) && done.all(t.after) {
			out = append(out, i)
		}
	}
	return out
}

func (s *stops) edges(at stop, yield func(by visit, to stop, cost int)) {
	here := s.from(int(at.at))
	open := s.open(at.done)
	for _, i := range open {
		if s.stays(at, open, i) || s.later(here, open, i) {
			continue
		}
		for p, place := range s.tasks[i].places {
			if d := here.dist[place.at]; d >= 0 {
				yield(visit{i, p}, stop{at: int32(place.end), last: int32(i), done: at.done.with(i)}, d+place.cost)
			}
		}
	}
}

// stays tells that the task is left for later because the bank of the last task is not finished. Where
// choosing costs the same everywhere, two visits to a bank within a rank are one more than needed. Where a
// bank is walked from its top each time, the longer of two visits comes past all tasks of the
// shorter one; so a visit is worth making only for all that is open ahead. A task where the cursor stood
// anyway is no visit.
func (s *stops) stays(at stop, open []int, i int) bool {
	if !s.whole || at.last < 0 || s.tasks[at.last].rank != s.tasks[i].rank || s.inPassing(int(at.last)) {
		return false
	}
	ahead := func(j int) bool {
		return s.bank(j) == s.bank(int(at.last)) && (s.even || s.tasks[j].option > s.tasks[at.last].option)
	}
	if ahead(i) {
		return false
	}
	for _, j := range open {
		if ahead(j) {
			return true
		}
	}
	return false
}

// inPassing tells that a task stands where hands come without stepping down the bank: at its top, or at the start.
func (s *stops) inPassing(i int) bool {
	return !s.even && (s.m.Options[s.tasks[i].option].Item == 1 || s.tasks[i].places[0].at == s.start)
}

// later tells that another open task is done before task i at no loss.
func (s *stops) later(here ways, open []int, i int) bool {
	t := &s.tasks[i]
	if len(t.places) != 1 {
		return false
	}
	for _, j := range open {
		other := &s.tasks[j]
		if i == j || len(other.places) != 1 {
			continue
		}
		at, way := other.places[0].at, s.tasks[i].places[0].at
		if s.even {
			if j < i && s.bank(j) == s.bank(i) {
				return true
			}
			continue
		}
		if other.places[0].end != at || here.dist[at] < 0 || here.dist[way] < 0 {
			continue
		}
		if on := s.from(at).dist[way]; on > 0 && here.dist[at]+on == here.dist[way] {
			return true
		}
	}
	return false
}

func (s *stops) bank(i int) int { return s.m.Options[s.tasks[i].option].Bank }

// greedy always does the nearest open task: a card without proof.
func (s *stops) greedy() route {
	var r route
	at := stop{at: int32(s.start), last: -1}
	for at.done.size() < len(s.tasks) {
		best, next := -1, stop{}
		var by visit
		s.edges(at, func(v visit, to stop, cost int) {
			if best < 0 || cost < best {
				best, next, by = cost, to, v
			}
		})
		if best < 0 {
			return r
		}
		r.visits, r.cost, at = append(r.visits, by), r.cost+best, next
	}
	return r
}

// inOrder walks the tasks rank by rank in the order of the menus: what a card is compared with.
func (s *stops) inOrder() weight {
	at := stop{at: int32(s.start), last: -1}
	total := 0
	for at.done.size() < len(s.tasks) {
		i := s.open(at.done)[0]
		for _, j := range s.open(at.done) {
			if s.tasks[j].option < s.tasks[i].option {
				i = j
			}
		}
		best, end := -1, 0
		for _, p := range s.tasks[i].places {
			if d := s.from(int(at.at)).dist[p.at]; d >= 0 && (best < 0 || d+p.cost < best) {
				best, end = d+p.cost, p.end
			}
		}
		if best < 0 {
			return total
		}
		total, at = total+best, stop{at: int32(end), last: int32(i), done: at.done.with(i)}
	}
	return total
}
