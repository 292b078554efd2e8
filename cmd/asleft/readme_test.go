package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestReadmeTour runs every command that README.md shows, in order and in one folder of records,
// and compares what it prints: a line of README with only "..." stands for any lines left out.
func TestReadmeTour(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	bin := filepath.Join(t.TempDir(), "asleft")
	if err := os.Symlink(self, bin); err != nil { // the test binary is the command when it is called so
		t.Fatal(err)
	}
	home := t.TempDir()
	shown := 0
	for _, block := range consoleBlocks(string(text)) {
		for _, call := range block {
			shown++
			output, status := runTour(t, bin, home, call.command)
			if call.status != "" && call.status != fmt.Sprint(status) {
				t.Errorf("README.md:%d: %s: exit status %d, shown %s", call.line, call.command, status, call.status)
			}
			if missing := matches(output, call.output); missing != "" {
				t.Errorf("README.md:%d: %s does not print, at its place,\n\t%s\nit prints\n%s", call.line, call.command, missing, output)
			}
		}
	}
	if shown < 5 {
		t.Fatalf("README.md shows %d commands only", shown)
	}
}

// call is one command with the output that README shows for it.
type call struct {
	line            int
	command, status string
	output          []string
}

func consoleBlocks(text string) [][]call {
	var blocks [][]call
	var block []call
	inside := false
	for i, line := range strings.Split(text, "\n") {
		switch {
		case line == "```console":
			inside, block = true, nil
		case line == "```" && inside:
			inside, blocks = false, append(blocks, block)
		case inside && strings.HasPrefix(line, "$ "):
			command, status, _ := strings.Cut(strings.TrimPrefix(line, "$ "), "   # exit status ")
			block = append(block, call{line: i + 1, command: command, status: status})
		case inside && len(block) > 0:
			last := &block[len(block)-1]
			last.output = append(last.output, line)
		}
	}
	return blocks
}

func runTour(t *testing.T, bin, home, command string) (output string, status int) {
	t.Helper()
	c := exec.Command("sh", "-c", command+" 2>&1")
	c.Dir = root
	c.Env = append(os.Environ(),
		"PATH="+filepath.Dir(bin)+string(os.PathListSeparator)+os.Getenv("PATH"),
		"HOME="+home, "XDG_DATA_HOME="+home+"/data", "XDG_STATE_HOME="+home+"/state", "ASLEFT_RECORD=", "ASLEFT_BY=", "ASLEFT_STATE=",
		"ASLEFT_NOW=2026-11-25T09:00:00+01:00", "ASLEFT_MACHINE=bay-2", "TZ=Europe/Zurich")
	var out bytes.Buffer
	c.Stdout, c.Stderr = &out, &out
	err := c.Run()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return out.String(), exit.ExitCode()
	}
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), 0
}

// matches returns the first shown line that the output does not have at its place, "" when all are there.
func matches(output string, shown []string) string {
	lines := strings.Split(strings.TrimRight(output, "\n"), "\n")
	at, free := 0, false
	for _, want := range shown {
		if want == "..." {
			free = true
			continue
		}
		for free && at < len(lines) && lines[at] != want {
			at++
		}
		if at >= len(lines) || lines[at] != want {
			return want
		}
		at, free = at+1, false
	}
	return ""
}
