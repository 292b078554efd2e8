package setting

import (
	"cmp"
	"strings"
)

// Less is the order of every listing of settings: the five that lead, then the
// vocabulary's order, and inside a family the instances in natural order, so
// that "aux.2.seconds" stands before "aux.10.seconds". Names of no family come
// last. It is a total order: of two different names exactly one is less.
func Less(a, b string) bool { return Compare(a, b) < 0 }

// Compare is Less as a three-way comparison, for slices.SortFunc.
func Compare(a, b string) int {
	if a == b {
		return 0
	}
	return cmp.Or(cmp.Compare(rank(a), rank(b)), natural(a, b), cmp.Compare(a, b))
}

// natural compares texts so that runs of digits count by their value.
func natural(a, b string) int {
	for a != "" && b != "" {
		da, db := digitRun(a), digitRun(b)
		if da > 0 && db > 0 {
			x, y := strings.TrimLeft(a[:da], "0"), strings.TrimLeft(b[:db], "0")
			if c := cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)); c != 0 {
				return c
			}
			a, b = a[da:], b[db:]
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func digitRun(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}
