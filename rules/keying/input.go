package keying

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"asleft/config/profile"
	"asleft/config/source"
)

// Input is one thing that hands do, or a wait of some seconds.
type Input struct {
	Word    string  // "tap", "hold-2", "key-run", "remote-3", "silence"; "wait" with Seconds
	Seconds float64 // of a wait
}

// String is the input as ParseInputs reads it.
func (i Input) String() string {
	if i.Word == "wait" {
		return "wait-" + strconv.FormatFloat(i.Seconds, 'f', -1, 64)
	}
	return i.Word
}

// MaxInputs bounds what a person may type for one rehearsal.
const MaxInputs = 10_000

var inputNames = []string{"tap", "hold-2", "brake", "key-out", "key-off", "key-acc", "key-run", "remote-1", "power-off", "power-on", "silence", "wait-5"}

// ParseInputs reads a list of inputs as a person types it: words separated by spaces, commas
// or line ends, "*N" for the same N times, "wait-S" for S seconds without doing anything, and
// "#" before a remark.
//
//	key-run tap*3 key-off key-run   # enter
//	tap*4, brake                    # option 5, next value
//	wait-20
//
// The error is source.Problems with the place of every word that cannot be read; name stands
// for the file in it.
func ParseInputs(name, text string) ([]Input, error) {
	var out []Input
	var problems source.Problems
	for n, line := range strings.Split(text, "\n") {
		code, _, _ := strings.Cut(line, "#")
		for at := 0; at < len(code); {
			size := strings.IndexAny(code[at:], " \t\r,")
			if size < 0 {
				size = len(code) - at
			}
			word := code[at : at+size]
			if word != "" {
				inputs, p := parseInput(word)
				if p.Message != "" {
					p.Pos = source.Pos{File: name, Line: n + 1, Col: utf8.RuneCountInString(line[:at]) + 1}
					p.Line, p.Width, p.Found = line, utf8.RuneCountInString(word), strconv.Quote(word)
					problems = append(problems, p)
				}
				out = append(out, inputs...)
			}
			at += size + 1
			if len(out) > MaxInputs {
				problems = append(problems, source.Problem{Pos: source.Pos{File: name, Line: n + 1}, Line: line, Message: fmt.Sprintf("more than %d inputs", MaxInputs)})
				return nil, problems
			}
		}
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return out, nil
}

func parseInput(word string) ([]Input, source.Problem) {
	stem, times, starred := strings.Cut(word, "*")
	n := 1
	if starred {
		var err error
		if n, err = strconv.Atoi(times); err != nil || n < 1 || n > 99 {
			return nil, source.Problem{Message: "the number after * is wrong", Expected: "a whole number from 1 to 99", Example: "tap*5"}
		}
	}
	in := Input{Word: stem}
	if rest, ok := strings.CutPrefix(stem, "wait-"); ok {
		s, err := strconv.ParseFloat(rest, 64)
		if err != nil || !(s > 0 && s <= 3600) {
			return nil, source.Problem{Message: "the seconds of a wait are wrong", Expected: "a number above 0, at most 3600", Example: "wait-2.5"}
		}
		in = Input{Word: "wait", Seconds: s}
	} else if !profile.ValidInput(stem) {
		return nil, source.Problem{Message: "no such input", Expected: "one of " + strings.Join(inputNames, ", "), Nearest: source.Nearest(stem, inputNames), Example: "key-run tap*3 wait-2"}
	}
	out := make([]Input, n)
	for i := range out {
		out[i] = in
	}
	return out, source.Problem{}
}

// FormatInputs writes inputs so that ParseInputs reads the same; equal neighbours are joined.
func FormatInputs(inputs []Input) string {
	var b strings.Builder
	for i := 0; i < len(inputs); {
		n := 1
		for i+n < len(inputs) && inputs[i+n] == inputs[i] && n < 99 {
			n++
		}
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(inputs[i].String())
		if n > 1 {
			fmt.Fprintf(&b, "*%d", n)
		}
		i += n
	}
	return b.String()
}
