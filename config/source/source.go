// Package source reads the TOML files that people write: strictly, with all
// mistakes of a file at once, and each mistake with its place.
//
// # What a file is
//
// A file is TOML 1.0 in UTF-8, at most [MaxBytes] long. Three things that
// TOML allows are refused, because a person who reads the file later is
// better off without them: arrays of tables (a table has a name here, so that
// it can be spoken of), keys longer than [MaxKey] letters or more than
// [MaxValues] of them, and nesting deeper than [MaxDepth].
//
// # How it is read
//
// Reading has three steps. First the bounds and the shape: a scanner of our
// own walks over the bytes once, refuses what is not TOML 1.0 in shape, and
// notes for each key where the key and its value stand. Then the TOML library
// decodes what the scanner let through, and so checks it a second time; it
// never sees text that the scanner did not accept, since a short key with
// thousands of dots keeps that library busy for seconds. Last, the reader of
// a schema asks a [Table] for the keys it knows:
//
//	doc, err := source.Parse("minibus.toml", data)
//	if err != nil {
//		return err // Problems, with the first mistake of the shape
//	}
//	vehicle := doc.Root().Sub("vehicle", source.Required("[vehicle]"))
//	year := vehicle.Whole("year", 1900, 2100)
//	fuel := vehicle.Word("fuel", []string{"petrol", "diesel"}, source.Required(`fuel = "diesel"`))
//	vehicle.Close()
//	doc.Root().Close()
//	return doc.Problems() // nil when clean
//
// A method that meets a mistake notes it and gives the zero value, so that
// reading goes on and one run shows every mistake. What nobody asked for is
// a mistake too, found by Close.
//
// # What it does not do
//
// It knows no schema and no word of the trade, opens no file, and writes
// nothing.
package source

import (
	"fmt"
	"slices"
	"strings"
	"sync"
)

// Bounds of a file. No file that a person writes comes near them; they keep
// hostile text away from the TOML library.
const (
	MaxBytes    = 256 << 10 // bytes of a file
	MaxKey      = 128       // letters of one part of a key
	MaxText     = 2000      // letters of one text
	MaxDepth    = 8         // parts of a dotted key; tables and arrays inside each other
	MaxValues   = 10000     // keys, tables and elements of lists in a file
	MaxProblems = 500       // mistakes kept of one file; the rest are counted
)

// Pos is a place in a file. Line and Col count from 1, Col in letters (Unicode
// code points, a tab is one). Line 0 means the file as a whole.
type Pos struct {
	File      string
	Line, Col int
}

// String is "file:line:col", or the file's name alone for the whole file.
func (p Pos) String() string {
	name := Visible(p.File)
	if p.Line == 0 {
		return name
	}
	return fmt.Sprintf("%s:%d:%d", name, p.Line, p.Col)
}

// before orders places by file, line and column.
func (p Pos) compare(q Pos) int {
	if c := strings.Compare(p.File, q.File); c != 0 {
		return c
	}
	if p.Line != q.Line {
		return p.Line - q.Line
	}
	return p.Col - q.Col
}

// Document is a file that was read, with the place of each key and the
// mistakes found so far.
type Document struct {
	name     string
	text     text
	root     *node
	problems Problems
	dropped  int
	later    func() // reads a document of [Later] when it is first needed
}

// Parse checks the bounds and reads data as TOML 1.0. The error is [Problems]
// and holds the first mistake of the shape; mistakes of meaning come later,
// from the tables. The name is used in messages only.
func Parse(name string, data []byte) (*Document, error) {
	d := &Document{name: name, text: newText(data)}
	root, fault := scan(d.text.data)
	if fault == nil {
		d.root = root
		fault = decode(d.text.data, root)
	}
	if fault != nil {
		p := d.place(fault.problem, fault.at)
		if !fault.also.whole() {
			p.Also = []Pos{d.pos(fault.also)}
		}
		return nil, Problems{p}
	}
	return d, nil
}

// Later is the document of a file that is known to be right, because it was
// read before and has not changed since: it is read again only when somebody
// asks it for a place or a table. A file that is wrong after all is a bug of the
// caller, who ends with a panic.
func Later(name string, data []byte) *Document {
	d := &Document{name: name}
	d.later = sync.OnceFunc(func() {
		read, err := Parse(name, data)
		if err != nil {
			panic(err)
		}
		d.text, d.root = read.text, read.root
	})
	return d
}

// index is the index of positions.
func (d *Document) index() *node {
	if d.later != nil {
		d.later()
	}
	return d.root
}

// Name is the name that the file was given.
func (d *Document) Name() string { return d.name }

// Root is the table that the file itself is.
func (d *Document) Root() *Table {
	t := &Table{doc: d}
	t.hold(d.index())
	return t
}

// Problems are the mistakes found so far, sorted by place; nil when there are
// none.
func (d *Document) Problems() Problems {
	if len(d.problems) == 0 {
		return nil
	}
	out := slices.Clone(d.problems)
	out.sort()
	if d.dropped > 0 {
		out = append(out, Problem{
			Pos:     Pos{File: d.name},
			Message: fmt.Sprintf("and %d more mistakes like these", d.dropped),
		})
	}
	return out
}

// Where is the place of the value at path. When there is no such key it is
// the place of the nearest table above that exists.
func (d *Document) Where(path ...string) Pos {
	return d.pos(d.find(path).place())
}

// Fault adds p to the mistakes of the file, at the value of path.
func (d *Document) Fault(p Problem, path ...string) {
	d.add(p, d.find(path).place())
}

// Problem is p with its place filled in, at the value of path, without being
// added: for checks across files that are made after reading.
func (d *Document) Problem(p Problem, path ...string) Problem {
	return d.place(p, d.find(path).place())
}

// find is the node at path or the nearest one above it.
func (d *Document) find(path []string) *node {
	n := d.index()
	for _, part := range path {
		next := n.child(part)
		if next == nil {
			return n
		}
		n = next
	}
	return n
}

func (d *Document) add(p Problem, at span) {
	if len(d.problems) >= MaxProblems {
		d.dropped++
		return
	}
	d.problems = append(d.problems, d.place(p, at))
}

func (d *Document) pos(at span) Pos {
	if at.whole() {
		return Pos{File: d.name}
	}
	line, col := d.text.lineCol(at.from)
	return Pos{File: d.name, Line: line, Col: col}
}

// place fills in where p is.
func (d *Document) place(p Problem, at span) Problem {
	p.Pos = d.pos(at)
	if !at.whole() {
		p.Line = d.text.line(p.Pos.Line)
		p.Width = d.text.width(at)
	}
	return p
}
