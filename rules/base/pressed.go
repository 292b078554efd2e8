package base

import (
	_ "embed"
	"encoding/binary"
	"errors"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
)

// The pressed form of a rule base is what Load makes of the rule files, without the examples, as bytes that are read
// back in a fraction of the time that the files take. It begins with the digest of those files: a pressed form of
// other files is not used, so it can save time and can never say anything else than the files.
//
// The bytes are a table of strings and a row of varints. One walk over the model, in codec, serves both ways.

//go:generate go test -run TestPressedFormIsFresh -update .

//go:embed shipped.pressed
var pressed []byte

// Press gives the pressed form of a rule base.
func Press(b *Base) []byte {
	c := &codec{index: map[string]uint64{}}
	c.base(b)
	var table []byte
	table = binary.AppendUvarint(table, uint64(len(c.strings)))
	for _, s := range c.strings {
		table = binary.AppendUvarint(table, uint64(len(s)))
	}
	table = append(table, strings.Join(c.strings, "")...)
	return append(append([]byte(b.Digest), table...), c.numbers...)
}

// pressedDigest is the digest at the head of a pressed form.
func pressedDigest(data []byte) string { return string(data[:min(len(data), digestLength)]) }

const digestLength = 64

var errPressed = errors.New("rules/base: the pressed form is damaged")

// unpress reads a pressed form. Damage is an error, never a panic and never half a rule base.
func unpress(data []byte) (b *Base, err error) {
	defer func() {
		if recover() != nil { // an index or length beyond the end
			b, err = nil, errPressed
		}
	}()
	c := &codec{reading: true, numbers: data[digestLength:]}
	sizes := make([]int, c.size())
	for i := range sizes {
		sizes[i] = int(c.next())
	}
	total := 0
	for _, n := range sizes {
		total += n
	}
	text := string(c.numbers[:total])
	c.numbers = c.numbers[total:]
	c.strings = make([]string, len(sizes))
	for i, n := range sizes {
		c.strings[i], text = text[:n], text[n:]
	}
	b = &Base{Kinds: map[string][]string{}, facts: map[string]*FactType{}, Digest: pressedDigest(data)}
	c.base(b)
	for _, f := range b.Facts {
		b.facts[f.Pattern] = f
	}
	if len(c.numbers) > 0 {
		return nil, errPressed
	}
	return b, nil
}

// codec writes or reads a model in one and the same walk.
type codec struct {
	reading bool
	strings []string
	index   map[string]uint64
	numbers []byte
}

func (c *codec) next() uint64 {
	n, used := binary.Uvarint(c.numbers)
	if used <= 0 {
		panic(errPressed)
	}
	c.numbers = c.numbers[used:]
	return n
}

// size reads a length; nothing is longer than the bytes that are left.
func (c *codec) size() int {
	n := c.next()
	if n > uint64(len(c.numbers)) {
		panic(errPressed)
	}
	return int(n)
}

// number carries a whole number that is not negative.
func (c *codec) number(n *int) {
	if c.reading {
		*n = int(c.next())
	} else {
		c.numbers = binary.AppendUvarint(c.numbers, uint64(*n))
	}
}

func (c *codec) flag(b *bool) {
	n := b2i(*b)
	c.number(&n)
	*b = n == 1
}

// text carries a string as its place in the table.
func text[S ~string](c *codec, s *S) {
	if c.reading {
		*s = S(c.strings[c.next()])
		return
	}
	i, ok := c.index[string(*s)]
	if !ok {
		i = uint64(len(c.strings))
		c.index[string(*s)] = i
		c.strings = append(c.strings, string(*s))
	}
	c.numbers = binary.AppendUvarint(c.numbers, i)
}

// list carries a slice; a nil slice stays nil, and so does an empty one.
func list[T any](c *codec, items *[]T, each func(*T)) {
	n := len(*items)
	c.number(&n)
	if c.reading && n > 0 {
		if n > len(c.numbers) {
			panic(errPressed)
		}
		*items = make([]T, n)
	}
	for i := range *items {
		each(&(*items)[i])
	}
}

// pointers carries a slice of pointers.
func pointers[T any](c *codec, items *[]*T, each func(*T)) {
	list(c, items, func(p **T) {
		if c.reading {
			*p = new(T)
		}
		each(*p)
	})
}

func (c *codec) texts(items *[]string) { list(c, items, func(s *string) { text(c, s) }) }

func (c *codec) pos(p *source.Pos) {
	text(c, &p.File)
	c.number(&p.Line)
	c.number(&p.Col)
}

func (c *codec) lines(items *[]*Line) { pointers(c, items, c.line) }

func (c *codec) line(l *Line) {
	text(c, &l.Text)
	text(c, &l.Subject)
	text(c, &l.Name)
	c.flag(&l.Not)
	c.texts(&l.Values)
	text(c, &l.Over)
	text(c, &l.Kind)
	c.lines(&l.Inner)
	c.pos(&l.Pos)
}

func (c *codec) condition(w *Condition) {
	c.lines(&w.All)
	c.lines(&w.Any)
	c.lines(&w.None)
}

// real carries a number as text, in the form that settings have.
func (c *codec) real(n *float64) {
	s := string(setting.Number(*n))
	text(c, &s)
	if c.reading {
		*n, _ = setting.Value(s).Number()
	}
}
