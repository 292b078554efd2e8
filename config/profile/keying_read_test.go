package profile

import (
	"errors"
	"os"
	"strings"
	"testing"

	"asleft/config/source"
)

// TestKeyingFaults: each mistake in the [keying] tables is named at its line, with the nearest right word.
func TestKeyingFaults(t *testing.T) {
	data, err := os.ReadFile("devices/demo-alder.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ right, wrong, message, nearest string }{
		{`input = "tap"`, `input = "tapp"`, "not an input", "tap"},
		{`input = "hold-2"`, `input = "hold-0"`, "not an input", "hold-2"},
		{`steps = ["hold-12"]`, `steps = ["hold-12", "remote-0"]`, "not an input", "remote-1"},
		{`shows = ["horn value"]`, `shows = ["horn values"]`, "cannot be read", "horn"},
		{`shows = ["led steady red"]`, `shows = ["horn steady red"]`, "cannot be read", ""},
		{`way = "cycle"`, `way = "cycel"`, "", "cycle"},
		{`cursor = "kept"`, `cursor = "Kept"`, "", "kept"},
		{`pending = "keeps"`, `pendings = "keeps"`, "", "pending"},
		{`levels = "side-by-side"`, ``, "lacks `levels`", ""},
		{`blocked-by = ["armed", "valet", "engine-running"]`, `blocked-by = ["armed", "armed"]`, "", ""},
		{`within = 12`, `within = 1200`, "", ""},
		{`erases = ["options"]`, `erases = ["option"]`, "", "options"},
	} {
		if strings.Count(string(data), c.right) == 0 {
			t.Fatalf("the profile has no %s", c.right)
		}
		text := strings.Replace(string(data), c.right, c.wrong, 1)
		_, err := Read("alder.toml", []byte(text))
		var problems source.Problems
		if !errors.As(err, &problems) {
			t.Errorf("%s: got %v", c.wrong, err)
			continue
		}
		found := false
		for _, p := range problems {
			placed := c.wrong == "" || strings.Contains(p.Line, strings.Fields(c.wrong)[0])
			found = found || placed && p.Pos.Line > 0 && strings.Contains(p.Message, c.message) && strings.Contains(p.Nearest, c.nearest)
		}
		if !found {
			t.Errorf("%s: %v", c.wrong, err)
		}
	}
}
