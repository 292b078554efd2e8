package profile

import (
	_ "embed"

	"asleft/config/pressed"
	"asleft/config/source"
)

// The demo devices are pressed, each on its own, so that a job reads those alone that it names: package pressed says how.

//go:generate go test -run TestPressedDevicesAreFresh -update .

//go:embed shipped.pressed
var shipped string

// pressAll gives the pressed form of profiles: one beside the other, by id.
func pressAll(profiles []*Profile, digest func(*Profile) string) []byte {
	all := map[string]string{}
	for _, p := range profiles {
		all[p.ID] = string(pressed.Press(digest(p), func(c *pressed.Codec) { walk(c, p) }))
	}
	return pressed.Press(pressed.FileDigest(nil), func(c *pressed.Codec) { pressed.Map(c, &all, pressed.Text[string]) })
}

// unpressAll finds the pressed forms by id, none when they are damaged.
func unpressAll(data string) map[string]string {
	var all map[string]string
	if pressed.Read(data, func(c *pressed.Codec) { pressed.Map(c, &all, pressed.Text[string]) }) != nil {
		return nil
	}
	return all
}

// unpress reads the pressed form of a file; false when it is of another file, or damaged. The file itself is read
// again when somebody asks for a place in it.
func unpress(form, name string, text []byte) (*Profile, bool) {
	if !pressed.Fits(form, text) {
		return nil, false
	}
	p := &Profile{Doc: source.Later(name, text)}
	err := pressed.Read(form, func(c *pressed.Codec) { walk(c, p) })
	return p, err == nil
}
