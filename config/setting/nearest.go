package setting

// nearest returns the word with the fewest single-letter changes from text, the
// first of equals, or "" when more than a third of the letters (at least two)
// would have to change. Changes are counted as Levenshtein did (1966).
func nearest(text string, words []string) string {
	best, limit := "", max(2, len(text)/3)+1
	if len(text) > 80 {
		return ""
	}
	for _, w := range words {
		if d := changes(text, w, limit); d < limit && d < max(len(text), len(w)) {
			best, limit = w, d
		}
	}
	return best
}

// changes counts the insertions, deletions and replacements from a to b; it
// gives up at limit, so that a file full of wrong names is refused quickly.
func changes(a, b string, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			next := diagonal
			if a[i-1] != b[j-1] {
				next = 1 + min(diagonal, row[j], row[j-1])
			}
			diagonal, row[j] = row[j], next
			least = min(least, next)
		}
		if least >= limit {
			return limit
		}
	}
	return row[len(b)]
}
