package source

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Text reads text; "" when the key is absent. Text that is present must not
// be empty.
func (t *Table) Text(key string, options ...Option) string {
	o := joined(options)
	n := t.ask(key, o)
	if n == nil {
		return ""
	}
	return t.text(key, n, o)
}

// text reads one text; "" after a mistake.
func (t *Table) text(key string, n *node, o Option) string {
	s, ok := n.data.(string)
	switch {
	case !ok:
		t.wrongKind(key, n, "text in quotes", o)
		return ""
	case strings.TrimSpace(s) == "":
		t.doc.add(Problem{Message: fmt.Sprintf("`%s` is empty", Visible(key)), Expected: "text, or no such line", Example: o.example}, n.value)
		return ""
	case len(s) > MaxText && utf8.RuneCountInString(s) > MaxText:
		t.doc.add(Problem{Message: fmt.Sprintf("`%s` is too long", Visible(key)), Expected: fmt.Sprintf("at most %d letters", MaxText)}, n.value)
		return ""
	}
	return s
}

// Texts reads a list of texts.
func (t *Table) Texts(key string, options ...Option) []string {
	o := joined(options)
	var out []string
	for _, e := range t.list(key, "a list of texts", o) {
		if s := t.text(key, e, o); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// Whole reads a whole number from min to max.
func (t *Table) Whole(key string, min, max int, options ...Option) int {
	o := joined(options)
	n := t.ask(key, o)
	if n == nil {
		return 0
	}
	v, _ := t.whole(key, n, min, max, o)
	return v
}

func (t *Table) whole(key string, n *node, min, max int, o Option) (int, bool) {
	v, ok := n.data.(int64)
	if ok && v >= int64(min) && v <= int64(max) {
		return int(v), true
	}
	expected := fmt.Sprintf("a whole number from %d to %d", min, max)
	if !ok {
		t.wrongKind(key, n, expected, o)
	} else {
		t.outside(key, n, expected, o)
	}
	return 0, false
}

// Wholes reads a list of whole numbers from min to max.
func (t *Table) Wholes(key string, min, max int, options ...Option) []int {
	o := joined(options)
	var out []int
	for _, e := range t.list(key, "a list of whole numbers", o) {
		if v, ok := t.whole(key, e, min, max, o); ok {
			out = append(out, v)
		}
	}
	return out
}

// Number reads a number from min to max.
func (t *Table) Number(key string, min, max float64, options ...Option) float64 {
	o := joined(options)
	n := t.ask(key, o)
	if n == nil {
		return 0
	}
	v, _ := t.number(key, n, min, max, o)
	return v
}

// Numbers reads a list of numbers from min to max.
func (t *Table) Numbers(key string, min, max float64, options ...Option) []float64 {
	o := joined(options)
	var out []float64
	for _, e := range t.list(key, "a list of numbers", o) {
		if v, ok := t.number(key, e, min, max, o); ok {
			out = append(out, v)
		}
	}
	return out
}

func (t *Table) number(key string, n *node, min, max float64, o Option) (float64, bool) {
	v, ok := n.data.(float64)
	if i, whole := n.data.(int64); whole {
		v, ok = float64(i), true
	}
	if ok && v >= min && v <= max { // neither holds for nan
		return v, true
	}
	expected := fmt.Sprintf("a number from %s to %s", decimal(min), decimal(max))
	if !ok {
		t.wrongKind(key, n, expected, o)
	} else {
		t.outside(key, n, expected, o)
	}
	return 0, false
}

func decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Flag reads true or false.
func (t *Table) Flag(key string, options ...Option) bool {
	o := joined(options)
	n := t.ask(key, o)
	if n == nil {
		return false
	}
	v, ok := n.data.(bool)
	if !ok {
		t.wrongKind(key, n, "true or false", o)
	}
	return v
}

// Day reads a date, as "2026-11-20".
func (t *Table) Day(key string, options ...Option) string {
	o := joined(options)
	n := t.ask(key, o)
	if n == nil {
		return ""
	}
	if n.kind != scalar || !like(n.raw, "0000-00-00") {
		t.wrongKind(key, n, "a date without quotes and without a time: 2026-11-20", o)
		return ""
	}
	return n.raw
}

// Word reads one of words.
func (t *Table) Word(key string, words []string, options ...Option) string {
	o := joined(options)
	n := t.ask(key, o)
	if n == nil {
		return ""
	}
	word, _ := t.word(key, n, words, o)
	return word
}

// Words reads a list of words of which none may come twice.
func (t *Table) Words(key string, words []string, options ...Option) []string {
	o := joined(options)
	var out []string
	var at []*node // where each of out stands
	for _, e := range t.list(key, "a list of words", o) {
		word, ok := t.word(key, e, words, o)
		if !ok {
			continue
		}
		if i := slices.Index(out, word); i >= 0 {
			t.doc.add(Problem{
				Message:  fmt.Sprintf("`%s` holds %q twice", key, word),
				Expected: "each word once",
				Also:     []Pos{t.doc.pos(at[i].value)},
			}, e.value)
			continue
		}
		out, at = append(out, word), append(at, e)
	}
	return out
}

func (t *Table) word(key string, n *node, words []string, o Option) (string, bool) {
	s, ok := n.data.(string)
	if i := slices.Index(words, s); ok && i >= 0 {
		return words[i], true
	}
	expected := "one of " + strings.Join(words, ", ")
	if !ok {
		t.wrongKind(key, n, expected, o)
		return "", false
	}
	p := Problem{
		Message:  fmt.Sprintf("`%s` has no word %q", key, s),
		Expected: expected,
		Found:    fmt.Sprintf("%q", s),
		Nearest:  Nearest(s, words),
		Example:  o.example,
	}
	p.Message = Visible(p.Message)
	if p.Nearest != "" && strings.EqualFold(p.Nearest, s) {
		p.Message = fmt.Sprintf("%q is written %q: large and small letters differ", s, p.Nearest)
	}
	t.doc.add(p, n.value)
	return "", false
}

// list gives the elements of a list; nil when the key is absent or no list.
func (t *Table) list(key, expected string, o Option) []*node {
	n := t.ask(key, o)
	if n == nil {
		return nil
	}
	if n.kind != array {
		t.wrongKind(key, n, expected, o)
		return nil
	}
	return n.order
}

// wrongKind notes a value of the wrong kind.
func (t *Table) wrongKind(key string, n *node, expected string, o Option) {
	t.doc.add(Problem{
		Message:  fmt.Sprintf("`%s` is the wrong kind of value", Visible(key)),
		Expected: expected,
		Found:    describe(n),
		Example:  o.example,
	}, n.value)
}

// outside notes a number outside its range.
func (t *Table) outside(key string, n *node, expected string, o Option) {
	t.doc.add(Problem{
		Message:  fmt.Sprintf("`%s` is out of range", key),
		Expected: expected,
		Found:    n.raw,
		Example:  o.example,
	}, n.value)
}

// describe says in words what kind of value a node is.
func describe(n *node) string {
	raw := n.raw
	if r := []rune(raw); len(r) > 40 {
		raw = string(r[:40]) + "…"
	}
	switch n.data.(type) {
	case string:
		return "text " + raw
	case int64:
		return "the whole number " + raw
	case float64:
		return "the number " + raw
	case bool:
		return "the flag " + raw
	}
	switch {
	case n.kind == array:
		return "a list"
	case n.kind.table():
		return "a table"
	}
	return "the date or time " + raw
}

// Value reads what a setting can be and gives it as text: a word or text as it
// stands, a number in shortest decimal, true and false as "on" and "off", a
// list of words sorted and joined by "+", "none" when it is empty.
func (t *Table) Value(key string, options ...Option) string {
	o := joined(options)
	n := t.ask(key, o)
	if n == nil {
		return ""
	}
	if n.kind == array {
		words := t.Texts(key, options...)
		slices.Sort(words)
		if len(words) == 0 {
			return "none"
		}
		return strings.Join(words, "+")
	}
	switch v := n.data.(type) {
	case string:
		return t.text(key, n, o)
	case bool:
		if v {
			return "on"
		}
		return "off"
	case int64:
		return strconv.FormatInt(v, 10)
	case float64:
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			return decimal(v)
		}
	}
	t.wrongKind(key, n, "a word, a number, true, false or a list of words", o)
	return ""
}
