package record

import (
	"fmt"
	"os"
	"testing"
)

// full reports whether the long runs were asked for.
func full() bool { return os.Getenv("ASLEFT_FULL") == "1" }

// counted returns the full count of a test, or the reduced one with a line
// that says how to run the full one.
func counted(t *testing.T, what string, all, less int) int {
	t.Helper()
	if full() {
		return all
	}
	less = raced(less)
	fmt.Printf("%s: %d of %d %s; all with: ASLEFT_FULL=1 go test -timeout 60m -run '^%s$' ./config/record\n", t.Name(), less, all, what, t.Name())
	return less
}

// part is the part of a long run that was asked for, so that it can be broken
// off and gone on with: ASLEFT_PART=3/20 is the third of twenty.
func part(t *testing.T) (part, parts int) {
	t.Helper()
	text := os.Getenv("ASLEFT_PART")
	if text == "" {
		return 0, 1
	}
	if _, err := fmt.Sscanf(text, "%d/%d", &part, &parts); err != nil || part < 1 || part > parts {
		t.Fatalf("ASLEFT_PART=%s: expected for example 3/20", text)
	}
	return part - 1, parts
}

// every returns the step that visits about want of n places, or all of them
// in a full run.
func every(n, want int) int {
	want = raced(want)
	if full() || n <= want {
		return 1
	}
	return n / want
}

// raced is a reduced count as the race detector lets it be run: it is there to see goroutines share memory, which few rounds show.
func raced(count int) int {
	if underRace {
		return max(count/4, 2)
	}
	return count
}
