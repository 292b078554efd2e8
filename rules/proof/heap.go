package proof

// heap gives the warmest proposition first; of two as warm, the lower.
type heap struct {
	heat []float64
	list []int32
	at   []int32 // place in the list and 1 more; 0 for none
}

func (h *heap) before(a, b int32) bool {
	return h.heat[a] > h.heat[b] || h.heat[a] == h.heat[b] && a < b
}

func (h *heap) push(v int32) {
	for int(v) >= len(h.at) {
		h.at = append(h.at, 0)
	}
	if h.at[v] != 0 {
		return
	}
	h.list = append(h.list, v)
	h.at[v] = int32(len(h.list))
	h.up(v)
}

func (h *heap) pop() int32 {
	top, last := h.list[0], h.list[len(h.list)-1]
	h.list = h.list[:len(h.list)-1]
	h.at[top] = 0
	if len(h.list) > 0 {
		h.list[0], h.at[last] = last, 1
		h.down(0)
	}
	return top
}

// up moves a proposition that became warmer.
func (h *heap) up(v int32) {
	i := int(h.at[v]) - 1
	for i > 0 && h.before(h.list[i], h.list[(i-1)/2]) {
		h.swap(i, (i-1)/2)
		i = (i - 1) / 2
	}
}

func (h *heap) down(i int) {
	for {
		best := i
		for _, c := range []int{2*i + 1, 2*i + 2} {
			if c < len(h.list) && h.before(h.list[c], h.list[best]) {
				best = c
			}
		}
		if best == i {
			return
		}
		h.swap(i, best)
		i = best
	}
}

func (h *heap) swap(i, j int) {
	h.list[i], h.list[j] = h.list[j], h.list[i]
	h.at[h.list[i]], h.at[h.list[j]] = int32(i+1), int32(j+1)
}
