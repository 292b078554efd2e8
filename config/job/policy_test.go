package job

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"asleft/config/setting"
)

const leastPolicy = `schema = "asleft/policy/1"
shop = "Ostlin Bay Workshop"
by = "T.V."
`

func TestReadPolicy(t *testing.T) {
	p, err := ReadPolicy("p", []byte(leastPolicy+`
tests = ["range-walk"]
[limit.run-time]
setting = "run.minutes"
at-most = 10
reason = "yard"
[limit.pocket]
setting = "start.gesture-guard"
allowed = ["double", "hold"]
reason = "pockets"
[default.quiet]
setting = "factory-alarm.disarm-on"
value = ["unlock", "start"]
[override]
front-desk = ["confirm.lock.sound"]
`))
	if err != nil {
		t.Fatal(err)
	}
	p.Doc = nil
	want := &Policy{
		Shop: "Ostlin Bay Workshop", By: "T.V.", Tests: []string{"range-walk"},
		Limits: []Bound{
			{Name: "run-time", Setting: "run.minutes", AtMost: 10, Reason: "yard"},
			{Name: "pocket", Setting: "start.gesture-guard", Values: []string{"double", "hold"}, Reason: "pockets"},
		},
		Defaults: []Bound{{Name: "quiet", Setting: "factory-alarm.disarm-on", Values: []string{"start+unlock"}}},
		Override: map[string][]string{"front-desk": {"confirm.lock.sound"}},
	}
	if !reflect.DeepEqual(p, want) {
		t.Errorf("got %+v, want %+v", p, want)
	}
}

func TestPolicyMistakes(t *testing.T) {
	for _, c := range []struct{ name, text, at, message string }{
		{"a job", "", "", ""},
		{"limit without values", "[limit.a]\nsetting = \"run.minutes\"\nreason = \"r\"\n", "[limit.a]", "allows nothing"},
		{"limit said twice", "[limit.a]\nsetting = \"run.minutes\"\nreason = \"r\"\nat-most = 5\nallowed = [\"5\"]\n", "[limit.a]", "says it twice"},
		{"limit of a word by number", "[limit.a]\nsetting = \"unlock.steps\"\nreason = \"r\"\nat-most = 5\n", "5", "is no number"},
		{"limit without a reason", "[limit.a]\nsetting = \"run.minutes\"\nat-most = 5\n", "[limit.a]", "lacks `reason`"},
		{"value that there is not", "[limit.a]\nsetting = \"unlock.steps\"\nreason = \"r\"\nallowed = [\"most\"]\n", `["most"]`, "not a value"},
		{"setting that there is not", "[default.a]\nsetting = \"unlock.step\"\nvalue = \"all\"\n", `"unlock.step"`, "no setting of this name"},
		{"default without a value", "[default.a]\nsetting = \"unlock.steps\"\n", "[default.a]", "lacks `value`"},
		{"override of nothing", "[override]\ndesk = [\"locks\"]\n", `["locks"]`, "may override a setting"},
		{"key misspelt", "[limits.a]\nsetting = \"run.minutes\"\n", "limits", "no key `limits`"},
	} {
		text := leastPolicy + c.text
		if c.text == "" {
			text, c.at, c.message = least, `"asleft/job/1"`, "another kind of file"
		}
		if _, err := ReadPolicy("p", []byte(text)); !holds(err, c.at, c.message) {
			t.Errorf("%s: want %q at %q, got\n%v", c.name, c.message, c.at, err)
		}
	}
}

const leastFound = `schema = "asleft/found/1"
vehicle = "the white minibus"
taken = 2026-11-20
by = "T.V."
`

