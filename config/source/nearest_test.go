package source

import (
	"testing"

	"pgregory.net/rapid"
)

func TestNearest(t *testing.T) {
	words := []string{"petrol", "diesel", "hybrid-petrol", "electric", "park", "parking-brake", "run"}
	for word, want := range map[string]string{
		"diesel": "diesel", "deisel": "diesel", "Diesel": "diesel", "desel": "diesel", "DEISEL": "diesel",
		"petrl": "petrol", "hybrid-petrl": "hybrid-petrol", "elektric": "electric", "parking": "park", "prak": "park",
		"parking-break": "parking-brake", "ran": "run", "rn": "run", "steam": "", "x": "", "": "", "diesels!!!!": "diesel",
	} {
		if got := Nearest(word, words); got != want {
			t.Errorf("%q: got %q, want %q", word, got, want)
		}
	}
}

// TestDistance compares with the definition of the distance, written out
// without memory: Damerau, A technique for computer detection and correction
// of spelling errors (1964), in the form where no letter is moved twice.
func TestDistance(t *testing.T) {
	var plain func(a, b []rune) int
	plain = func(a, b []rune) int {
		if len(a) == 0 || len(b) == 0 {
			return len(a) + len(b)
		}
		best := plain(a[1:], b[1:])
		if a[0] != b[0] {
			best++
		}
		best = min(best, 1+plain(a[1:], b), 1+plain(a, b[1:]))
		if len(a) > 1 && len(b) > 1 && a[0] == b[1] && a[1] == b[0] {
			best = min(best, 1+plain(a[2:], b[2:]))
		}
		return best
	}
	letters := rapid.StringMatching(`[abc]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := []rune(letters.Draw(t, "a")), []rune(letters.Draw(t, "b"))
		want := plain(a, b)
		if got := distance(a, b, 100); got != want {
			t.Fatalf("%q to %q: got %d, want %d", string(a), string(b), got, want)
		}
		limit := rapid.IntRange(1, 8).Draw(t, "limit")
		if got := distance(a, b, limit); got != min(want, limit) && !(want >= limit && got >= limit) {
			t.Fatalf("%q to %q within %d: got %d, want %d", string(a), string(b), limit, got, want)
		}
	})
}
