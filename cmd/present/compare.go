package present

import (
	"slices"
	"strings"

	"asleft/config/record"
	"asleft/config/setting"
)

// CompareView sets side by side what is required, what was left, and what was found now.
type CompareView struct {
	Schema   string       `json:"schema"` // asleft/compare/1
	Vehicle  string       `json:"vehicle"`
	Rows     []CompareRow `json:"differences"`
	Notes    []string     `json:"notes,omitempty"`
	Columns  int          `json:"columns"` // how many of the three there are
	Doubts   Doubts       `json:"does-not-verify,omitempty"`
	Warnings []string     `json:"warnings,omitempty"`

	found bool
}

// CompareRow is one setting that is not the same everywhere.
type CompareRow struct {
	Device   string   `json:"device"`
	Setting  string   `json:"setting"`
	Required string   `json:"required,omitempty"`
	Left     string   `json:"left,omitempty"`
	Found    string   `json:"found,omitempty"`
	MayBe    []string `json:"may-be,omitempty"`
}

// whyWords says for people what may be behind a difference.
var whyWords = map[string]string{
	"rules-changed":  "the rules changed since",
	"job-changed":    "the job's description changed since",
	"overridden":     "it was overridden by a person",
	"not-set":        "it was not set as required",
	"nothing-left":   "nothing is recorded as left yet",
	"lost-power":     "it stands at the factory value: lost power or a reset",
	"as-before":      "as before the work: not keyed, or put back",
	"somebodys-hand": "somebody's hand, or a replaced device",
}

// Compare makes the view; today and now say that the required settings were derived today, and that
// the found ones were read now.
func Compare(vehicle string, c *record.Comparison, today, now bool) CompareView {
	v := CompareView{Schema: "asleft/compare/1", Vehicle: vehicle}
	switch {
	case today:
		v.note("Required: derived by today's rules.")
	case c.Derived != nil:
		v.note("Required: as derived on " + stampTime(c.Derived.Entry) + "; name the JOB to derive it by today's rules.")
	}
	if c.Left != nil {
		v.note("As left on " + stampTime(c.Left.Entry) + " by " + c.Left.By)
		for _, other := range c.Rivals {
			v.Warnings = append(v.Warnings, rivalWords(other))
		}
	}
	switch v.found = now || c.Found != nil; {
	case now:
		v.note("Found: now.")
	case v.found && c.Left == nil:
		v.note("Found: as recorded; nothing was left yet.")
	case v.found:
		v.note("Found: as recorded after it was left.")
	}
	for _, r := range c.Rows {
		if !r.Differs {
			continue
		}
		row := CompareRow{Device: r.Device, Setting: r.Setting, Required: known(r.Required), Left: known(r.Left), Found: known(r.Found)}
		for _, id := range r.Why {
			row.MayBe = append(row.MayBe, whyWords[id])
		}
		v.Rows = append(v.Rows, row)
	}
	slices.SortStableFunc(v.Rows, func(a, b CompareRow) int { return setting.Compare(a.Setting, b.Setting) }) // the five first, whatever the device
	return v
}

// rivalWords tells of an as-left entry that was written without knowing of the newest.
func rivalWords(other *record.Item) string {
	text := "Also as left on " + stampTime(other.Entry) + " by " + other.By + ", on " + other.Machine + ", neither knowing of the other: look at both"
	if off := other.Off(); len(off) > 0 {
		text += "; there set off: " + offWords(off)
	}
	return text + "."
}

func (v *CompareView) note(text string) {
	v.Notes = append(v.Notes, text)
	v.Columns++
}

func known(r setting.Reading) string {
	if r.Status == "" {
		return ""
	}
	return readingWords(r)
}

// Page lists the differences, the five settings first.
func (v CompareView) Page() Page {
	s := Section{Title: "Compared: " + v.Vehicle}
	v.Doubts.say(&s)
	s.Add(List{Tone: Quiet, Items: v.Notes})
	if len(v.Warnings) > 0 {
		s.Add(List{Tone: Danger, Items: v.Warnings})
	}
	if len(v.Rows) == 0 {
		s.Add(Text{Plain, "No difference."})
		return Page{Sections: []Section{s}}
	}
	g := Grid{Head: []string{"device", "setting", "required", "as left", "found", "it may be"}}
	for _, r := range v.Rows {
		g.Rows = append(g.Rows, []string{r.Device, r.Setting, r.Required, r.Left, r.Found, strings.Join(r.MayBe, "; ")})
	}
	s.Add(g)
	return Page{Sections: []Section{s}}
}
