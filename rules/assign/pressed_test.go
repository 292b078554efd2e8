package assign

import (
	"flag"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"asleft/config/pressed"
)

var press = flag.Bool("press", false, "write the pressed forms of recipes.toml and words.toml anew")

func TestPressedFilesAreFresh(t *testing.T) {
	s, err := readStock("recipes.toml", recipesFile)
	if err != nil {
		t.Fatal(err)
	}
	l, err := readLexicon("words.toml", wordsFile)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []struct {
		name, have string
		file       []byte
		walk       func(*pressed.Codec)
	}{{"recipes.pressed", recipesPressed, recipesFile, s.walk}, {"words.pressed", wordsPressed, wordsFile, l.walk}} {
		want := pressed.Press(pressed.FileDigest(f.file), f.walk)
		if *press {
			if err := os.WriteFile(f.name, want, 0o644); err != nil {
				t.Fatal(err)
			}
		} else if f.have != string(want) {
			t.Errorf("%s is of another file; write it anew with: go generate ./rules/assign", f.name)
		}
	}
}

// Read back, the pressed forms are what the files say; that of another file is not used.
func TestPressedFilesSayTheSame(t *testing.T) {
	s, _ := readStock("recipes.toml", recipesFile)
	l, _ := readLexicon("words.toml", wordsFile)
	var (
		stockBack   stock
		lexiconBack lexicon
	)
	if !unpress(recipesPressed, recipesFile, stockBack.walk) || !unpress(wordsPressed, wordsFile, lexiconBack.walk) {
		t.Fatal("a pressed form is not used")
	}
	if d := cmp.Diff(s, stockBack, cmp.AllowUnexported(stock{})); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(l, lexiconBack, cmp.AllowUnexported(lexicon{}, phrase{})); d != "" {
		t.Error(d)
	}
	if unpress(wordsPressed, append(wordsFile, '\n'), new(lexicon).walk) || unpress(wordsPressed[:len(wordsPressed)-1], wordsFile, new(lexicon).walk) {
		t.Error("the form of another file, or half of one, was used")
	}
}
