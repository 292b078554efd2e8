package search

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func sets(lists ...[]int) []Set {
	var out []Set
	for _, l := range lists {
		var s Set
		for _, i := range l {
			s |= 1 << (i - 1) // the sources count from 1
		}
		out = append(out, s)
	}
	slices.SortFunc(out, compareSets)
	return out
}

func check(t *testing.T, name string, n int, consistent func([]int) bool, conflicts, corrections []Set) {
	t.Helper()
	got, fixes, whole := Conflicts(n, consistent, 0)
	if !whole {
		t.Errorf("%s: not whole", name)
	}
	slices.SortFunc(got, compareSets)
	if !slices.Equal(got, conflicts) {
		t.Errorf("%s: conflicts %v, want %v", name, got, conflicts)
	}
	if !slices.Equal(fixes, corrections) {
		t.Errorf("%s: corrections %v, want %v", name, fixes, corrections)
	}
	if hit := Hitting(conflicts); !slices.Equal(hit, corrections) {
		t.Errorf("%s: hitting sets %v, want %v", name, hit, corrections)
	}
}

// Source: O'Sullivan, Papadopoulos, Faltings, Pu, Representative Explanations for Over-Constrained Problems (AAAI; the
// year 2007 is from memory): four minimal conflicts are published; the corrections follow by brute force.
func TestConflictsOfTheCarWithOptions(t *testing.T) {
	price := []int{0, 500, 500, 500, 2600}
	consistent := func(set []int) bool {
		sum, budget := 0, false
		for _, i := range set {
			sum += price[i]
			budget = budget || i == 0
		}
		rack, open := slices.Contains(set, 1), slices.Contains(set, 2)
		return !(rack && open) && !(budget && sum > 3000)
	}
	check(t, "car", 5, consistent,
		sets([]int{2, 3}, []int{1, 2, 5}, []int{1, 3, 5}, []int{1, 4, 5}),
		sets([]int{1, 2}, []int{1, 3}, []int{2, 5}, []int{3, 5}, []int{2, 3, 4}))
}

// Source: manleviet/CA-CDR-V2, commit e501e48, cdrmodel-package/src/main/resources/csp1..6.mzn, whose comments give
// the sets. The published diagnoses of csp6 are a stale copy; those here are computed by brute force.
func TestConflictsOfSmallConstraintProblems(t *testing.T) {
	type vars [4]int
	over := func(low, high, count int, list ...func(vars) bool) func([]int) bool {
		return func(set []int) bool {
			var v vars
			var try func(k int) bool
			try = func(k int) bool {
				if k > count {
					return !slices.ContainsFunc(set, func(i int) bool { return !list[i](v) })
				}
				for x := low; x <= high; x++ {
					v[k] = x
					if try(k + 1) {
						return true
					}
				}
				return false
			}
			return try(1)
		}
	}
	check(t, "csp1", 4, over(-10, 10, 2,
		func(v vars) bool { return v[1] > 1 }, func(v vars) bool { return v[1] < v[2] },
		func(v vars) bool { return v[1] < 1 }, func(v vars) bool { return v[2] == -10 }),
		sets([]int{1, 3}, []int{2, 4}), sets([]int{1, 2}, []int{1, 4}, []int{2, 3}, []int{3, 4}))
	check(t, "csp2", 7, over(1, 3, 3,
		func(v vars) bool { return v[2] == 1 }, func(v vars) bool { return v[2] > 2 }, func(v vars) bool { return v[3] == 1 },
		func(v vars) bool { return v[2] < 2 }, func(v vars) bool { return v[1] > 2 }, func(v vars) bool { return v[3] > 2 }, func(v vars) bool { return v[1] > 1 }),
		sets([]int{1, 2}, []int{2, 4}, []int{3, 6}), sets([]int{2, 3}, []int{2, 6}, []int{1, 3, 4}, []int{1, 4, 6}))
	check(t, "csp3", 7, over(1, 3, 3,
		func(v vars) bool { return v[2] == 1 }, func(v vars) bool { return v[2] > 2 }, func(v vars) bool { return v[3] == 1 },
		func(v vars) bool { return v[2] < 2 }, func(v vars) bool { return v[1] > 2 }, func(v vars) bool { return v[3] > 0 }, func(v vars) bool { return v[1] < 2 }),
		sets([]int{1, 2}, []int{2, 4}, []int{5, 7}), sets([]int{2, 5}, []int{2, 7}, []int{1, 4, 5}, []int{1, 4, 7}))
	check(t, "csp4", 7, over(1, 3, 3,
		func(v vars) bool { return v[2] == 1 }, func(v vars) bool { return v[2] > 2 }, func(v vars) bool { return v[3] == 1 },
		func(v vars) bool { return v[1] == 2 }, func(v vars) bool { return v[1] >= 2 }, func(v vars) bool { return v[3] > 0 }, func(v vars) bool { return v[1] <= 2 }),
		sets([]int{1, 2}), sets([]int{1}, []int{2}))
	check(t, "csp5", 7, over(1, 3, 3,
		func(v vars) bool { return v[2] == 3 }, func(v vars) bool { return v[2] > 2 }, func(v vars) bool { return v[3] == 1 },
		func(v vars) bool { return v[3] < 2 }, func(v vars) bool { return v[1] > 2 }, func(v vars) bool { return v[3] > 0 }, func(v vars) bool { return v[1] < 2 }),
		sets([]int{5, 7}), sets([]int{5}, []int{7}))
	check(t, "csp6", 7, over(1, 3, 3,
		func(v vars) bool { return v[2] == v[1] }, func(v vars) bool { return v[2] < 2 }, func(v vars) bool { return v[3] == 1 },
		func(v vars) bool { return v[3] >= 1 }, func(v vars) bool { return v[1] > 2 }, func(v vars) bool { return v[3] > 0 }, func(v vars) bool { return v[1] == 2 }),
		sets([]int{1, 2, 5}, []int{1, 2, 7}, []int{5, 7}), sets([]int{1, 5}, []int{1, 7}, []int{2, 5}, []int{2, 7}, []int{5, 7}))
}

