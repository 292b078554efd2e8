package search

// Conflict finds one minimal set of items that cannot hold together, by QuickXplain (Junker, AAAI 2004).
//
// Items are 0 to n-1 in the order of blame: the first are those that one would rather see in the answer. Of all
// minimal conflicts the answer is the one that keeps the late items out as far as it can: of two conflicts the one
// without the last item in which they differ. consistent reports whether a set of items can hold
// together; it must be monotone, so that fewer items of a consistent set are consistent too. The set that it is
// given must not be kept.
//
// The answer is sorted. It is nil when all items can hold together, and empty but not nil when not even the
// empty set is consistent: then the background alone is at fault.
func Conflict(n int, consistent func([]int) bool) []int {
	items := make([]int, n)
	for i := range items {
		items[i] = i
	}
	if consistent(items) {
		return nil
	}
	if n == 0 || !consistent(nil) {
		return []int{}
	}
	x := explainer{consistent: consistent, background: make([]int, 0, n)}
	conflict := x.find(0, items)
	sortInts(conflict)
	return conflict
}

type explainer struct {
	consistent func([]int) bool
	background []int
}

// find returns the items that are needed beside the background; added says how many items were put into the
// background last: when they suffice for a conflict, nothing else is needed.
func (x *explainer) find(added int, items []int) []int {
	if added > 0 && !x.consistent(x.background) {
		return nil
	}
	if len(items) == 1 {
		return []int{items[0]}
	}
	half := len(items) / 2
	first, other := items[:half], items[half:]
	mark := len(x.background)
	x.background = append(x.background, first...)
	late := x.find(len(first), other)
	x.background = append(x.background[:mark], late...)
	early := x.find(len(late), first)
	x.background = x.background[:mark]
	return append(early, late...)
}

func sortInts(s []int) {
	for i := 1; i < len(s); i++ {
		for j := i; j > 0 && s[j] < s[j-1]; j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
}
