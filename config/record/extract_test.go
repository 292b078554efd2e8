package record

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// An extract verifies without the database, and a sheet printed in between is
// a witness for it.
func TestExtract(t *testing.T) {
	w := newBench(t)
	ctx := context.Background()
	w.record(Draft{Kind: Opened, Attributes: map[Attribute]string{Label: "Veldra Pip"}})
	v := w.minibus()
	c, err := w.b.Checkpoint(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		w.record(Draft{Kind: Opened})
	}
	var file bytes.Buffer
	if err := w.b.Extract(ctx, v, &file); err != nil {
		t.Fatal(err)
	}
	x, err := VerifyExtract(bytes.NewReader(file.Bytes()), "x", ExtractOptions{})
	if err != nil || x.Report.Outcome != Unwitnessed || len(x.History.Items) != 5 {
		t.Fatalf("%+v %v", x, err)
	}
	for _, against := range []string{SheetCode(c.Head), string(c.Note)} {
		x, err = VerifyExtract(bytes.NewReader(file.Bytes()), "x", ExtractOptions{Against: []string{against}})
		if err != nil || x.Report.Outcome != Witnessed || x.Report.Books[0].WitnessedTo != 6 {
			t.Errorf("%+v %v", x.Report, err)
		}
	}
	if s, _, err := x.History.Snapshot("left"); err != nil || len(s.Readings) != 2 {
		t.Errorf("left: %v %v", s, err)
	}
	tamperExtract(t, file.String())
}

// tamperExtract changes, drops, doubles and moves each line.
func tamperExtract(t *testing.T, file string) {
	t.Helper()
	counted(t, "changed bytes", len(file), min(len(file), 600))
	lines := strings.SplitAfter(strings.TrimSuffix(file, "\n"), "\n")
	broken := func(what string, parts []string) {
		x, err := VerifyExtract(strings.NewReader(strings.Join(parts, "")), "x", ExtractOptions{})
		if err == nil && x.Report.Outcome != Flawed {
			t.Errorf("%s passed", what)
		}
	}
	with := func(parts ...[]string) []string {
		var out []string
		for _, p := range parts {
			out = append(out, p...)
		}
		return out
	}
	for i := range lines {
		broken("dropped line", with(lines[:i], lines[i+1:]))
		broken("doubled line", with(lines[:i+1], lines[i:]))
		for at := 0; at < len(lines[i]); at += every(len(file), 600) {
			changed := []byte(lines[i])
			changed[at] ^= 1
			all := with(lines[:i], []string{string(changed)}, lines[i+1:])
			broken("changed byte "+string(lines[i][at]), all)
			if strings.Contains(lines[i], `"line":"entry"`) || strings.Contains(lines[i], `"line":"book"`) {
				broken("forged byte "+string(lines[i][at]), withEnd(all[:len(all)-1]))
			}
		}
	}
	// a vehicle's entry left out with the count put right
	for i, line := range lines {
		if strings.Contains(line, `"line":"entry"`) && strings.Contains(lines[i+1], `"line":"continues"`) && strings.Contains(line, `kind\":\"measured`) {
			broken("entry left out", withEnd(with(lines[:i], lines[i+2:len(lines)-1])))
		}
	}
}

// withEnd puts a right end line under lines, as a forger would.
func withEnd(lines []string) []string {
	text := strings.Join(lines, "")
	end := fmt.Sprintf("{\"line\":\"end\",\"lines\":%d,\"sha256\":%q}\n", len(lines), DigestOf([]byte(text)).String())
	return append(slices.Clone(lines), end)
}
