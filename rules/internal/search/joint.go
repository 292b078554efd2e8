package search

import (
	"errors"
	"math/bits"
	"slices"
)

// Joint is an assignment on several boards at once. Each item may take tools, and a tool belongs
// to one item at most. A way is a set of tools; it serves an item that has at least one of them
// when no other item has any of the rest. On each board where an item is wanted it is put on one
// slot that allows a way serving it, no slot twice, or it is skipped. Slots carry labels; an item
// has one main label, and each place with another label costs Unlike.
//
// Costs are whole numbers that add up: what tools cost an item, what slots cost, skips, unlike
// places. A caller who compares by several aims packs them into one number, high aims first.
type Joint struct {
	Items  []JointItem
	Ways   []uint64 // tools of each way; at most 64 ways and 64 tools
	Boards []Board
	Skip   int64 // cost of a skipped place; more than all tools of an item together may cost
	Unlike int64

	// Stages are the bits of packed aims at which stages of the search end, the highest first, the
	// last at bit 0; nil for one stage. They change nothing in the answer's cost and much in the time to
	// find it.
	Stages []uint

	// Patience is how many nodes the search of each stage may look at; 0 is no limit. It is counted,
	// not timed, so that the answer is the same everywhere.
	Patience int
}

// JointItem is what wants tools and places.
type JointItem struct {
	Alone  []int64 // by tool: cost if it is the item's only tool; Never where it cannot serve
	Shared []int64 // by tool: cost if the item has several; at least Alone
	Base   int64   // cost of having tools at all
	Has    uint64  // tools that it has and keeps
	Free   uint64  // ways that serve it without any tool
}

// Board is a set of slots with the cost of every item on every slot.
type Board struct {
	Slots []Slot
	Cost  [][]int64 // by item, then slot, Never where forbidden; nil for an item not wanted here

	times int64 // boards that this one stands for
}

// AnyLabel marks a slot that is like every other.
const AnyLabel = -1

// Slot is one place of a board; at most 64 on a board.
type Slot struct {
	Label int // AnyLabel, or counted from 0
	Ways  uint64
}

// Placing is an answer: the tools of each item, its main label, and its slot on each board.
type Placing struct {
	Cost   int64
	Tools  []uint64
	Labels []int
	Slot   [][]int // by board, then item; -1 skipped or not wanted
	Nodes  int     // nodes of the search that were looked at
	Proven int     // stages, the first first, that are proven best; less than all when patience ran out
}

// ErrTooLarge says that a problem has more tools, ways or slots than the search can hold.
var ErrTooLarge = errors.New("more than 64 tools, ways or slots on one board")

// Best finds the cheapest placing, exactly unless patience runs out. It is a depth-first branch and bound: an item's choice
// of tools is split first, then its main label; with both settled every board is an assignment
// problem of its own, solved in closed form. A node is dropped only when a lower bound on all that
// lies below it is not under the best placing known, and that bound holds by construction: it is
// the sum of the optima of parts whose costs add up to the whole cost (see bound); by the same bound
// single slots, tools and labels are ruled out (see filter). The answer is
// the same on every run: no step depends on time or chance.
func (j *Joint) Best() (Placing, error) {
	tools := 0
	for _, w := range j.Ways {
		tools = max(tools, bits.Len64(w))
	}
	for _, it := range j.Items {
		tools = max(tools, len(it.Alone))
	}
	if tools > 64 || len(j.Ways) > 64 {
		return Placing{}, ErrTooLarge
	}
	for _, b := range j.Boards {
		if len(b.Slots) > 64 {
			return Placing{}, ErrTooLarge
		}
	}
	one, of := j.merged()
	best := one.byStages(tools)
	slots := best.Slot
	best.Slot = nil
	for _, b := range of {
		best.Slot = append(best.Slot, slices.Clone(slots[b]))
	}
	return best, nil
}

// merged lets one board stand for all that are equal to it: whatever tools and main labels are
// chosen, equal boards have equal best places. It also says which board stands for each.
func (j *Joint) merged() (one *Joint, of []int) {
	copied := *j
	one = &copied
	one.Boards = nil
	for _, b := range j.Boards {
		at := slices.IndexFunc(one.Boards, func(c Board) bool {
			return slices.Equal(c.Slots, b.Slots) && slices.EqualFunc(c.Cost, b.Cost, func(x, y []int64) bool {
				return (x == nil) == (y == nil) && slices.Equal(x, y)
			})
		})
		if at < 0 {
			at = len(one.Boards)
			b.times = 0
			one.Boards = append(one.Boards, b)
		}
		one.Boards[at].times++
		of = append(of, at)
	}
	for i := range one.Boards {
		b := &one.Boards[i]
		b.Cost = slices.Clone(b.Cost)
		for f, row := range b.Cost {
			b.Cost[f] = nil
			for _, c := range row {
				if c < Never {
					c *= b.times
				}
				b.Cost[f] = append(b.Cost[f], c)
			}
			if row != nil && b.Cost[f] == nil {
				b.Cost[f] = []int64{}
			}
		}
	}
	return one, of
}

// ways gives the ways that can serve item f when it has at least one of the tools in mine and
// nobody but f has the tools in others.
func (j *Joint) ways(f int, mine, others uint64) uint64 {
	served := j.Items[f].Free
	for w, tools := range j.Ways {
		if tools&mine != 0 && tools&others == 0 {
			served |= 1 << w
		}
	}
	return served
}

// toolCost is what a final set of tools costs item f.
func (j *Joint) toolCost(f int, set uint64) int64 {
	by := j.Items[f].Shared
	if bits.OnesCount64(set) == 1 {
		by = j.Items[f].Alone
	}
	var total int64
	if set != 0 {
		total = j.Items[f].Base
	}
	for rest := set; rest != 0; rest &= rest - 1 {
		c := by[bits.TrailingZeros64(rest)]
		if c >= Never {
			return Never
		}
		total += c
	}
	return total
}
