package keying

import (
	"fmt"
	"strings"
)

// counted is the number of random cases to run: all, or a tenth under the race detector.
func counted(n int) int {
	if underRace {
		return max(n/10, 1)
	}
	return n
}

func sprintf(format string, args ...any) string { return fmt.Sprintf(format, args...) }

func lastLines(lines []string, n int) string {
	if len(lines) > n {
		lines = lines[len(lines)-n:]
	}
	return strings.Join(lines, "\n")
}
