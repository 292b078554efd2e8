package record

import (
	"fmt"

	"asleft/config/setting"
)

// ProfileRole begins the role of the device profiles an entry rests on: "profile.demo-alder".
const ProfileRole = "profile."

// addDocuments stores the documents and works out old and new values.
func (p *pen) addDocuments(d *Draft, e *Entry, clean redactor, past *past) error {
	docs := d.Documents
	e.Changes = append([]Change(nil), d.Changes...)
	if d.Snapshot != nil {
		role := d.snapshotRole()
		docs = append([]Document{{role, d.Snapshot.Canonical()}}, docs...)
		history, err := past.history()
		if err != nil {
			return err
		}
		before, err := beforeSnapshot(history, role)
		if err != nil {
			return err
		}
		e.Changes = mergeChanges(e.Changes, setting.Differences(before, *d.Snapshot))
	}
	sortChanges(e.Changes)
	for _, doc := range docs {
		data := []byte(clean.redact(string(doc.Bytes)))
		digest := DigestOf(data)
		if e.Blobs == nil {
			e.Blobs = map[string]Digest{}
		}
		if _, twice := e.Blobs[doc.Role]; twice {
			return &DraftError{d.Kind, fmt.Sprintf("document %q is given twice", doc.Role), ""}
		}
		e.Blobs[doc.Role] = digest
		if err := p.w.AddDocument(digest, data); err != nil {
			return err
		}
	}
	return nil
}

// beforeSnapshot is what a new snapshot is compared with: as left against as
// left or else as found, the others against the newest of their role.
func beforeSnapshot(h *History, role string) (setting.Snapshot, error) {
	s, item, err := h.Snapshot(role)
	if err == nil && item == nil && (role == "left" || role == "keyed") {
		s, item, err = h.Snapshot("found")
	}
	if err == nil && item == nil && role == "found" {
		s, _, err = h.Snapshot("left")
	}
	return s, err
}

// mergeChanges adds the differences that a person has not stated.
func mergeChanges(stated []Change, diffs []setting.Difference) []Change {
	at := map[setting.Key]int{}
	for i, c := range stated {
		at[setting.Key{Device: c.Device, Setting: c.Setting}] = i
	}
	for _, d := range diffs {
		if i, ok := at[d.Key]; ok {
			stated[i].From, stated[i].To = shownValue(d.From), shownValue(d.To)
			continue
		}
		stated = append(stated, Change{Device: d.Device, Setting: d.Setting, From: shownValue(d.From), To: shownValue(d.To)})
	}
	return stated
}

// shownValue is a reading's value; what is unknown is empty.
func shownValue(r setting.Reading) setting.Value {
	if r.Status == setting.StatusNotApplicable {
		return "not-applicable"
	}
	return r.Value
}
