package search

import (
	"math/bits"
	"slices"
)

// undecided is an item's choice of tools before it is split, and its label before that is.
const undecided = -1

// jointNode is a part of the space: what is settled for each item, and how every cost is divided
// between the board it is paid on and the item that pays it. The two shares of a cost always add
// up to the cost, so any division gives a valid bound; children start from their parent's.
type jointNode struct {
	choice []int    // of each item: undecided, a single tool, s.none or s.several
	has    []uint64 // tools that the item takes for certain
	may    []uint64 // tools that it takes or may take
	label  []int
	cells  []uint64 // by board and item: slots left
	noSkip []bool   // by board and item: it must be placed
	dead   []bool   // by item and choice: ruled out
	noMain []bool   // by item and label: not the main label
	alike  []bool   // by board and item: a place is like the main label, or skipped
	other  []bool   // by board and item: a place is not like the main label
	price  []int64  // of each tool: paid by the item that takes it along with others, paid back once

	slotShare, itemShare []int64 // by s.cell
	skipBoard, skipItem  []int64 // by board and item
	toolShare, pickItem  []int64 // by item and choice
	bound                int64
	floor                []int64 // of each item: its own part of the bound
	value                []int64 // by item and choice: that part if the choice is made
}

// jointSearch is one run.
type jointSearch struct {
	j                    *Joint // with the costs that bounds see
	exact                *Joint // with the costs that placings have
	stage                stage
	items, tools, labels int
	none, several        int     // choices after the single tools
	offset               []int   // of a board's first cell
	wanted               [][]int // boards on which an item is wanted
	own                  [][]int // labels within an item's reach
	unlike               []int64 // cost of an unlike place; 0 for an item wanted once
	left                 [][]int // choices of each item that are left in the node that is bounded
	isLeft               []bool  // by item and choice
	groups               [][]jointGroup
	scratch              jointScratch
	lap                  Assignment
	free                 []*jointNode
	best                 *Placing
	proven               int64 // no placing is cheaper
	nodes                int
	patience             int // nodes that this turn may look at
	standing             standing
	gaveUp               bool       // patience ran out
	rising               bool       // splits by their rise, see byRise
	oneEach              bool       // gives no item several tools that has not got them already
	atMost               bool       // looks for placings as good as the best known, not better ones
	kept                 *jointNode // what earlier stages have ruled out; nil for nothing
	labelled             []uint64   // by board and label: its slots
	waysWith             []uint64   // by tool: ways that have it
	slotsBy              []uint64   // by board and way: slots that allow it
	finite               []uint64   // by board and item: slots that are not forbidden
	byTool               []uint64   // by item, board and tool: slots that the tool serves, for several
	least                []int64    // by board and item: least cost of the item's part with each slot, and with none at noSlot
	labelLeast           []int64    // by item and label: that with the main label
}

// jointGroup is a set of choices of one item that allow the same slots everywhere.
type jointGroup struct {
	choices []int
	slots   []uint64 // by board
}

func newJointSearch(j *Joint, st stage, tools int) *jointSearch {
	st = st.fit(j)
	exact := j.with(st.exact)
	j = exact.with(st.stretched)
	s := &jointSearch{j: j, exact: exact, stage: st, best: &Placing{}, items: len(j.Items), tools: tools, none: tools, several: tools + 1}
	cells := 0
	for _, b := range j.Boards {
		s.offset = append(s.offset, cells)
		cells += s.items * len(b.Slots)
		for _, slot := range b.Slots {
			s.labels = max(s.labels, slot.Label+1)
		}
	}
	s.offset = append(s.offset, cells)
	s.wanted, s.own = make([][]int, s.items), make([][]int, s.items)
	s.unlike, s.groups = make([]int64, s.items), make([][]jointGroup, s.items)
	for f := range s.items {
		seen := make([]bool, s.labels)
		for b, board := range j.Boards {
			if board.Cost[f] == nil {
				continue
			}
			s.wanted[f] = append(s.wanted[f], b)
			for i, slot := range board.Slots {
				if l := slot.Label; l != AnyLabel && board.Cost[f][i] < Never && !seen[l] {
					seen[l] = true
					s.own[f] = append(s.own[f], l)
				}
			}
		}
		if len(s.wanted[f]) > 1 {
			s.unlike[f] = j.Unlike
		}
	}
	s.scratch.init(s)
	s.index()
	s.left, s.isLeft = make([][]int, s.items), make([]bool, s.items*(tools+2))
	s.labelLeast = make([]int64, s.items*s.labels)
	s.least = make([]int64, len(j.Boards)*s.items*places)
	return s
}

