package profile

import (
	"cmp"
	"embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"asleft/config/source"
)

//go:embed devices/*.toml
var devices embed.FS

// Catalogue holds the profiles that a job can name: the demo devices and those
// that a shop adds. The order is by kind (controllers, modules, remotes) and id.
type Catalogue struct {
	added []*Profile
}

// Demo returns a catalogue of the embedded demo devices. Each profile is read
// once, when it is first asked for, and shared; nobody may change it.
func Demo() *Catalogue { return &Catalogue{} }

// demos are the embedded devices by id, which is the name of the file, each read
// when it is asked for: from its pressed form where that fits the file. That they
// are clean is tested, so a fault is a bug of this program.
var demos = sync.OnceValue(func() map[string]func() *Profile {
	files, err := devices.ReadDir("devices")
	if err != nil {
		panic(err)
	}
	forms := unpressAll(shipped)
	all := map[string]func() *Profile{}
	for _, f := range files {
		id := strings.TrimSuffix(f.Name(), ".toml")
		all[id] = sync.OnceValue(func() *Profile { return readDemo(id, forms[id]) })
	}
	return all
})

func readDemo(id, form string) *Profile {
	name := "devices/" + id + ".toml"
	data, err := devices.ReadFile(name)
	if err != nil {
		panic(err)
	}
	if p, fits := unpress(form, name, data); fits {
		return p
	}
	p, err := Read(name, data)
	if err != nil {
		panic(fmt.Sprintf("embedded profile:\n%v", err))
	}
	return p
}

// Text returns the file of the embedded demo device of that id, for those who keep it.
func Text(id string) ([]byte, bool) {
	data, err := devices.ReadFile("devices/" + id + ".toml")
	return data, err == nil
}

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
	c.added = append(c.added, p)
	return p, nil
}

// Find returns the profile of that id.
func (c *Catalogue) Find(id string) (*Profile, bool) {
	if read, ok := demos()[id]; ok {
		return read(), true
	}
	return find(c.added, func(p *Profile) bool { return p.ID == id })
}

// All returns the profiles in order; the slice is the caller's.
func (c *Catalogue) All() []*Profile {
	all := slices.Clone(c.added)
	for _, read := range demos() {
		all = append(all, read())
	}
	slices.SortFunc(all, compare) // ids differ, so the order is whole
	return all
}

// IDs returns the ids in order, for messages and completion.
func (c *Catalogue) IDs() []string { return names(c.All(), func(p *Profile) string { return p.ID }) }

func compare(a, b *Profile) int {
	return cmp.Or(cmp.Compare(slices.Index(kinds, string(a.Kind)), slices.Index(kinds, string(b.Kind))), cmp.Compare(a.ID, b.ID))
}

// Find returns the embedded demo device of that id.
func Find(id string) (*Profile, bool) {
	return Demo().Find(id)
}
