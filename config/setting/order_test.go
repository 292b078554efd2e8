package setting

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestListingOrder(t *testing.T) {
	want := []string{
		"engine-speed.source", "feed.second.role", "feed.third.role", "unlock.steps",
		"remote.big.gesture.g1", "remote.big.gesture.g2", "remote.big.gesture.g10", "remote.small.gesture.g1",
		"aux.1.behaviour", "aux.2.behaviour", "aux.10.behaviour",
		"engine-speed.learn", "crank.limit", "run.minutes", "gearbox.guard", "lock.count",
		"aux.2.seconds", "aux.10.seconds", "state-output.6.on", "no.such.name", "zebra",
	}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortFunc(got, Compare)
	if !slices.Equal(got, want) {
		t.Errorf("got %v\nwant %v", got, want)
	}
}

func anyName(t *rapid.T, label string) string {
	part := rapid.SampledFrom([]string{"1", "2", "02", "10", "second", "g1", "g01", "g10", "a-2", "a-10", ""})
	f := anyFamily(t)
	name := Instance(f.Pattern, part.Draw(t, label+" first"), part.Draw(t, label+" second"))
	if rapid.IntRange(0, 9).Draw(t, label+" odd") == 0 {
		name += rapid.SampledFrom([]string{".x", " ", "\x00"}).Draw(t, label+" tail")
	}
	return name
}

// The order is total: of two different names exactly one is less, equals are
// equal names, and it is transitive.
func TestOrderIsTotal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := anyName(t, "a"), anyName(t, "b"), anyName(t, "c")
		if (Compare(a, b) == 0) != (a == b) {
			t.Fatalf("%q and %q compare as %d", a, b, Compare(a, b))
		}
		if Compare(a, b) != -Compare(b, a) {
			t.Fatalf("%q and %q are not antisymmetric", a, b)
		}
		if Less(a, b) && Less(b, c) && !Less(a, c) {
			t.Fatalf("%q < %q < %q", a, b, c)
		}
	})
}

func TestOrderIsStableUnderShuffles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) string { return anyName(t, "n") }), 0, 30).Draw(t, "names")
		shuffled := rapid.Permutation(names).Draw(t, "shuffled")
		slices.SortFunc(names, Compare)
		slices.SortFunc(shuffled, Compare)
		if !slices.Equal(names, shuffled) {
			t.Fatalf("%q\n%q", names, shuffled)
		}
	})
}
