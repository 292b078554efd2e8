package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The table of faults in DEVELOPERS.md names tests that exist, in the package that it names.
func TestFaultsHaveTheirTests(t *testing.T) {
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, table, _ := strings.Cut(string(text), "## Faults and attacks")
	table, _, _ = strings.Cut(table, "\n## ")
	folders := map[string]string{"r": "config/record", "c": "cmd/cli"}
	word := regexp.MustCompile("`[a-z/]+`|\\b[rc] |\\b(Test|Fuzz)\\w+|scripts [a-z-]+")
	rows, named := 0, 0
	for _, line := range strings.Split(table, "\n") {
		cells := strings.Split(line, " | ")
		if len(cells) != 3 || cells[1] == "---" || cells[1] == "tests" {
			continue
		}
		rows++
		folder := ""
		for _, w := range word.FindAllString(cells[1], -1) {
			switch {
			case strings.HasPrefix(w, "Test"), strings.HasPrefix(w, "Fuzz"):
				named++
				if !hasTest(t, folder, w) {
					t.Errorf("%s: there is no %s in %s", cells[0], w, folder)
				}
			case strings.HasPrefix(w, "scripts "):
				if _, err := os.Stat("../../testdata/script/" + strings.TrimPrefix(w, "scripts ") + ".txtar"); err != nil {
					t.Error(err)
				}
			case strings.HasPrefix(w, "`"):
				folder = strings.Trim(w, "`")
			default:
				folder = folders[strings.TrimSpace(w)]
			}
		}
	}
	if rows < 24 || named < rows {
		t.Errorf("%d rows, %d tests", rows, named)
	}
}

func hasTest(t *testing.T, folder, name string) bool {
	t.Helper()
	files, err := filepath.Glob("../../" + folder + "/*_test.go")
	if err != nil || folder == "" {
		t.Fatalf("%s: folder %q %v", name, folder, err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(data), "func "+name+"(") {
			return true
		}
	}
	return false
}
