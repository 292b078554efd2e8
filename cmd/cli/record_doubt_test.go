package cli

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// Whoever reads a vehicle's settings, entries or differences from a record in which one of its entries
// was edited is told so first, in every format that carries it, and by the status.
func TestDoubtsAreSaid(t *testing.T) {
	base := lived(t)
	lines := []string{"record show 'bus 1'", "record log 'bus 1'", "compare 'bus 1' $JOBS/minibus.toml", "which 'bus 1' ramp"}
	for _, line := range lines {
		if a := base.must(base.line(line)...); strings.Contains(a.out, "DOES NOT VERIFY") {
			t.Errorf("%s: %s", line, a.out)
		}
	}
	w := base.copied(t)
	w.edited(`"by":"T.V.","changes"`, `"by":"X.Y.","changes"`)
	for _, line := range append(lines, "record verify") {
		for format, words := range map[string][]string{
			"table": {"NOT VERIFY", "not verify", "those named below"}, "json": {`"does-not-verify"`, `"outcome": "does not verify"`, "DOES NOT VERIFY"}, "markdown": {"NOT VERIFY", "not verify"},
		} {
			a := w.run(append(w.line(line), "--format", format)...)
			said := false
			for _, word := range words {
				said = said || strings.Contains(a.out, word)
			}
			if a.status != NotVerified || !said {
				t.Errorf("%s as %s: status %d: %.300s%s", line, format, a.status, a.out, a.err)
			}
		}
	}
	if a := w.run("record", "verify"); strings.Contains(a.out, "Witnessed: all") || !strings.Contains(a.out, "those named below") {
		t.Errorf("%s", a.out)
	}
}

// edited changes the first of some bytes in the record behind the tool's back.
func (w *workshop) edited(from, to string) {
	w.t.Helper()
	path := w.env()["ASLEFT_RECORD"]
	data, err := os.ReadFile(path)
	if err != nil || !bytes.Contains(data, []byte(from)) || len(from) != len(to) {
		w.t.Fatalf("%q is not there: %v", from, err)
	}
	if err := os.WriteFile(path, bytes.Replace(data, []byte(from), []byte(to), 1), 0o600); err != nil {
		w.t.Fatal(err)
	}
}
