package job

import (
	"regexp"
	"testing"
)

// The shapes of names are those of the expressions, for every text of up to eight of the letters that matter.
func TestShapesOfNames(t *testing.T) {
	wordShape := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	cavityShape := regexp.MustCompile(`^c[0-9]{1,3}-[0-9]{1,3}[a-z]?$`)
	words, cavities := 0, 0
	var try func(s string, left int)
	try = func(s string, left int) {
		if word(s) != wordShape.MatchString(s) {
			t.Errorf("word(%q) is %v", s, word(s))
		}
		if isCavity(s) != cavityShape.MatchString(s) {
			t.Errorf("isCavity(%q) is %v", s, isCavity(s))
		}
		if word(s) {
			words++
		}
		if isCavity(s) {
			cavities++
		}
		for _, letter := range "c7-Z" {
			if left > 0 {
				try(s+string(letter), left-1)
			}
		}
	}
	try("", 8)
	for _, s := range []string{"c1-03\n", "c1-03a", "c1-03ab", "ß", "c1-é", "c123-123", "c1234-1", "c1-1234", "c1-1-1"} {
		try(s, 0)
	}
	if words == 0 || cavities == 0 {
		t.Error("nothing was compared")
	}
}
