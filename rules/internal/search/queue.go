package search

// entry is a place in the queue. An entry whose cost is no longer that of its node is stale.
type entry struct {
	sum, bound, cost int
	node             int32
	seq              uint64
}

// before is the whole order of the queue; seq makes it total.
func (a entry) before(b entry) bool {
	if a.sum != b.sum {
		return a.sum < b.sum
	}
	if a.bound != b.bound {
		return a.bound < b.bound
	}
	return a.seq < b.seq
}

// queue is a heap with four children a node: shallower than a binary one, and kinder to the cache.
type queue struct {
	heap []entry
	next uint64
}

func (q *queue) len() int { return len(q.heap) }

func (q *queue) push(e entry) {
	e.seq = q.next
	q.next++
	q.heap = append(q.heap, e)
	i := len(q.heap) - 1
	for i > 0 {
		up := (i - 1) / 4
		if !e.before(q.heap[up]) {
			break
		}
		q.heap[i] = q.heap[up]
		i = up
	}
	q.heap[i] = e
}

func (q *queue) pop() entry {
	top := q.heap[0]
	last := q.heap[len(q.heap)-1]
	q.heap = q.heap[:len(q.heap)-1]
	if len(q.heap) == 0 {
		return top
	}
	i := 0
	for {
		child := 4*i + 1
		if child >= len(q.heap) {
			break
		}
		least := child
		for c := child + 1; c < min(child+4, len(q.heap)); c++ {
			if q.heap[c].before(q.heap[least]) {
				least = c
			}
		}
		if !q.heap[least].before(last) {
			break
		}
		q.heap[i] = q.heap[least]
		i = least
	}
	q.heap[i] = last
	return top
}
