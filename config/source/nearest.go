package source

import (
	"strings"
)

// Nearest is the one of words that is most like word, or "" when none is
// near: a word that differs in case only, else the one with the fewest
// letters to add, drop, change or swap with a neighbour, if that is at most a
// third of the letters; else a word that begins with word or the other way
// round. The first of several equals wins.
func Nearest(word string, words []string) string {
	if word == "" || len(word) > MaxKey {
		return ""
	}
	for _, w := range words {
		if strings.EqualFold(w, word) {
			return w
		}
	}
	lower := []rune(strings.ToLower(word))
	best, bestCost := "", max(1, len(lower)/3)+1
	for _, w := range words {
		if cost := distance(lower, []rune(strings.ToLower(w)), bestCost); cost < bestCost {
			best, bestCost = w, cost
		}
	}
	if best != "" {
		return best
	}
	for _, w := range words {
		if len(word) >= 3 && len(w) >= 3 && (strings.HasPrefix(w, word) || strings.HasPrefix(word, w)) {
			return w
		}
	}
	return ""
}

// distance counts the edits from a to b (Damerau and Levenshtein, swaps of
// neighbours included), and stops counting at limit.
func distance(a, b []rune, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	older := make([]int, len(b)+1)
	old := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range old {
		old[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			row[j] = min(old[j]+1, row[j-1]+1, old[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], older[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least >= limit {
			return limit
		}
		older, old, row = old, row, older
	}
	return old[len(b)]
}