// hopeless reports whether nothing with this lower bound can beat the best known: what beats it is
// cheaper by a whole unit, however costs are stretched.
func (s *jointSearch) hopeless(bound int64) bool {
	if s.atMost {
		return bound > s.stage.stretched(s.best.Cost)
	}
	return bound > s.stage.stretched(s.best.Cost)-1<<s.stage.stretch || s.done()
}

// done reports whether the best known cannot be beaten.
func (s *jointSearch) done() bool { return s.best.Cost <= s.proven }

func (s *jointSearch) cell(b, f, slot int) int {
	return s.offset[b] + f*len(s.j.Boards[b].Slots) + slot
}

func (s *jointSearch) pick(f, choice int) int { return f*(s.tools+2) + choice }

// start takes the placing that skips everything as the best known.
func (s *jointSearch) start() {
	s.proven = -1
	s.best.Tools, s.best.Labels = make([]uint64, s.items), make([]int, s.items)
	s.best.Slot = make([][]int, len(s.j.Boards))
	for b := range s.best.Slot {
		s.best.Slot[b] = sized[int](nil, s.items, -1)
	}
	for f, it := range s.j.Items {
		s.best.Tools[f] = it.Has
		s.best.Labels[f] = undecided
		s.best.Cost += s.exact.toolCost(f, it.Has) + s.exact.Skip*s.places(f)
	}
}

// places counts the boards on which an item is wanted, those that are merged one by one.
func (s *jointSearch) places(f int) int64 {
	var n int64
	for _, b := range s.wanted[f] {
		n += s.j.Boards[b].times
	}
	return n
}

// resume takes a placing of another stage as the best known, with main labels and places as good as
// its tools allow now.
func (s *jointSearch) resume(p Placing) {
	s.best.Cost = Never
	s.best.Slot = make([][]int, len(s.j.Boards))
	for b := range s.best.Slot {
		s.best.Slot[b] = make([]int, s.items)
	}
	s.try(&jointNode{label: sized[int](nil, s.items, undecided)}, slices.Clone(p.Tools), slices.Clone(p.Labels))
}

// root has nothing settled; all costs of slots lie with the boards, all costs of tools with the
// choice of tools.
func (s *jointSearch) root() *jointNode {
	n := s.fresh()
	for f, it := range s.j.Items {
		n.choice[f], n.label[f], n.has[f] = undecided, undecided, it.Has
		n.may[f] = it.Has
		for t, c := range it.Shared {
			if c < Never {
				n.may[f] |= 1 << t
			}
		}
		n.toolShare[s.pick(f, s.several)] = it.Base
		for t, c := range it.Alone {
			n.toolShare[s.pick(f, t)] = min(c+it.Base, Never)
		}
		for b, board := range s.j.Boards {
			n.skipBoard[b*s.items+f] = s.j.Skip * board.times
			for i := range board.Cost[f] {
				n.slotShare[s.cell(b, f, i)] = board.Cost[f][i]
			}
		}
	}
	for i := range n.cells {
		n.cells[i] = ^uint64(0)
	}
	if s.kept != nil {
		copy(n.cells, s.kept.cells)
		copy(n.noSkip, s.kept.noSkip)
		copy(n.dead, s.kept.dead)
		copy(n.noMain, s.kept.noMain)
		copy(n.alike, s.kept.alike)
		copy(n.other, s.kept.other)
	}
	return n
}

