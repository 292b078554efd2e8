package job

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"asleft/config/source"
)

var update = flag.Bool("update", false, "write the golden files anew")

// read reads a file of any of the three kinds, by its name.
func read(name string, data []byte) error {
	var err error
	switch {
	case strings.HasSuffix(name, ".policy.toml"):
		_, err = ReadPolicy(name, data)
	case strings.HasSuffix(name, ".found.toml"):
		_, err = ReadFound(name, data)
	default:
		_, err = Read(name, data)
	}
	return err
}

// TestNoKeyIsIgnored misspells each key of each demo file in turn: every time
// the file must be refused, at that line.
func TestNoKeyIsIgnored(t *testing.T) {
	key := regexp.MustCompile(`^("?[a-z][a-z0-9.-]*)("?) = `)
	tried := 0
	for name, lines := range demoFiles(t) {
		for i, line := range lines {
			m := key.FindStringSubmatchIndex(line)
			if m == nil || free[line[m[2]:m[3]]] {
				continue
			}
			tried++
			changed := append([]string(nil), lines...)
			changed[i] = line[:m[3]] + "xq" + line[m[3]:]
			err := read(name, []byte(strings.Join(changed, "\n")))
			if !foundAt(err, i+1) {
				t.Errorf("%s:%d: %q is taken: %v", name, i+1, changed[i], err)
			}
		}
	}
	if tried < 1000 {
		t.Errorf("only %d keys tried", tried)
	}
}

// free are the keys of the demo policy that a shop makes up: who may override.
var free = map[string]bool{"lead-technician": true, "front-desk": true}

// foundAt reports a mistake at a line.
func foundAt(err error, line int) bool {
	var found source.Problems
	errors.As(err, &found)
	for _, p := range found {
		if p.Pos.Line == line {
			return true
		}
	}
	return false
}

// TestNoLineIsNeeded takes each line away, and gives each twice: the readers
// may refuse, but never panic and never lose the place.
func TestNoLineIsNeeded(t *testing.T) {
	files := demoFiles(t)
	for _, name := range []string{"estate.toml", "ostlin.policy.toml", "minibus.found.toml"} {
		lines := files[name]
		for i := range lines {
			for _, times := range []int{0, 2} {
				var changed []string
				changed = append(changed, lines[:i]...)
				for range times {
					changed = append(changed, lines[i])
				}
				changed = append(changed, lines[i+1:]...)
				var found source.Problems
				errors.As(read(name, []byte(strings.Join(changed, "\n"))), &found)
				for _, p := range found {
					if p.Pos.Line > 0 && changed[p.Pos.Line-1] != p.Line {
						t.Errorf("%v quotes %q", p.Pos, p.Line)
					}
				}
			}
		}
	}
}

// demoFiles are the lines of each demo file that is not to be refused.
func demoFiles(t *testing.T) map[string][]string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.toml"))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]string{}
	for _, file := range files {
		if strings.HasPrefix(filepath.Base(file), "refused-") {
			continue // like the others, but for a few lines
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(file)] = strings.Split(string(data), "\n")
	}
	return out
}

// TestMessages keeps the whole text of what is said about the slips of
// measuring, since a technician in a car reads nothing else.
func TestMessages(t *testing.T) {
	text := least + `
[circuit.c1-01]
read-with = "lamp-5w"
volts = { out = 12.5, off = 0.1, acc = 0.1, run = 12.4, crank = 10.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }

[circuit.c1-02]
read-with = "meter"
volts = { out = 0.0, off = 0.0, acc = 12.3, run = 0.0, crank = 0.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }

[circuit.c1-03]
read-with = "meter"
volts = { out = 0.0, off = 0.0, acc = 0.0, run = 7.2, crank = 0.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }

[circuit.c1-04]
read-with = "meter"
volts = { out = 0.0, off = 2.0, acc = 3.4, run = 5.2, crank = 0.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }

[circuit.c1-05]
read-with = "meter"
volts = { out = 0.0, off = 0.0, acc = 0.0, run = -12.3, crank = 0.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }

[circuit.c1-06]
read-with = "meter"
volts = { out = 0.0, off = 0.0, acc = 0.0, run = 24.4, crank = 19.8 }
battery = { out = 25.2, off = 25.2, acc = 25.0, run = 24.9, crank = 20.2 }

[circuit.blue]
read-with = "meter"
volts = { out = 0.0, off = 0.0, acc = 0.0, run = 12.3, crank = 10.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }

[feed.second]
conductor = "c1-30"
`
	_, err := Read("van.toml", []byte(text))
	if err == nil {
		t.Fatal("nothing found")
	}
	golden(t, "messages.txt", err.Error()+"\n")
}

// TestWarnings keeps the text of what is to be looked at again.
func TestWarnings(t *testing.T) {
	text := strings.Replace(least, `plate = "TCW 014"`, `vin = "HZZCR4BA1UT000417"`, 1) + `
[circuit.c1-06]
read-with = "lamp-5w"
volts = { out = 0.0, off = 0.0, acc = 0.0, run = 0.0, crank = 0.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }

[circuit.c1-08]
read-with = "meter"
retained = true
volts = { out = 12.5, off = 12.5, acc = 12.4, run = 12.4, crank = 0.0 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }

[circuit.c2-11]
read-with = "meter"
volts = { out = 2.5, off = 2.5, acc = 2.5, run = 2.4, crank = 2.5 }
battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.5, crank = 10.2 }
`
	j, err := Read("van.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "warnings.txt", j.Warnings.Error()+"\n")
}

// golden compares got with a file of testdata; -update writes it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
	}
}