// Source: Reiter, A Theory of Diagnosis from First Principles, AIJ 32 (1987), the family of the hitting-set tree (from
// memory); the minimal hitting sets are computed by brute force.
func TestHittingSetsOfReiter(t *testing.T) {
	family := sets([]int{2, 4, 5}, []int{1, 2, 3}, []int{1, 3, 5}, []int{2, 4, 6}, []int{2, 4}, []int{2, 3, 5}, []int{1, 6})
	want := sets([]int{1, 2}, []int{1, 3, 4}, []int{1, 4, 5}, []int{2, 3, 6}, []int{2, 5, 6}, []int{3, 4, 6})
	if got := Hitting(family); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// Source: de Kleer and Williams, Diagnosing Multiple Faults, AIJ 32 (1987): two conflicts of the circuit of three
// multipliers and two adders, in the order A1 A2 M1 M2 M3 (from memory, computed again), and Poole, CPSC 322 final 1997,
// question 1, in the order p q r s t u, with the fact d added.
func TestHittingSetsOfCircuitAndExam(t *testing.T) {
	if got, want := Hitting(sets([]int{1, 3, 4}, []int{1, 2, 3, 5})), sets([]int{1}, []int{3}, []int{2, 4}, []int{4, 5}); !slices.Equal(got, want) {
		t.Errorf("circuit: got %v, want %v", got, want)
	}
	if got, want := Hitting(sets([]int{1}, []int{3, 6}, []int{2, 3, 4})), sets([]int{1, 3}, []int{1, 2, 6}, []int{1, 4, 6}); !slices.Equal(got, want) {
		t.Errorf("exam: got %v, want %v", got, want)
	}
}

// Source: Poole and Mackworth, Artificial Intelligence, 2nd edition, example 5.23, house wiring (second half of the
// knowledge base from memory). Components in the order cb1 s1 s2 s3 l1 l2: two conflicts, seven minimal diagnoses.
func TestHittingSetsOfHouseWiring(t *testing.T) {
	got := Hitting(sets([]int{1, 2, 3, 5}, []int{1, 4, 6}))
	want := sets([]int{1}, []int{2, 4}, []int{2, 6}, []int{3, 4}, []int{3, 6}, []int{4, 5}, []int{5, 6})
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// For random monotone problems the conflicts and corrections equal those of looking at every subset, and the first
// conflict is that of Conflict.
func TestConflictsEqualExhaustion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "n")
		masks := rapid.SliceOfN(rapid.Uint8(), n, n).Draw(t, "masks")
		start := rapid.Uint8Min(1).Draw(t, "background")
		consistent := func(set []int) bool {
			left := start
			for _, i := range set {
				left &= masks[i]
			}
			return left != 0
		}
		var bad, good []Set
		for s := Set(0); s < 1<<n; s++ {
			if consistent(s.Items()) {
				good = append(good, Set(1<<n-1)&^s)
			} else {
				bad = append(bad, s)
			}
		}
		want, fixes := Minimal(bad), Minimal(good)
		got, gotFixes, _ := Conflicts(n, consistent, 0)
		if first := Conflict(n, consistent); len(got) > 0 && got[0] != SetOf(first...) {
			t.Fatalf("first conflict %v, Conflict says %v", got[0].Items(), first)
		}
		slices.SortFunc(got, compareSets)
		if !slices.Equal(got, want) || !slices.Equal(gotFixes, fixes) {
			t.Fatalf("got %v and %v, want %v and %v", got, gotFixes, want, fixes)
		}
	})
}
