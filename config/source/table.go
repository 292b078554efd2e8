package source

import (
	"fmt"
	"slices"
	"strings"
)

// Table is a table of a file that is being read. Asking it for a key makes
// the key known; Close refuses the keys that nobody asked for.
type Table struct {
	doc   *Document
	node  *node // nil when the file has no such table
	above *Table
	name  string
	asked []bool   // of the keys that the file has, by their place in it
	words []string // the keys asked for, in order; one that was asked for twice stands twice
	told  bool     // that the table itself is missing or wrong was said
}

// Option says more about a key that is asked for.
type Option struct {
	required bool
	example  string
}

// Required makes the absence of the key a mistake; example is a right line.
func Required(example string) Option { return Option{required: true, example: example} }

// Example is a right line for the messages of a key that may be left out.
func Example(example string) Option { return Option{example: example} }

func joined(options []Option) (o Option) {
	for _, next := range options {
		o.required = o.required || next.required
		if next.example != "" {
			o.example = next.example
		}
	}
	return o
}

// Name is the last part of the table's path, "" for the file itself.
func (t *Table) Name() string { return t.name }

// Path is the table's full path, empty for the file itself.
func (t *Table) Path() []string {
	if t.above == nil {
		return nil
	}
	return append(t.above.Path(), t.name)
}

// Has reports whether the file has the key. Asking so does not make it known.
func (t *Table) Has(key string) bool { return t.find(key) != nil }

// Keys are the keys that the file has here, in file order.
func (t *Table) Keys() []string {
	if t.node == nil {
		return nil
	}
	keys := make([]string, 0, len(t.node.order))
	for _, c := range t.node.order {
		keys = append(keys, c.name)
	}
	return keys
}

// IsTable reports whether a table stands under the key.
func (t *Table) IsTable(key string) bool {
	n := t.find(key)
	return n != nil && n.kind.table()
}

// Where is the place of the key's value, or of the table when the key is not
// there.
func (t *Table) Where(key string) Pos { return t.doc.pos(t.at(key)) }

// Fault adds a mistake at the key's value.
func (t *Table) Fault(key string, p Problem) { t.doc.add(p, t.at(key)) }

func (t *Table) find(key string) *node {
	if t.node == nil {
		return nil
	}
	return t.node.find(key)
}

// at is the span of a key's value, else of the nearest table above it.
func (t *Table) at(key string) span {
	if n := t.find(key); n != nil {
		return n.place()
	}
	for up := t; up != nil; up = up.above {
		if up.node != nil {
			return up.node.place()
		}
	}
	return span{}
}

// ask makes a key known and gives what stands there; nil when nothing does.
func (t *Table) ask(key string, o Option) *node {
	t.words = append(t.words, key)
	n := t.find(key)
	switch {
	case n != nil:
		t.asked[n.index] = true
	case o.required:
		t.lacks(key, o)
	}
	return n
}

// lacks notes a key that is missing. Where the whole table is missing that is
// one mistake, not one for each of its keys.
func (t *Table) lacks(key string, o Option) {
	switch {
	case t.told:
	case t.node == nil:
		t.told = true
		t.doc.add(Problem{Message: fmt.Sprintf("%s lacks %s", t.above.called(), t.called()), Example: t.called() + "\n" + o.example}, t.at(""))
	default:
		p := Problem{Message: fmt.Sprintf("%s lacks `%s`", t.called(), key), Example: o.example}
		if near := t.misspelt(key); near != "" {
			p.Nearest = near + " stands there: is it meant?"
		}
		t.doc.add(p, t.at(""))
	}
}

// misspelt is a key of the file that looks like the one looked for and that
// nobody has asked for.
func (t *Table) misspelt(key string) string {
	var open []string
	for _, k := range t.Keys() {
		if !t.asked[t.find(k).index] {
			open = append(open, k)
		}
	}
	return Nearest(key, open)
}

// called is the table's name in messages.
func (t *Table) called() string {
	path := t.Path()
	if len(path) == 0 {
		return "the file"
	}
	return "[" + Visible(strings.Join(path, ".")) + "]"
}

// Sub is the table under the key; an empty one when the file has none. It
// must be closed like every other.
func (t *Table) Sub(key string, options ...Option) *Table {
	o := joined(options)
	sub := &Table{doc: t.doc, above: t, name: key}
	n := t.ask(key, o)
	switch {
	case n == nil:
		sub.told = o.required || t.told
	case !n.kind.table():
		t.wrongKind(key, n, "a table", o)
		sub.told = true
	default:
		sub.hold(n)
	}
	return sub
}

// hold makes n the table that is read.
func (t *Table) hold(n *node) {
	t.node, t.asked = n, make([]bool, len(n.order))
	t.words = make([]string, 0, 8)
}

// Each gives the tables under the key, in file order: [rule.a], [rule.b] for
// "rule". Each of them must be closed.
func (t *Table) Each(key string) []*Table {
	all := t.Sub(key, Example(fmt.Sprintf("[%s.NAME]", key)))
	var subs []*Table
	for _, name := range all.Keys() {
		if sub := all.Sub(name, Example(fmt.Sprintf("[%s.%s]", key, name))); sub.node != nil {
			subs = append(subs, sub)
		}
	}
	return subs
}

// Close refuses the keys that nobody asked for.
func (t *Table) Close() {
	if t.node == nil {
		return
	}
	for _, c := range t.node.order {
		if t.asked[c.index] {
			continue
		}
		t.doc.add(t.unknown(c.name), c.key)
	}
}

// unknown is the mistake of a key that is not known, with the nearest that is.
func (t *Table) unknown(key string) Problem {
	p := Problem{Message: fmt.Sprintf("%s has no key `%s`", t.called(), Visible(key))}
	near := Nearest(key, t.words)
	switch {
	case near != "" && strings.EqualFold(near, key):
		p.Message = fmt.Sprintf("the key `%s` is written `%s`: large and small letters differ", Visible(key), near)
		p.Nearest = near
	case near != "":
		p.Nearest = near
	default:
		words := slices.Clone(t.words)
		slices.Sort(words)
		p.Expected = "one of " + strings.Join(slices.Compact(words), ", ")
	}
	return p
}
