// Package pressed keeps what was made of TOML files as bytes that are read back in a fraction of the time that the
// files take. What the tool ships is pressed when it is built: the rule base and the demo devices. What people write
// is always read as TOML.
//
// A pressed form begins with the digest of the files it was made from, so a form of other files is not used: it can
// save time, and it can never say anything else than the files.
//
// # How a model is pressed
//
// One walk over the model, a function of a [Codec] that names each field in a fixed order, serves both ways:
//
//	func walk(c *pressed.Codec, f *Feed) {
//		pressed.Text(c, &f.Name)
//		c.Real(&f.Amps)
//		c.Texts(&f.Roles)
//	}
//	data := pressed.Press(digest, func(c *pressed.Codec) { walk(c, &feed) })
//	err := pressed.Read(data, func(c *pressed.Codec) { walk(c, &feed) })
//
// # What the bytes are
//
// The digest, the length of all texts, the texts (each once), how many there are, their lengths, and then the numbers
// in the order of the walk. Numbers are unsigned varints; a text is its place among the texts; a list is one more than
// its length, and 0 when it is nil; a real number is its bits with the bytes reversed, so that round ones are short.
//
// # What it does not do
//
// The bytes have no version and no names: they are only ever read by the program that carries them.
package pressed

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"maps"
	"math"
	"math/bits"
	"slices"
	"strings"

	"asleft/config/source"
)

// DigestLength is the length of a digest: SHA-256 in hexadecimal digits.
const DigestLength = 64

// ErrDamaged says that bytes are not the pressed form that the walk expects.
var ErrDamaged = errors.New("the pressed form is damaged")

// Press gives the pressed form of the model that walk goes over, made from files of the digest.
func Press(digest string, walk func(*Codec)) []byte {
	c := &Codec{places: map[string]uint64{}}
	walk(c)
	text := strings.Join(c.texts, "")
	data := binary.AppendUvarint([]byte(digest), uint64(len(text)))
	data = append(data, text...)
	data = binary.AppendUvarint(data, uint64(len(c.texts)))
	for _, s := range c.texts {
		data = binary.AppendUvarint(data, uint64(len(s)))
	}
	return append(data, c.out...)
}

// Digest is the digest at the head of a pressed form.
func Digest(data string) string { return data[:min(len(data), DigestLength)] }

// FileDigest is the digest of one file.
func FileDigest(file []byte) string {
	sum := sha256.Sum256(file)
	return hex.EncodeToString(sum[:])
}

// Fits reports whether a pressed form was made from this file.
func Fits(form string, file []byte) bool { return Digest(form) == FileDigest(file) }

// Read fills the model that walk goes over. Texts share the memory of data. The error is [ErrDamaged], never a panic;
// then the model is half filled and must not be used.
func Read(data string, walk func(*Codec)) (err error) {
	defer func() {
		if recover() != nil { // an index or length beyond the end
			err = ErrDamaged
		}
	}()
	c := &Codec{reading: true, in: data, at: DigestLength}
	length := c.size()
	text := c.in[c.at:][:length]
	c.at += length
	c.texts = make([]string, c.size())
	for i := range c.texts {
		n := c.next()
		c.texts[i], text = text[:n], text[n:]
	}
	walk(c)
	if c.at != len(c.in) {
		return ErrDamaged
	}
	return nil
}

// Codec writes or reads a model in one and the same walk.
type Codec struct {
	reading bool
	texts   []string
	places  map[string]uint64 // of the texts, while writing
	in      string
	at      int // what of it was read
	out     []byte
}

// Reading tells whether the walk fills the model.
func (c *Codec) Reading() bool { return c.reading }

func (c *Codec) next() uint64 {
	var n uint64
	for shift := 0; ; shift += 7 {
		b := c.in[c.at]
		c.at++
		n |= uint64(b&0x7f) << shift
		if b < 0x80 {
			return n
		}
	}
}

func (c *Codec) put(n uint64) { c.out = binary.AppendUvarint(c.out, n) }