func TestReadFound(t *testing.T) {
	f, err := ReadFound("f", []byte(leastFound+`
[device.controller]
unknown = ["sensor.gain"]
not-applicable = ["preheat.seconds"]
[device.controller.read]
unlock.steps = "all"
"run.minutes" = 15
start.gesture-guard = "unknown"
preheat.appear = "not-applicable"
aux.1.at-start = "off"
"factory-alarm.disarm-on" = ["unlock", "start"]
[device.controller.observed]
confirm.lamps = true
[device.controller.states]
valet = "off"
learned-hz = 23.3
firmware = "unknown"
[device.link.factory]
link.form = "serial"
`))
	if err != nil {
		t.Fatal(err)
	}
	reading := func(device, name, value string, status setting.Status, origin setting.Origin) setting.Reading {
		return setting.Reading{Key: setting.Key{Device: device, Setting: name}, Value: setting.Value(value), Status: status, Origin: origin}
	}
	want, err := setting.NewSnapshot([]setting.Reading{
		reading("controller", "sensor.gain", "", setting.StatusUnknown, ""),
		reading("controller", "preheat.seconds", "", setting.StatusNotApplicable, ""),
		reading("controller", "start.gesture-guard", "", setting.StatusUnknown, ""),
		reading("controller", "preheat.appear", "", setting.StatusNotApplicable, ""),
		reading("controller", "unlock.steps", "all", setting.StatusKnown, setting.OriginRead),
		reading("controller", "run.minutes", "15", setting.StatusKnown, setting.OriginRead),
		reading("controller", "aux.1.at-start", "off", setting.StatusKnown, setting.OriginRead),
		reading("controller", "factory-alarm.disarm-on", "start+unlock", setting.StatusKnown, setting.OriginRead),
		reading("controller", "confirm.lamps", "on", setting.StatusKnown, setting.OriginObserved),
		reading("link", "link.form", "serial", setting.StatusKnown, setting.OriginFactory),
	}, []setting.StateReading{
		{Device: "controller", State: "valet", Value: "off", Status: setting.StatusKnown},
		{Device: "controller", State: "learned-hz", Value: "23.3", Status: setting.StatusKnown},
		{Device: "controller", State: "firmware", Status: setting.StatusUnknown},
	})
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(f.Snapshot, want) {
		t.Errorf("got %+v, want %+v", f.Snapshot, want)
	}
	if err := f.Snapshot.Check(); err != nil {
		t.Error(err)
	}
}

func TestFoundMistakes(t *testing.T) {
	for _, c := range []struct{ name, text, at, message string }{
		{"setting that there is not", "[device.controller.read]\nunlock.stps = \"all\"\n", `"all"`, "no setting of this name"},
		{"value that there is not", "[device.controller.read]\nunlock.steps = \"most\"\n", `"most"`, "not a value"},
		{"given twice", "[device.controller.read]\nunlock.steps = \"all\"\n[device.controller.observed]\nunlock.steps = \"all\"\n", `"all"`, "given twice"},
		{"given twice in two forms", "[device.controller.read]\nunlock.steps = \"all\"\n\"unlock.steps\" = \"all\"\n", `"all"`, "given twice"},
		{"known and unknown", "[device.controller]\nunknown = [\"unlock.steps\"]\nread = { unlock.steps = \"all\" }\n", `["unlock.steps"]`, "given twice"},
		{"state that there is not", "[device.controller.states]\nvalett = \"off\"\n", "valett", "no key `valett`"},
		{"state of an odd value", "[device.controller.states]\nvalet = \"maybe\"\n", `"maybe"`, "not a value"},
		{"origin that there is not", "[device.controller.seen]\nunlock.steps = \"all\"\n", "seen", "no key `seen`"},
		{"device with an odd name", "[device.Box.read]\n", "Box", "not a name"},
	} {
		if _, err := ReadFound("f", []byte(leastFound+c.text)); !holds(err, c.at, c.message) {
			t.Errorf("%s: want %q at %q, got\n%v", c.name, c.message, c.at, err)
		}
	}
}

// FuzzReaders looks for a panic, and for a job, policy or as-found file that
// comes out with what should have been refused.
func FuzzReaders(f *testing.F) {
	files, err := filepath.Glob(filepath.Join(folder, "*.toml"))
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte(least + circuit))
	f.Add([]byte(leastPolicy))
	f.Add([]byte(leastFound))
	f.Fuzz(func(t *testing.T, data []byte) {
		if j, err := Read("f", data); err == nil {
			for _, c := range j.Circuits {
				if c.Role == "" || c.Because == "" {
					t.Errorf("%s has no role", c.Name)
				}
			}
			if strings.Contains(j.Policy, "..") && strings.Contains("/"+j.Policy+"/", "/../") {
				t.Errorf("policy %q", j.Policy)
			}
			_ = j.Warnings.Error()
		}
		if p, err := ReadPolicy("f", data); err == nil && p.Shop == "" {
			t.Error("no shop")
		}
		if found, err := ReadFound("f", data); err == nil {
			if err := found.Snapshot.Check(); err != nil {
				t.Error(err)
			}
		}
	})
}
