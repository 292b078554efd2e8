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
	fmt.Printf("%s: %d of %d %s; all with: ASLEFT_FULL=1 go test -timeout 60m -run '^%s$' ./config/record\n", t.Name(), less, all, what, t.Name())
	return less
}

// every returns the step that visits about want of n places, or all of them
// in a full run.
func every(n, want int) int {
	if full() || n <= want {
		return 1
	}
	return n / want
}
