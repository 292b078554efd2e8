package record

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"asleft/config/setting"
)

// Draft is an entry that a person wants to write. The book adds when, where
// and with what; what the person knows stands here.
type Draft struct {
	Kind     Kind
	Vehicle  ID     // the vehicle; zero with Opened starts a new one
	Identity ID     // drawn by the client before the first try, so that a retry makes no double; zero: drawn here
	By       string // initials or name of the person; required
	Reason   string
	Points   ID // the entry that this one speaks of

	Attributes map[Attribute]string // what the vehicle can be found by from now on
	Data       map[string]string    // readings and words; keys of [a-z0-9.-]
	Documents  []Document           // job, rules, plan and so on, stored by digest
	Snapshot   *setting.Snapshot    // with Found, Derived, Left, Keyed, States, Corrected: the settings
	Changes    []Change             // overrides; old and new values of a snapshot are worked out here
	Personal   map[string]string    // field -> value: customer, phone, shown-to
	Secrets    map[string]string    // field -> value: override-code, resistor, hidden-place

	Catalogue []Test                 // with Tested and Closed: the tests that apply, re-tests for a comeback
	Fixed     map[setting.Key]string // what may not be overridden: the level that fixed it, or "safety"
}

// Document is bytes with the role they play for an entry: "job", "policy",
// "profile.controller", "rules", "plan", "facts", "card".
type Document struct {
	Role  string
	Bytes []byte
}

// Receipt says what was written.
type Receipt struct {
	Entry
	Book       string     // the book it stands in
	Again      bool       // the identity was there already: nothing was written
	Checkpoint Checkpoint // of the book after the entry
}

// DraftError says what is wrong with a draft before anything is written.
type DraftError struct {
	Kind Kind
	Text string
	Do   string // what to do
}

func (e *DraftError) Error() string { return fmt.Sprintf("%s: %s", e.Kind, e.Text) }

// Hint says what to do.
func (e *DraftError) Hint() string { return e.Do }

var dataName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[a-z0-9]+([.-][a-z0-9]+)*$`) })

// snapshotRole is the role of a draft's snapshot by its kind.
func (d *Draft) snapshotRole() string {
	switch d.Kind {
	case Found:
		return "found"
	case Derived:
		return "required"
	case Keyed:
		return "keyed"
	case States:
		return "states"
	}
	return "left" // Left, and Corrected, which puts an as-left statement right
}

// check refuses a draft that could never be a good entry.
func (d *Draft) check() error {
	info, ok := KindNamed(string(d.Kind))
	if !ok {
		return &DraftError{d.Kind, "no such kind of entry", "the kinds are listed in the help of 'asleft record'"}
	}
	fail := func(do, format string, args ...any) error {
		return &DraftError{d.Kind, fmt.Sprintf(format, args...), do}
	}
	switch {
	case strings.TrimSpace(d.By) == "":
		return fail("say who with --by", "nobody is named; no entry is anonymous")
	case info.Reason && strings.TrimSpace(d.Reason) == "":
		return fail("say why with --reason", "a reason is needed")
	case info.Points && d.Points.IsZero():
		return fail("'asleft record log VEHICLE' shows the entries", "it must name the entry that it speaks of")
	case info.Vehicle && d.Vehicle.IsZero() && d.Kind != Opened:
		return fail("name the vehicle", "it must be about a vehicle")
	}
	for _, name := range info.Needs {
		if strings.TrimSpace(d.Data[name]) == "" {
			return fail("", "%q is missing", name)
		}
	}
	if err := d.checkNames(); err != nil {
		return fail("names are small letters, digits, dots and dashes", "%v", err)
	}
	for field := range d.Secrets {
		if !secretField(field) {
			return fail("expected "+strings.Join(SecretKinds(), ", ")+", also with a name of your own: hidden-place.tracker; the value itself comes on standard input",
				"what was named is not a kind of secret")
		}
	}
	if len(info.Roles) > 0 && !slices.ContainsFunc(info.Roles, d.hasRole) {
		return fail("", "the %s settings are missing", info.Roles[0])
	}
	for _, c := range d.Changes {
		if c.Override && strings.TrimSpace(d.Reason) == "" {
			return fail("say why with --reason", "overriding %s %s needs a reason", c.Device, c.Setting)
		}
	}
	return nil
}

func (d *Draft) hasRole(role string) bool {
	if d.Snapshot != nil && d.snapshotRole() == role {
		return true
	}
	return slices.ContainsFunc(d.Documents, func(doc Document) bool { return doc.Role == role })
}

// checkNames looks at everything that becomes a key of the entry.
func (d *Draft) checkNames() error {
	names := slices.Concat(sortedKeys(d.Data), sortedKeys(d.Personal), sortedKeys(d.Secrets))
	for _, doc := range d.Documents {
		if d.Snapshot != nil && doc.Role == d.snapshotRole() {
			return fmt.Errorf("document %q is given twice", doc.Role)
		}
		names = append(names, doc.Role)
	}
	for _, name := range names {
		if !dataName().MatchString(name) {
			return fmt.Errorf("%q is no name", name)
		}
	}
	for a, text := range d.Attributes {
		if !slices.Contains(Attributes(), a) {
			return fmt.Errorf("%q is not something that a vehicle is found by", a)
		}
		if a.Normalize(text) == "" {
			return errors.New(string(a) + " is empty")
		}
	}
	return nil
}
