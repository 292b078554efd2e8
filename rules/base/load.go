package base

import (
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"slices"
	"sync"

	"asleft/config/pressed"
	"asleft/config/source"
)

// Schema is the first line of every rule file.
const Schema = "asleft/rules/1"

//go:embed *.toml
var embedded embed.FS

// File is a rule file: its name for messages, and its bytes.
type File struct {
	Name string
	Data []byte
}

// ShippedFiles are the rule files inside the binary, sorted by name.
func ShippedFiles() []File {
	entries, err := embedded.ReadDir(".")
	if err != nil {
		panic("rules/base: the embedded rule files cannot be read: " + err.Error())
	}
	var files []File
	for _, e := range entries {
		data, err := embedded.ReadFile(e.Name())
		if err != nil {
			panic("rules/base: " + err.Error())
		}
		files = append(files, File{Name: e.Name(), Data: data})
	}
	return files
}

// Shipped is the rule base inside the binary, without the examples of its rules. It is read once, from the pressed form
// where that fits the files; a fault in it is a bug of this program.
var Shipped = sync.OnceValue(func() *Base {
	if pressed.Digest(shipped) == shippedDigest() {
		if b, err := unpress(shipped); err == nil {
			return b
		}
	}
	b, problems := Load(ShippedFiles())
	if problems != nil {
		panic("rules/base: the shipped rule base is faulty:\n" + problems.Error())
	}
	return b
})

// Digest names a set of rule files by content: 64 hexadecimal digits, whatever the order of the files.
func Digest(files []File) string {
	sorted := slices.Clone(files)
	slices.SortFunc(sorted, func(a, b File) int { return cmp.Compare(a.Name, b.Name) })
	sum := sha256.New()
	for _, f := range sorted {
		one := sha256.Sum256(f.Data)
		addFile(sum, f.Name, one[:])
	}
	return hex.EncodeToString(sum.Sum(nil))
}

func addFile(sum hash.Hash, name string, digest []byte) { fmt.Fprintf(sum, "%s\x00%x\n", name, digest) }

// shippedDigest is the digest of the shipped files, worked out without a copy of them: most starts need nothing else.
func shippedDigest() string {
	names, err := fs.Glob(embedded, "*.toml")
	sum, one, room := sha256.New(), sha256.New(), make([]byte, 16<<10)
	for _, name := range names {
		var f fs.File
		if f, err = embedded.Open(name); err == nil {
			one.Reset()
			_, err = io.CopyBuffer(one, f, room)
			addFile(sum, name, one.Sum(nil))
		}
		if err != nil {
			break
		}
	}
	if err != nil {
		panic("rules/base: the embedded rule files cannot be read: " + err.Error())
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// Load reads and checks rule files. It gives either a whole rule base or problems, never half of one.
func Load(files []File) (*Base, source.Problems) {
	l := loader{base: &Base{Kinds: map[string][]string{}, facts: map[string]*FactType{}}, ids: map[string]source.Pos{}}
	var problems source.Problems
	for _, f := range files {
		doc, err := source.Parse(f.Name, f.Data)
		if err != nil {
			if syntax, ok := err.(source.Problems); ok {
				problems = append(problems, syntax...)
				continue
			}
			problems = append(problems, source.Problem{Pos: source.Pos{File: f.Name}, Message: err.Error()})
			continue
		}
		l.read(doc)
		l.docs = append(l.docs, doc)
	}
	if problems == nil {
		l.check()
	}
	for _, doc := range l.docs {
		problems = append(problems, doc.Problems()...)
	}
	problems = append(problems, l.extra...)
	if len(problems) > 0 {
		return nil, problems
	}
	l.sort()
	l.base.Digest = Digest(files)
	return l.base, nil
}

// loader holds what is known while files are read; checks that need everything are put off.
type loader struct {
	base  *Base
	docs  []*source.Document
	ids   map[string]source.Pos // "rule park-by-link" and so on: names are unique over all files
	later []func()              // checks of names, done when all files are read
	extra source.Problems
}

func (l *loader) read(doc *source.Document) {
	root := doc.Root()
	root.Word("schema", []string{Schema}, source.Required(`schema = "`+Schema+`"`))
	for _, section := range []struct {
		name string
		read func(*source.Table)
	}{
		{"kind", l.readKind}, {"fact", l.readFact}, {"quantity", l.readQuantity},
		{"constraint", l.readConstraint}, {"rule", l.readRule}, {"test", l.readTest}, {"order", l.readRank}, {"change", l.readChange}, {"unsafe", l.readUnsafe},
	} {
		for _, t := range root.Each(section.name) {
			l.unique(section.name, t)
			section.read(t)
			t.Close()
		}
	}
	root.Close()
}

// unique refuses the same name in two files; within a file TOML itself does.
func (l *loader) unique(section string, t *source.Table) {
	id := section + " " + t.Name()
	if first, ok := l.ids[id]; ok {
		t.Fault("", source.Problem{Message: fmt.Sprintf("[%s.%s] stands in another file too", section, t.Name()), Also: []source.Pos{first}})
		return
	}
	l.ids[id] = t.Where("")
	if section != "fact" && section != "quantity" && !source.IsWord(t.Name()) {
		t.Fault("", source.Problem{Message: fmt.Sprintf("%q is not a word id", t.Name()), Expected: "small letters and digits, joined by hyphens", Example: "[" + section + ".stop-on-brake]"})
	}
}

func (l *loader) sort() {
	b := l.base
	slices.SortFunc(b.Facts, func(x, y *FactType) int { return cmp.Compare(x.Pattern, y.Pattern) })
	slices.SortFunc(b.Quantities, func(x, y *Quantity) int { return cmp.Compare(x.Name, y.Name) })
	slices.SortFunc(b.Constraints, func(x, y *Constraint) int { return cmp.Compare(x.ID, y.ID) })
	slices.SortFunc(b.Changes, func(x, y *Change) int { return cmp.Compare(x.ID, y.ID) })
	slices.SortFunc(b.Unsafe, func(x, y *Unsafe) int { return cmp.Compare(x.ID, y.ID) })
	slices.SortFunc(b.Rules, func(x, y *Rule) int { return cmp.Or(cmp.Compare(x.Level, y.Level), cmp.Compare(x.ID, y.ID)) })
	slices.SortFunc(b.Tests, func(x, y *Test) int {
		return cmp.Or(cmp.Compare(x.Phase.rank(), y.Phase.rank()), cmp.Compare(x.ID, y.ID))
	})
}
