package record

import (
	"slices"
	"testing"
)

// Two laptops leave one vehicle without knowing of each other: what either of them set off is told at the
// desk for nothing, and both are named, until somebody leaves it who knows of both.
func TestRivals(t *testing.T) {
	a, b := newBenchOf(t, 1), newBenchOf(t, 2)
	v := a.minibus()
	b.imports(a.export(ExportOptions{}), ImportOptions{})
	b.record(Draft{Kind: Left, Vehicle: v, By: "J.K.", Snapshot: readings("unlock.steps", "all"), Data: map[string]string{"off": "remote-start"}})
	a.record(Draft{Kind: Left, Vehicle: v, Snapshot: readings("unlock.steps", "driver-first"), Data: map[string]string{"off": "function:ramp"}})
	a.imports(b.export(ExportOptions{}), ImportOptions{})
	b.imports(a.export(ExportOptions{}), ImportOptions{})
	for _, w := range []*bench{a, b} {
		answer, err := w.b.Which(t.Context(), v, nil)
		if err != nil || len(answer.Rivals) != 1 || answer.Rivals[0].Identity == answer.Left.Identity {
			t.Fatalf("%+v %v", answer, err)
		}
		if slices.Sort(answer.Off); !slices.Equal(answer.Off, []string{"function:ramp", "remote-start"}) {
			t.Errorf("off: %q", answer.Off)
		}
		if c, err := answer.History.Compare(Today{}); err != nil || len(c.Rivals) != 1 {
			t.Errorf("%+v %v", c, err)
		}
	}
	a.record(Draft{Kind: Left, Vehicle: v, Snapshot: readings("unlock.steps", "driver-first")})
	answer, err := a.b.Which(t.Context(), v, nil)
	if err != nil || len(answer.Rivals)+len(answer.Off) != 0 {
		t.Errorf("%+v %v", answer, err)
	}
}
