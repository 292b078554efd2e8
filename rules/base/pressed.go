package base

import (
	_ "embed"

	"asleft/config/pressed"
)

// The shipped rule base is pressed without the examples of its rules: package pressed says how.

//go:generate go test -run TestPressedFormIsFresh -update .

//go:embed shipped.pressed
var shipped string

// Press gives the pressed form of a rule base.
func Press(b *Base) []byte {
	return pressed.Press(b.Digest, func(c *pressed.Codec) { walkBase(c, b) })
}

// unpress reads a pressed form. Damage is an error, never half a rule base.
func unpress(data string) (*Base, error) {
	b := &Base{Digest: pressed.Digest(data)}
	if err := pressed.Read(data, func(c *pressed.Codec) { walkBase(c, b) }); err != nil {
		return nil, err
	}
	b.facts = make(map[string]*FactType, len(b.Facts))
	for _, f := range b.Facts {
		b.facts[f.Pattern] = f
	}
	return b, nil
}
