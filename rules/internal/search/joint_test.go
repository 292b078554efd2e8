package search

import (
	"math/rand/v2"
	"testing"
)

func TestJointEqualsExhaustiveSearch(t *testing.T) {
	nodes := 0
	for seed := range uint64(3000) {
		j := randomJoint(rand.New(rand.NewPCG(seed, 1)))
		got, err := j.Best()
		if err != nil {
			t.Fatal(err)
		}
		nodes += got.Nodes
		want := exhaustive(j)
		if got.Cost != want {
			t.Fatalf("seed %d: found %d, exhaustive search %d\n%+v\n%+v", seed, got.Cost, want, j, got)
		}
		if c := recount(j, got); c != want {
			t.Fatalf("seed %d: the placing itself costs %d, said %d\n%+v\n%+v", seed, c, want, j, got)
		}
	}
	t.Logf("%d nodes", nodes)
}

func randomJoint(r *rand.Rand) *Joint {
	tools, items := 1+r.IntN(4), 1+r.IntN(3)
	j := &Joint{Skip: 1 << 20, Unlike: int64(r.IntN(3)) << 7}
	if r.IntN(2) == 0 {
		j.Stages = []uint{20, 10, 7, 0}
	}
	for range 1 + r.IntN(5) {
		w := uint64(1) << r.IntN(tools)
		if r.IntN(5) == 0 {
			w |= 1 << r.IntN(tools)
		}
		j.Ways = append(j.Ways, w)
	}
	for range items {
		it := JointItem{Base: int64(r.IntN(3)) << 10}
		for range tools {
			c := int64(r.IntN(3)) << 10
			s := c + int64(r.IntN(3))<<10
			if r.IntN(4) == 0 {
				c, s = Never, Never
			}
			it.Alone, it.Shared = append(it.Alone, c), append(it.Shared, s)
		}
		if r.IntN(10) == 0 {
			it.Free = 1 << r.IntN(len(j.Ways))
		}
		j.Items = append(j.Items, it)
	}
	if k := r.IntN(tools * 4); k < tools && j.Items[0].Alone[k] < Never {
		j.Items[0].Has = 1 << k
	}
	for len(j.Boards) < 1+r.IntN(3) {
		b := Board{}
		for range 1 + r.IntN(4) {
			b.Slots = append(b.Slots, Slot{Label: r.IntN(5) - 1, Ways: r.Uint64() & r.Uint64() & (1<<len(j.Ways) - 1)})
		}
		for range items {
			if r.IntN(5) == 0 {
				b.Cost = append(b.Cost, nil)
				continue
			}
			var row []int64
			for range b.Slots {
				c := int64(r.IntN(10))
				if r.IntN(6) == 0 {
					c = Never
				}
				row = append(row, c)
			}
			b.Cost = append(b.Cost, row)
		}
		j.Boards = append(j.Boards, b)
		if len(j.Boards) < 3 && r.IntN(4) == 0 {
			j.Boards = append(j.Boards, b) // equal boards are searched as one
		}
	}
	return j
}

// exhaustive tries every owner of every tool, every main label and every place.
func exhaustive(j *Joint) int64 {
	tools := len(j.Items[0].Alone)
	owner := make([]int, tools)
	best := Never
	var hand func(t int)
	hand = func(t int) {
		if t < tools {
			for owner[t] = -1; owner[t] < len(j.Items); owner[t]++ {
				hand(t + 1)
			}
			return
		}
		sets := make([]uint64, len(j.Items))
		for t, f := range owner {
			if f >= 0 {
				sets[f] |= 1 << t
			}
		}
		total := int64(0)
		for f, set := range sets {
			if set&j.Items[f].Has != j.Items[f].Has {
				return
			}
			c := j.toolCost(f, set)
			if c >= Never {
				return
			}
			total += c
		}
		best = min(best, total+everyPlace(j, sets, 0, 0, map[[2]int]int{}))
	}
	hand(0)
	return best
}

func everyPlace(j *Joint, sets []uint64, b, f int, at map[[2]int]int) int64 {
	if b == len(j.Boards) {
		return unlikePlaces(j, at)
	}
	if f == len(j.Items) {
		return everyPlace(j, sets, b+1, 0, at)
	}
	board := j.Boards[b]
	if board.Cost[f] == nil {
		return everyPlace(j, sets, b, f+1, at)
	}
	best := j.Skip + everyPlace(j, sets, b, f+1, at)
	var others uint64
	for g, set := range sets {
		if g != f {
			others |= set
		}
	}
next:
	for i, slot := range board.Slots {
		if board.Cost[f][i] >= Never || slot.Ways&j.ways(f, sets[f], others) == 0 {
			continue
		}
		for g := range j.Items {
			if k, ok := at[[2]int{b, g}]; ok && k == i {
				continue next
			}
		}
		at[[2]int{b, f}] = i
		best = min(best, board.Cost[f][i]+everyPlace(j, sets, b, f+1, at))
		delete(at, [2]int{b, f})
	}
	return best
}

func unlikePlaces(j *Joint, at map[[2]int]int) int64 {
	var total int64
	for f := range j.Items {
		count, all, most := map[int]int{}, 0, 0
		for b, board := range j.Boards {
			if i, ok := at[[2]int{b, f}]; ok && board.Slots[i].Label != AnyLabel {
				count[board.Slots[i].Label]++
				most = max(most, count[board.Slots[i].Label])
				all++
			}
		}
		total += int64(all-most) * j.Unlike
	}
	return total
}

func recount(j *Joint, p Placing) int64 {
	var total int64
	at := map[[2]int]int{}
	for f := range j.Items {
		var others uint64
		for g, set := range p.Tools {
			if g != f {
				others |= set
			}
		}
		total += j.toolCost(f, p.Tools[f])
		for b, board := range j.Boards {
			if board.Cost[f] == nil {
				continue
			}
			i := p.Slot[b][f]
			if i < 0 {
				total += j.Skip
				continue
			}
			if board.Slots[i].Ways&j.ways(f, p.Tools[f], others) == 0 {
				return -1
			}
			total += board.Cost[f][i]
			at[[2]int{b, f}] = i
		}
	}
	return total + unlikePlaces(j, at)
}
