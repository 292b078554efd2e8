package job

import (
	"fmt"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
)

// FoundSchema is the first line of every as-found file.
const FoundSchema = "asleft/found/1"

// ReadFound reads the settings and states that devices were found with. Under
// each device the settings stand in tables named by where they are known from
// (read, observed, keyed, factory), the states under states; settings that
// nobody has seen are listed under unknown, or have that word for a value. Names
// may be written with or without quotes:
//
//	[device.controller.read]
//	unlock.steps = "all"
//	"run.minutes" = 15
func ReadFound(name string, data []byte) (*Found, error) {
	doc, err := source.Parse(name, data)
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	schema(root, FoundSchema)
	f := &Found{
		Doc:     doc,
		Vehicle: root.Text("vehicle", source.Required(`vehicle = "the white minibus"`)),
		Taken:   root.Day("taken", source.Required("taken = 2026-11-20")),
		By:      root.Text("by", source.Required(`by = "T.V."`)),
	}
	var r found
	for _, t := range root.Each("device") {
		r.device(t)
	}
	root.Close()
	if problems := doc.Problems(); problems != nil {
		return nil, problems
	}
	f.Snapshot, err = setting.NewSnapshot(r.readings, r.states)
	if err != nil {
		// Every part was checked where it stands, so this is a gap in the
		// checks; the file is refused all the same.
		doc.Fault(source.Problem{Message: err.Error()})
		return nil, doc.Problems()
	}
	return f, nil
}

// found gathers what an as-found file says.
type found struct {
	readings []setting.Reading
	states   []setting.StateReading
}

// device reads [device.NAME].
func (r *found) device(t *source.Table) {
	defer t.Close()
	device := name(t)
	seen := map[string]bool{}
	once := func(t *source.Table, key, name string) {
		if seen[name] {
			t.Fault(key, source.Problem{Message: fmt.Sprintf("%s of %s is given twice", name, device), Expected: "each setting once"})
		}
		seen[name] = true
	}
	for _, origin := range setting.Origins() {
		sub := t.Sub(origin)
		each(sub, nil, func(at *source.Table, key, name string) {
			once(at, key, name)
			r.readings = append(r.readings, foundValue(at, key, setting.Key{Device: device, Setting: name}, setting.Origin(origin)))
		})
	}
	for _, status := range []setting.Status{setting.StatusUnknown, setting.StatusNotApplicable} {
		for _, name := range t.Texts(string(status)) {
			once(t, string(status), name)
			unknownSetting(t, string(status), name)
			r.readings = append(r.readings, setting.Reading{Key: setting.Key{Device: device, Setting: name}, Status: status})
		}
	}
	r.readStates(t.Sub("states"), device)
}

// readStates reads [device.NAME.states].
func (r *found) readStates(t *source.Table, device string) {
	defer t.Close()
	for _, s := range setting.States() {
		if !t.Has(s.Name) {
			t.Value(s.Name)
			continue
		}
		value := t.Value(s.Name)
		if value == "unknown" {
			r.states = append(r.states, setting.StateReading{Device: device, State: s.Name, Status: setting.StatusUnknown})
			continue
		}
		if value != "" {
			value = canonical(t, s.Name, value, s.Parse)
		}
		r.states = append(r.states, setting.StateReading{Device: device, State: s.Name, Value: setting.Value(value), Status: setting.StatusKnown})
	}
}

// each walks over the settings of a table, whether their names are written in
// quotes or as dotted keys.
func each(t *source.Table, above []string, do func(at *source.Table, key, name string)) {
	defer t.Close()
	for _, key := range t.Keys() {
		path := append(above[:len(above):len(above)], key)
		if t.IsTable(key) {
			each(t.Sub(key), path, do)
			continue
		}
		do(t, key, strings.Join(path, "."))
	}
}

// foundValue reads one setting.
func foundValue(t *source.Table, key string, of setting.Key, origin setting.Origin) setting.Reading {
	value := t.Value(key)
	if unknownSetting(t, key, of.Setting) || value == "" {
		return setting.Reading{Key: of, Status: setting.StatusUnknown}
	}
	for _, s := range []setting.Status{setting.StatusUnknown, setting.StatusNotApplicable} {
		if value == string(s) {
			return setting.Reading{Key: of, Status: s}
		}
	}
	family, _ := setting.Find(of.Setting)
	return setting.Reading{Key: of, Value: setting.Value(canonical(t, key, value, family.Parse)), Status: setting.StatusKnown, Origin: origin}
}

// unknownSetting notes a setting that is not in the vocabulary.
func unknownSetting(t *source.Table, key, name string) bool {
	if _, ok := setting.Find(name); ok {
		return false
	}
	t.Fault(key, source.Problem{
		Message: "there is no setting of this name",
		Found:   name,
		Nearest: setting.Nearest(name),
	})
	return true
}
