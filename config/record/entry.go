package record

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"asleft/config/setting"
)

// Format is the version of the entry's bytes that this package writes.
const Format = 1

// timeLayout has a fixed width: RFC 3339 in UTC, to the microsecond.
const timeLayout = "2006-01-02T15:04:05.000000Z"

// Entry is one line of the log. What it holds is fixed when it is written;
// later entries point to it, nothing replaces it.
type Entry struct {
	Kind      Kind              // what happened
	Subject   ID                // the vehicle; zero for an entry about the book itself
	Identity  ID                // given by the client: the same identity twice is one entry
	N         int64             // position in its book from 0: the sequence no clock can bend
	At        time.Time         // when, UTC, as the injected clock told it
	Offset    int               // local time minus UTC in minutes
	ClockBack int64             // seconds by which the clock ran behind the entry before; 0 when it did not
	By        string            // who: initials or name of the person; never empty
	Machine   string            // host name of the laptop
	Tool      string            // program and version
	Reason    string            // why, where a person decided or overrode something
	Points    ID                // identity of the entry that a correction, cause or closing speaks of
	Previous  Digest            // leaf hash of this vehicle's entry before this one in this book; zero for its first
	Blobs     map[string]Digest // role ("job", "rules", "plan", "left") -> document
	Changes   []Change          // old and new value of settings, sorted
	Data      map[string]string // readings and words of this kind of entry
	Personal  map[string]Digest // field -> keyed commitment of a personal value
	Secrets   map[string]Digest // field -> keyed commitment of a secret
	Seen      []Head            // newest state of the other books that the writer had, sorted by book
}

// Change is one setting before and after. An empty value means not known.
type Change struct {
	Device, Setting string
	From, To        setting.Value
	Override        bool // a person chose To against what was derived
}

// Head says how far a book had come: so many entries with this Merkle root.
type Head struct {
	Book string
	Size int64
	Root Digest
}

// Canonical is the entry's bytes: the leaf of the tree.
func (e Entry) Canonical() []byte {
	o := object{
		"at":      e.At.UTC().Format(timeLayout),
		"by":      e.By,
		"format":  int64(Format),
		"id":      e.Identity.String(),
		"kind":    string(e.Kind),
		"machine": e.Machine,
		"n":       e.N,
		"offset":  int64(e.Offset),
		"tool":    e.Tool,
	}
	putText(o, "reason", e.Reason)
	if e.ClockBack != 0 {
		o["clock-back"] = e.ClockBack
	}
	if !e.Subject.IsZero() {
		o["subject"] = e.Subject.String()
	}
	if !e.Points.IsZero() {
		o["points"] = e.Points.String()
	}
	if !e.Previous.IsZero() {
		o["previous"] = e.Previous.String()
	}
	putDigests(o, "blobs", e.Blobs)
	putDigests(o, "personal", e.Personal)
	putDigests(o, "secrets", e.Secrets)
	if len(e.Data) > 0 {
		data := object{}
		for k, v := range e.Data {
			data[k] = v
		}
		o["data"] = data
	}
	if len(e.Changes) > 0 {
		o["changes"] = canonicalChanges(e.Changes)
	}
	if len(e.Seen) > 0 {
		o["seen"] = canonicalHeads(e.Seen)
	}
	return appendCanonical(nil, o)
}

func putText(o object, key, text string) {
	if text != "" {
		o[key] = text
	}
}

func putDigests(o object, key string, m map[string]Digest) {
	if len(m) == 0 {
		return
	}
	d := object{}
	for k, v := range m {
		d[k] = v.String()
	}
	o[key] = d
}

func canonicalChanges(changes []Change) []any {
	list := make([]any, 0, len(changes))
	for _, c := range changes {
		o := object{"device": c.Device, "setting": c.Setting}
		putText(o, "from", string(c.From))
		putText(o, "to", string(c.To))
		if c.Override {
			o["override"] = int64(1)
		}
		list = append(list, o)
	}
	return list
}

func canonicalHeads(heads []Head) []any {
	list := make([]any, 0, len(heads))
	for _, h := range heads {
		list = append(list, object{"book": h.Book, "root": h.Root.String(), "size": h.Size})
	}
	return list
}

// ParseEntry reads canonical bytes. It accepts exactly what Canonical writes:
// an unknown key, another spelling or another version is an error.
func ParseEntry(data []byte) (Entry, error) { return parseEntry(new(canonReader), string(data)) }

// parseEntry is ParseEntry of a text; the entry's words share its memory.
func parseEntry(canon *canonReader, text string) (Entry, error) {
	o, err := canon.read(text)
	if err != nil {
		return Entry{}, err
	}
	r := fields{members: o.members}
	if v := r.whole("format"); r.err == nil && v != Format {
		return Entry{}, &FormatError{Found: v}
	}
	var e Entry
	e.At = r.time("at")
	e.Offset = int(r.whole("offset"))
	e.ClockBack = r.optionalWhole("clock-back")
	e.Kind = Kind(r.text("kind"))
	e.By, e.Machine, e.Tool = r.text("by"), r.text("machine"), r.text("tool")
	e.Reason = r.optionalText("reason")
	e.N = r.whole("n")
	e.Identity = r.id("id", true)
	e.Subject = r.id("subject", false)
	e.Points = r.id("points", false)
	e.Previous = r.digest("previous")
	e.Blobs = r.digests("blobs")
	e.Personal, e.Secrets = r.digests("personal"), r.digests("secrets")
	e.Data = r.texts("data")
	e.Changes = r.changes("changes")
	e.Seen = r.heads("seen")
	if err := r.close(); err != nil {
		return Entry{}, err
	}
	if _, ok := KindNamed(string(e.Kind)); !ok {
		return Entry{}, fmt.Errorf("kind %q is not known", e.Kind)
	}
	return e, nil
}

// FormatError says that an entry was written by a newer version of the tool.
type FormatError struct{ Found int64 }

func (e *FormatError) Error() string {
	return fmt.Sprintf("entry format %d is newer than the %d that this version reads", e.Found, Format)
}

// Local is the time on the wall clock of the writer.
func (e Entry) Local() time.Time {
	return e.At.In(time.FixedZone("", e.Offset*60))
}

// sortChanges orders by bytes, not by vocabulary: the order must stay when
// the vocabulary grows.
func sortChanges(changes []Change) {
	slices.SortFunc(changes, func(a, b Change) int {
		return cmp.Or(compareUTF16(a.Device, b.Device), compareUTF16(a.Setting, b.Setting))
	})
}
