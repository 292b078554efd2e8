package source

import (
	"math/rand/v2"
	"regexp"
	"testing"
)

// The shapes as TOML 1.0 gives them (Boolean, Integer, Float, Offset Date-Time, Local Date-Time, Local Date, Local
// Time; its grammar in ABNF), as regular expressions: what is looked at by hand must agree with them.
var shapes = []struct {
	name string
	hand func(string) bool
	want *regexp.Regexp
}{
	{"whole", wholeShape, regexp.MustCompile(`^([+-]?(0|[1-9](_?[0-9])*)|0x[0-9A-Fa-f](_?[0-9A-Fa-f])*|0o[0-7](_?[0-7])*|0b[01](_?[01])*)$`)},
	{"number", numberShape, regexp.MustCompile(`^[+-]?(inf|nan|(0|[1-9](_?[0-9])*)(\.[0-9](_?[0-9])*)?([eE][+-]?[0-9](_?[0-9])*)?)$`)},
	{"time", timeShape, regexp.MustCompile(`^([0-9]{4}-[0-9]{2}-[0-9]{2}([Tt ][0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]+)?([Zz]|[+-]([01][0-9]|2[0-3]):[0-5][0-9])?)?|[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]+)?)$`)},
}

// Every word of up to four of the signs that matter, and longer ones made by changing right ones.
func TestShapesByHand(t *testing.T) {
	const signs = "01_+-.exobAinf7"
	words := []string{""}
	for from := 0; len(words[from]) < 4; from++ {
		for i := range len(signs) {
			words = append(words, words[from]+signs[i:i+1])
		}
	}
	chance := rand.New(rand.NewPCG(3, 4))
	for range 100_000 {
		words = append(words, changedWord(chance))
	}
	right := 0
	for _, word := range words {
		for _, s := range shapes {
			want := s.want.MatchString(word)
			if want {
				right++
			}
			if got := s.hand(word); got != want {
				t.Errorf("%s: %q is %v by hand, %v by the grammar", s.name, word, got, want)
			}
		}
	}
	t.Logf("%d words, %d of a shape", len(words), right)
}

// changedWord is a right word with up to two signs changed, added or dropped.
func changedWord(chance *rand.Rand) string {
	right := []string{"2026-11-20T07:32:00.25+01:30", "2026-11-20 23:59:59Z", "2026-11-20", "07:32:00.999", "1_000.5e-1_0", "-0.25E+7", "0xdead_BEEF", "0o17_7", "0b1_01", "+1_234", "-nan", "+inf"}
	const signs = "0123456789_+-.:tTzZ eExob"
	word := []byte(right[chance.IntN(len(right))])
	for range chance.IntN(3) {
		at := chance.IntN(len(word))
		sign := signs[chance.IntN(len(signs))]
		switch chance.IntN(3) {
		case 0:
			word[at] = sign
		case 1:
			word = append(word[:at], append([]byte{sign}, word[at:]...)...)
		default:
			word = append(word[:at], word[at+1:]...)
		}
	}
	return string(word)
}