// node gives memory for a node, used memory first.
func (s *jointSearch) node() *jointNode {
	if k := len(s.free) - 1; k >= 0 {
		n := s.free[k]
		s.free = s.free[:k]
		return n
	}
	return s.fresh()
}

// fresh gives a node in which everything is zero.
func (s *jointSearch) fresh() *jointNode {
	cells, skips, picks := s.offset[len(s.j.Boards)], len(s.j.Boards)*s.items, s.items*(s.tools+2)
	return &jointNode{
		choice: make([]int, s.items), has: make([]uint64, s.items), may: make([]uint64, s.items),
		cells: make([]uint64, skips), noSkip: make([]bool, skips), dead: make([]bool, picks), noMain: make([]bool, s.items*s.labels), alike: make([]bool, skips), other: make([]bool, skips),
		label: make([]int, s.items), price: make([]int64, s.tools), floor: make([]int64, s.items),
		slotShare: make([]int64, cells), itemShare: make([]int64, cells),
		skipBoard: make([]int64, skips), skipItem: make([]int64, skips),
		toolShare: make([]int64, picks), pickItem: make([]int64, picks), value: make([]int64, picks),
	}
}

func (s *jointSearch) child(n *jointNode) *jointNode {
	c := s.node()
	copy(c.choice, n.choice)
	copy(c.has, n.has)
	copy(c.may, n.may)
	copy(c.label, n.label)
	copy(c.price, n.price)
	copy(c.cells, n.cells)
	copy(c.noSkip, n.noSkip)
	copy(c.dead, n.dead)
	copy(c.noMain, n.noMain)
	copy(c.alike, n.alike)
	copy(c.other, n.other)
	copy(c.slotShare, n.slotShare)
	copy(c.itemShare, n.itemShare)
	copy(c.skipBoard, n.skipBoard)
	copy(c.skipItem, n.skipItem)
	copy(c.toolShare, n.toolShare)
	copy(c.pickItem, n.pickItem)
	return c
}

// others gives the tools that items other than f take for certain.
func (n *jointNode) others(f int) uint64 {
	var set uint64
	for g, has := range n.has {
		if g != f {
			set |= has
		}
	}
	return set
}

// narrow takes tools that are given away out of everybody else's reach. It reports false when some item has no choice left.
func (s *jointSearch) narrow(n *jointNode) bool {
	needed, all := 0, union(n.may)
	for f := range n.may {
		needed += max(bits.OnesCount64(n.has[f]), map[bool]int{true: 2}[n.choice[f] == s.several])
	}
	if needed > bits.OnesCount64(all) {
		return false
	}
	for f := range n.may {
		n.may[f] &^= n.others(f)
		if n.has[f]&^n.may[f] != 0 {
			return false
		}
		s.left[f] = s.left[f][:0]
		for k := range s.tools + 2 {
			at := s.pick(f, k)
			if s.isLeft[at] = s.possible(n, f, k); s.isLeft[at] {
				s.left[f] = append(s.left[f], k)
			}
		}
		if len(s.left[f]) == 0 {
			return false
		}
	}
	return true
}

// open reports whether choice k of item f is left in the node that is bounded.
func (s *jointSearch) open(f, k int) bool { return s.isLeft[s.pick(f, k)] }

// possible reports whether choice k of item f is still possible in a node.
func (s *jointSearch) possible(n *jointNode, f, k int) bool {
	if n.dead[s.pick(f, k)] {
		return false
	}
	if c := n.choice[f]; c != undecided && c != k {
		return false
	}
	switch {
	case k == s.none:
		return n.has[f] == 0
	case k == s.several && s.oneEach:
		return n.has[f]&(n.has[f]-1) != 0
	case k == s.several:
		return bits.OnesCount64(n.may[f]) >= 2 && (len(s.wanted[f]) > 1 || s.j.Items[f].Has != 0)
	case k >= len(s.j.Items[f].Alone):
		return false
	default:
		tool := uint64(1) << k
		return n.may[f]&tool != 0 && n.has[f]&^tool == 0 && s.j.Items[f].Alone[k] < Never
	}
}
