package pressed_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"asleft/config/pressed"
	"asleft/config/source"
)

type word string

type leaf struct {
	Name word
	Size float64
}

type model struct {
	Title  string
	Count  int
	Yes    bool
	Words  []string
	Whole  []int
	Real   []float64
	Leaves []*leaf
	One    *leaf
	None   *leaf
	By     map[string]string
	Pos    source.Pos
	Last   []string // an empty list, and one as long as what is left, may end a form
}

func walkLeaf(c *pressed.Codec, l *leaf) {
	pressed.Text(c, &l.Name)
	c.Real(&l.Size)
}

func walk(c *pressed.Codec, m *model) {
	pressed.Text(c, &m.Title)
	c.Number(&m.Count)
	c.Flag(&m.Yes)
	c.Texts(&m.Words)
	c.Numbers(&m.Whole)
	c.Reals(&m.Real)
	pressed.Pointers(c, &m.Leaves, walkLeaf)
	pressed.Pointer(c, &m.One, walkLeaf)
	pressed.Pointer(c, &m.None, walkLeaf)
	pressed.Map(c, &m.By, pressed.Text[string])
	c.Pos(&m.Pos)
	c.Texts(&m.Last)
}

var digest = strings.Repeat("0123456789abcdef", 4)

func full() model {
	return model{
		Title: "über", Count: 1 << 40, Yes: true, Words: []string{"a", "", "a"}, Whole: []int{}, Real: []float64{0, 0.1, -2.5, 1e300},
		Leaves: []*leaf{{"a", 1}, {"b", 0.25}}, One: &leaf{"one", 3}, By: map[string]string{"x": "1", "": "2"},
		Pos: source.Pos{File: "f.toml", Line: 3, Col: 7},
	}
}

func press(m model) string {
	return string(pressed.Press(digest, func(c *pressed.Codec) { walk(c, &m) }))
}

// What was pressed is read back as it was: nil stays nil, and empty stays empty.
func TestReadBack(t *testing.T) {
	for _, want := range []model{{}, full(), {Words: []string{}, Leaves: []*leaf{}, By: map[string]string{}, Last: []string{}}, {Last: []string{"a", "b"}}} {
		data := press(want)
		if pressed.Digest(data) != digest {
			t.Error("the digest does not lead: ", pressed.Digest(data))
		}
		var got model
		if err := pressed.Read(data, func(c *pressed.Codec) { walk(c, &got) }); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Error(d)
		}
	}
}

// Bytes that are cut, or longer than the walk, are damaged; any other damage is never a panic.
func TestDamage(t *testing.T) {
	data := press(full())
	read := func(data string) error {
		var m model
		return pressed.Read(data, func(c *pressed.Codec) { walk(c, &m) })
	}
	for at := range data {
		if read(data[:at]) != pressed.ErrDamaged {
			t.Errorf("cut at %d and accepted", at)
		}
		for bit := range 8 {
			read(data[:at] + string([]byte{data[at] ^ 1<<bit}) + data[at+1:])
		}
	}
	if read(data+"\x00") != pressed.ErrDamaged {
		t.Error("longer than the walk and accepted")
	}
}
