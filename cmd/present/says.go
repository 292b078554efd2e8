package present

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/record"
)

// says is an entry in one line, as a person would tell it.
func (e EntryView) says() string {
	d := e.Data
	var says []string
	switch record.Kind(e.Kind) {
	case record.Opened:
		says = nonEmpty(d["title"])
	case record.Tested:
		says = nonEmpty(d["test"]+" "+d["result"], d["reading"])
	case record.Left:
		says = nonEmpty(lead("set off: ", offWords(strings.Split(d["off"], "+"))))
	case record.Derived:
		says = nonEmpty(lead("remote start ", hyphens(d["remote-start"])))
	case record.Refused:
		says = nonEmpty(d["findings"])
	case record.Closed:
		says = nonEmpty(d["as"])
	case record.Comeback:
		says = nonEmpty(lead("SAFETY", strings.Repeat(" complaint", len(d["safety"])/len("yes"))), d["complaint"])
	case record.Measured:
		says = []string{fmt.Sprintf("%d conductors", count(d, ".role"))}
	case record.Keyed, record.Found:
	default:
		says = e.readings()
	}
	if e.Changes > 0 {
		says = append(says, fmt.Sprintf("%d settings change", e.Changes))
	}
	if e.Overrides > 0 {
		says = append(says, fmt.Sprintf("%d of them overridden", e.Overrides))
	}
	says = append(says, nonEmpty(lead("because: ", e.Reason), lead("on entry ", e.Points[:min(8, len(e.Points))]))...)
	if e.Concurrent > 0 {
		says = append(says, "CONCURRENT with another book's entry")
	}
	if e.ClockBack > 0 {
		says = append(says, "the clock had stepped back")
	}
	return strings.Join(says, "; ")
}

// outspoken are readings that speak for themselves, without their name.
var outspoken = []string{"text", "what", "sheet", "cause"}

// readings are the readings of an entry, those that speak for themselves first.
func (e EntryView) readings() []string {
	var says []string
	for _, name := range outspoken {
		if text := e.Data[name]; text != "" {
			says = append(says, text)
		}
	}
	for _, name := range sortedKeys(e.Data) {
		if text := e.Data[name]; !slices.Contains(outspoken, name) && !digestLike(text) {
			says = append(says, hyphens(name)+" "+text)
		}
	}
	return says
}

// digestLike texts are digests and numbers of vehicles: they stand in the JSON, no listing shows them.
func digestLike(text string) bool {
	return len(text) >= 32 && strings.Trim(text, "0123456789abcdef") == ""
}

func count(data map[string]string, suffix string) int {
	n := 0
	for name := range data {
		if strings.HasSuffix(name, suffix) {
			n++
		}
	}
	return n
}

// hyphens makes words of a word id.
func hyphens(id string) string { return strings.ReplaceAll(id, "-", " ") }

// offWords names what was set off: "remote start, ramp".
func offWords(off []string) string {
	var words []string
	for _, what := range off {
		words = append(words, hyphens(strings.TrimPrefix(what, "function:")))
	}
	return strings.Join(words, ", ")
}