// size reads a length; nothing is longer than the bytes that are left.
func (c *Codec) size() int {
	n := c.next()
	if n > uint64(len(c.in)-c.at) {
		panic(ErrDamaged)
	}
	return int(n)
}

// Number carries a whole number that is not negative.
func (c *Codec) Number(n *int) {
	if c.reading {
		*n = int(c.next())
		return
	}
	if *n < 0 {
		panic("a negative number is not pressed")
	}
	c.put(uint64(*n))
}

// Real carries a real number.
func (c *Codec) Real(n *float64) {
	if c.reading {
		*n = math.Float64frombits(bits.ReverseBytes64(c.next()))
		return
	}
	c.put(bits.ReverseBytes64(math.Float64bits(*n)))
}

// Flag carries a yes or no.
func (c *Codec) Flag(b *bool) {
	if c.reading {
		*b = c.next() == 1
		return
	}
	n := uint64(0)
	if *b {
		n = 1
	}
	c.put(n)
}

// Text carries a text, also of a type of its own.
func Text[S ~string](c *Codec, s *S) {
	if c.reading {
		*s = S(c.texts[c.next()])
		return
	}
	i, ok := c.places[string(*s)]
	if !ok {
		i = uint64(len(c.texts))
		c.places[string(*s)] = i
		c.texts = append(c.texts, string(*s))
	}
	c.put(i)
}

// Texts carries a list of texts.
func (c *Codec) Texts(items *[]string) { List(c, items, Text[string]) }

// Numbers carries a list of whole numbers that are not negative.
func (c *Codec) Numbers(items *[]int) { List(c, items, (*Codec).Number) }

// Reals carries a list of real numbers.
func (c *Codec) Reals(items *[]float64) { List(c, items, (*Codec).Real) }

// Pos carries a place in a file.
func (c *Codec) Pos(p *source.Pos) {
	Text(c, &p.File)
	c.Number(&p.Line)
	c.Number(&p.Col)
}

// length carries how long a list is; -1 is a nil one.
func (c *Codec) length(n int) int {
	if !c.reading {
		c.put(uint64(n + 1))
		return n
	}
	more := c.next()
	if more > uint64(len(c.in)-c.at)+1 { // an item takes a byte or more
		panic(ErrDamaged)
	}
	return int(more) - 1
}

// List carries a slice, nil or empty as it was.
func List[T any](c *Codec, items *[]T, each func(*Codec, *T)) {
	n := len(*items)
	if *items == nil {
		n = -1
	}
	if n = c.length(n); c.reading && n >= 0 {
		*items = make([]T, n)
	}
	for i := range *items {
		each(c, &(*items)[i])
	}
}

// Pointers carries a slice of pointers, none of them nil. Read back, they point into one piece of memory.
func Pointers[T any](c *Codec, items *[]*T, each func(*Codec, *T)) {
	var together []T
	List(c, items, func(c *Codec, p **T) {
		if c.reading && together == nil {
			together = make([]T, len(*items))
		}
		if c.reading {
			*p, together = &together[0], together[1:]
		}
		each(c, *p)
	})
}

// Pointer carries a pointer, nil or not.
func Pointer[T any](c *Codec, p **T, each func(*Codec, *T)) {
	there := *p != nil
	c.Flag(&there)
	if !there {
		return
	}
	if c.reading {
		*p = new(T)
	}
	each(c, *p)
}

// Map carries texts by name, nil or empty as it was, in the order of the names.
func Map[V any](c *Codec, m *map[string]V, each func(*Codec, *V)) {
	var names []string
	if *m != nil {
		names = slices.AppendSeq(make([]string, 0, len(*m)), maps.Keys(*m))
		slices.Sort(names)
	}
	if c.Texts(&names); !c.reading {
		for _, name := range names {
			v := (*m)[name]
			each(c, &v)
		}
		return
	}
	if names == nil {
		return
	}
	*m = make(map[string]V, len(names))
	for _, name := range names {
		var v V
		each(c, &v)
		(*m)[name] = v
	}
}
