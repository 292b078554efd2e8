package search

import (
	"slices"
	"testing"
)

// Source: Junker, QuickXplain, AAAI 2004, tables 1 and 2: options of a car with prices 500, 500, 800, 500, 2600
// and a budget of 3000 (the budget is from memory; the table bounds it to 2600 up to 3099). The minimal conflict
// of table 2 is {4,5} for the order in which 4 and 5 come late.
func TestConflictOnJunkersCar(t *testing.T) {
	price := []int{500, 500, 800, 500, 2600}
	for _, c := range []struct{ order, want []int }{
		{[]int{1, 2, 3, 4, 5}, []int{1, 5}},
		{[]int{5, 4, 3, 2, 1}, []int{4, 5}},
		{[]int{4, 5, 1, 2, 3}, []int{4, 5}},
		{[]int{5, 1, 2, 3, 4}, []int{1, 5}},
	} {
		got := Conflict(5, func(set []int) bool {
			sum := 0
			for _, i := range set {
				sum += price[c.order[i]-1]
			}
			return sum <= 3000
		})
		var options []int
		for _, i := range got {
			options = append(options, c.order[i])
		}
		slices.Sort(options)
		if !slices.Equal(options, c.want) {
			t.Errorf("order %v: conflict %v, want %v", c.order, options, c.want)
		}
	}
}

func TestConflictEnds(t *testing.T) {
	if got := Conflict(3, func([]int) bool { return true }); got != nil {
		t.Errorf("consistent items: %v", got)
	}
	if got := Conflict(3, func([]int) bool { return false }); got == nil || len(got) != 0 {
		t.Errorf("inconsistent background: %v", got)
	}
}
