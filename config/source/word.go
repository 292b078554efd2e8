package source

import (
	"fmt"
	"strings"
)

// IsWord reports the shape of the names that people give to things in files: small letters and digits, joined by single hyphens.
func IsWord(s string) bool {
	for part := range strings.SplitSeq(s, "-") {
		if part == "" || strings.Trim(part, "abcdefghijklmnopqrstuvwxyz0123456789") != "" {
			return false
		}
	}
	return true
}

// Counted is a number with its word, for messages: "1 entry", "2 entries".
func Counted(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
