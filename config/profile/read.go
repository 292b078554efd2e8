package profile

import (
	"fmt"

	"asleft/config/source"
)

// Schema is the first line of every profile.
const Schema = "asleft/profile/1"

// Read reads and checks one profile; name is the file's name in messages. The
// error is source.Problems with every mistake and its place.
func Read(name string, data []byte) (*Profile, error) {
	doc, err := source.Parse(name, data)
	if err != nil {
		return nil, err
	}
	p := readFile(doc)
	p.refuseCrowds()
	if doc.Problems() == nil {
		// Checks across tables would repeat what a misread table already said.
		p.check()
	}
	if problems := doc.Problems(); problems != nil {
		return nil, problems
	}
	return p, nil
}

func readFile(doc *source.Document) *Profile {
	root := doc.Root()
	p := &Profile{Doc: doc}
	root.Word("schema", []string{Schema}, source.Required(`schema = "`+Schema+`"`))
	p.ID = readName(root, "id", source.Required(`id = "bench-one"`))
	p.Label = root.Text("label", source.Required(`label = "Bench One, the shop's own test controller"`))
	p.Kind = Kind(root.Word("kind", kinds, source.Required(`kind = "controller"`)))
	p.Invented = root.Flag("invented")
	p.Papers = readPapers(root.Sub("papers", source.Required("[papers]")))
	refuseStrangers(root, p.Kind)
	switch p.Kind {
	case Remote:
		readRemote(root, p)
	case Controller, Module:
		readUnit(root, p)
	default: // without a kind nothing can be said about the rest
		return p
	}
	root.Close()
	return p
}

// readUnit reads what controllers and modules have.
func readUnit(root *source.Table, p *Profile) {
	p.NominalVolts = readNominal(root)
	p.Keeps = root.Words("keeps-without-power", keepables, source.Example(`keeps-without-power = ["options"]`))
	p.Releases = root.Words("releases", releaseWays, source.Example(`releases = ["link-keys"]`))
	for _, t := range root.Each("feed") {
		p.Feeds = append(p.Feeds, readFeed(t))
	}
	for _, t := range root.Each("input") {
		p.Inputs = append(p.Inputs, readInputTerminal(t))
	}
	for _, t := range root.Each("output") {
		p.Outputs = append(p.Outputs, readOutput(t))
	}
	for _, t := range root.Each("channel") {
		p.Channels = append(p.Channels, readChannel(t))
	}
	for _, t := range root.Each("link") {
		p.Links = append(p.Links, readLink(t))
	}
	for _, t := range root.Each("option") {
		p.Options = append(p.Options, readOption(p.Doc, t))
	}
	p.Fixed = readFixed(root.Sub("fixed"))
	if root.Has("exit-proof") {
		p.Exit = readExit(root.Sub("exit-proof"))
	}
	if root.Has("keying") {
		p.Keying = readKeying(root.Sub("keying"))
	}
}

// The tables and keys of one kind of device.
var (
	unitTables   = []string{"feed", "input", "output", "channel", "link", "option", "fixed", "exit-proof", "keying"}
	remoteTables = []string{"button", "gesture"}
)

// refuseStrangers says that a table belongs to another kind of device, which
// tells more than an unknown key would; the table is then asked for, so that it
// is not reported twice.
func refuseStrangers(root *source.Table, kind Kind) {
	strangers := remoteTables
	if kind == Remote {
		strangers = unitTables
	}
	for _, key := range strangers {
		if kind != "" && root.Has(key) {
			root.Sub(key)
			root.Fault(key, source.Problem{Message: fmt.Sprintf("a %s has no `%s`", kind, key),
				Expected: "the tables of a " + string(kind) + ", or another kind"})
		}
	}
}

func readPapers(t *source.Table) Papers {
	p := Papers{
		Title:        t.Text("title", source.Required(`title = "Bench One sheet"`)),
		Revision:     t.Text("revision", source.Required(`revision = "A"`)),
		CopiedBy:     t.Text("copied-by", source.Required(`copied-by = "T.V."`)),
		SecondReader: t.Text("second-reader", source.Example(`second-reader = "M.O."`)),
	}
	if p.SecondReader != "" && p.SecondReader == p.CopiedBy {
		t.Fault("second-reader", source.Problem{Message: "the second reader is the one who copied",
			Expected: "somebody else, or no such line", Found: p.SecondReader})
	}
	t.Close()
	return p
}

func readNominal(t *source.Table) int {
	v := t.Whole("nominal-volts", 12, 24, source.Required("nominal-volts = 12"))
	if v != 0 && v != 12 && v != 24 {
		t.Fault("nominal-volts", source.Problem{Message: "no such nominal voltage", Expected: "12 or 24", Found: fmt.Sprint(v)})
	}
	return v
}

// readName reads a text that must be a name: small letters, digits, hyphens.
func readName(t *source.Table, key string, o ...source.Option) string {
	s := t.Text(key, o...)
	if s != "" && !isName(s) {
		t.Fault(key, notName(s))
	}
	return s
}

// readNames reads a list of names.
func readNames(t *source.Table, key string, o ...source.Option) []string {
	all := t.Texts(key, o...)
	for _, s := range all {
		if !isName(s) {
			t.Fault(key, notName(s))
		}
	}
	return all
}

// checkedName is the table's own name, refused when it is none.
func checkedName(t *source.Table) string {
	if !isName(t.Name()) {
		t.Fault("", notName(t.Name()))
	}
	return t.Name()
}

func notName(s string) source.Problem {
	return source.Problem{Message: "this is not a name", Expected: "small letters, digits and hyphens, at most 40",
		Found: fmt.Sprintf("%q", s), Example: `"second-feed"`}
}

func isName(s string) bool {
	for i := range len(s) {
		c := s[i]
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return s != "" && len(s) <= 40
}
