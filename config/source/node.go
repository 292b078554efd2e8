package source

import (
	"strconv"
)

// kind is what stands at a key.
type kind int

const (
	scalar kind = iota
	array
	implied // a table named only on the way to another: a in [a.b]
	headed  // a table with a header of its own
	dotted  // a table made by a dotted key: a in a.b = 1
	inline  // a table in braces; closed for good
)

func (k kind) table() bool { return k >= implied }

// node is a key and what stands there: the position index.
type node struct {
	kind  kind
	name  string
	key   span             // the key, or the last part of the header that made the table
	value span             // the value; for a table with a header, the header
	raw   string           // the value as written, of a scalar
	data  any              // the value as the library decoded it; nil for a table
	order []*node          // of a table, in file order; of an array, its elements
	keys  map[string]*node // of a table that has many keys; nil for the others
	index int              // where it stands in its table's order
}

// few is the number of keys that are looked through faster than a map is made.
const few = 8

func newTable(k kind, name string, at span) *node {
	return &node{kind: k, name: name, key: at, value: at}
}

// find is the key of a table; nil when it has none of that name.
func (n *node) find(name string) *node {
	if n.keys != nil {
		return n.keys[name]
	}
	for _, c := range n.order {
		if c.name == name {
			return c
		}
	}
	return nil
}

// child is the key of a table or the element of an array ("0" is the first).
func (n *node) child(part string) *node {
	if n.kind.table() {
		return n.find(part)
	}
	if n.kind == array {
		if i, err := strconv.Atoi(part); err == nil && i >= 0 && i < len(n.order) {
			return n.order[i]
		}
	}
	return nil
}

func (n *node) put(c *node) {
	c.index = len(n.order)
	n.order = append(n.order, c)
	switch {
	case n.keys != nil:
		n.keys[c.name] = c
	case len(n.order) > few:
		n.keys = make(map[string]*node, 2*few)
		for _, c := range n.order {
			n.keys[c.name] = c
		}
	}
}

// place is where a message about the node points to.
func (n *node) place() span { return n.value }

// header finds or makes the table that a header names.
func (n *node) header(parts []keyPart, whole span) (*node, *fault) {
	for i, p := range parts {
		last := i == len(parts)-1
		next := n.find(p.name)
		switch {
		case next == nil && last:
			next = newTable(headed, p.name, p.at)
			next.value = whole
			n.put(next)
		case next == nil:
			next = newTable(implied, p.name, p.at)
			n.put(next)
		case last && next.kind == implied:
			next.kind, next.key, next.value = headed, p.at, whole
		case last, !next.kind.table(), next.kind == inline:
			return nil, doubled(p, next)
		}
		n = next
	}
	return n, nil
}

// through walks the parts of a dotted key before the last one.
func (n *node) through(parts []keyPart) (*node, *fault) {
	for _, p := range parts {
		next := n.find(p.name)
		switch {
		case next == nil:
			next = newTable(dotted, p.name, p.at)
			n.put(next)
		case next.kind != dotted:
			return nil, doubled(p, next)
		}
		n = next
	}
	return n, nil
}

// doubled is the mistake of giving a key or table twice.
func doubled(p keyPart, first *node) *fault {
	f := faultAt(p.at, Problem{
		Message:  "`" + Visible(p.name) + "` is given twice",
		Expected: "each key and each table once in a file",
	})
	if first.kind == inline || !first.kind.table() {
		f.problem.Found = "a value of that name further up"
	}
	f.also = first.key
	f.problem.Example = "another name, or one table that holds both"
	return f
}
