package profile

import (
	"cmp"
	"embed"
	"fmt"
	"slices"
	"sync"

	"asleft/config/source"
)

//go:embed devices/*.toml
var devices embed.FS

// Catalogue holds the profiles that a job can name: the demo devices and those
// that a shop adds. The order is by kind (controllers, modules, remotes) and id.
type Catalogue struct {
	profiles []*Profile
}

// Demo returns a catalogue of the embedded demo devices. The profiles are read
// once and shared; nobody may change them.
func Demo() *Catalogue {
	return &Catalogue{profiles: slices.Clone(demos())}
}

// demos reads the embedded files; that they are clean is tested, so a fault here
// is a bug of this program.
var demos = sync.OnceValue(func() []*Profile {
	files, err := devices.ReadDir("devices")
	if err != nil {
		panic(err)
	}
	c := &Catalogue{}
	for _, f := range files {
		name := "devices/" + f.Name()
		data, err := devices.ReadFile(name)
		if err != nil {
			panic(err)
		}
		if _, err := c.Add(name, data); err != nil {
			panic(fmt.Sprintf("embedded profile:\n%v", err))
		}
	}
	return c.profiles
})

// Add reads a profile that a shop gives and puts it into the catalogue. A
// profile with the id of another is an error: a job would not know which.
func (c *Catalogue) Add(name string, data []byte) (*Profile, error) {
	p, err := Read(name, data)
	if err != nil {
		return nil, err
	}
	if other, ok := c.Find(p.ID); ok {
		return nil, source.Problems{p.Doc.Problem(source.Problem{Message: fmt.Sprintf("another device is called %q", p.ID),
			Expected: "an id of its own", Also: []source.Pos{other.Doc.Where("id")}}, "id")}
	}
	c.profiles = append(c.profiles, p)
	slices.SortStableFunc(c.profiles, compare)
	return p, nil
}

// Find returns the profile of that id.
func (c *Catalogue) Find(id string) (*Profile, bool) {
	return find(c.profiles, func(p *Profile) bool { return p.ID == id })
}

// All returns the profiles in order; the slice is the caller's.
func (c *Catalogue) All() []*Profile { return slices.Clone(c.profiles) }

// IDs returns the ids in order, for messages and completion.
func (c *Catalogue) IDs() []string { return names(c.profiles, func(p *Profile) string { return p.ID }) }

func compare(a, b *Profile) int {
	return cmp.Or(cmp.Compare(slices.Index(kinds, string(a.Kind)), slices.Index(kinds, string(b.Kind))), cmp.Compare(a.ID, b.ID))
}

// Find returns the embedded demo device of that id.
func Find(id string) (*Profile, bool) {
	return find(demos(), func(p *Profile) bool { return p.ID == id })
}
