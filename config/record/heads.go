package record

import "slices"

// sortHeads orders by book, so that an entry has one encoding.
func sortHeads(heads []Head) {
	slices.SortFunc(heads, func(a, b Head) int { return compareUTF16(a.Book, b.Book) })
}
