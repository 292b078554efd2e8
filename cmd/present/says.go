package present

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/record"
	"asleft/config/source"
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
		says = append(says, e.settings())
	}
	if e.Overrides > 0 {
		says = append(says, fmt.Sprintf("%d of them overridden", e.Overrides))
	}
	says = append(says, e.sealed()...)
	says = append(says, nonEmpty(lead("because: ", e.Reason), lead("on entry ", e.Points[:min(8, len(e.Points))]))...)
	if e.CorrectedBy != "" {
		says = append(says, "CORRECTED by entry "+e.CorrectedBy[:8])
	}
	if e.Concurrent > 0 {
		says = append(says, "CONCURRENT with another book's entry")
	}
	if e.ClockBack > 0 {
		says = append(says, "the clock had stepped back")
	}
	return strings.Join(says, "; ")
}

// settings counts the settings that an entry speaks of, those first stated apart from those that changed.
func (e EntryView) settings() string {
	changed := e.Changes - e.First
	switch {
	case changed == 0:
		return source.Counted(int64(e.First), "setting", "settings")
	case e.First == 0:
		return source.Counted(int64(changed), "setting changed", "settings changed")
	default:
		return fmt.Sprintf("%s, %d first stated", source.Counted(int64(changed), "setting changed", "settings changed"), e.First)
	}
}

// sealed tells which values the entry brought: their fields, and personal values where they were opened.
func (e EntryView) sealed() []string {
	var personal []string
	for _, field := range e.Personal {
		if value, opened := e.Opened[field]; opened {
			field = hyphens(field) + " " + value
		}
		personal = append(personal, hyphens(field))
	}
	return nonEmpty(lead("personal: ", strings.Join(personal, ", ")), lead("secret: ", hyphens(strings.Join(e.Secrets, ", "))))
}

// outspoken are readings that speak for themselves, without their name.
var outspoken = []string{"text", "what", "sheet", "cause"}

// readings are the readings of an entry, those that speak for themselves first.
func (e EntryView) readings() []string {
	if e.Data["copy"] != "" {
		return []string{"copied out: " + e.Data["copy"] + " " + e.Data["file"]}
	}
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
