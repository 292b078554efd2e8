package setting

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func reading(device, name, value string, o Origin) Reading {
	return Reading{Key: Key{device, name}, Value: Value(value), Status: StatusKnown, Origin: o}
}

var sample = Snapshot{
	Readings: []Reading{
		reading("controller", "unlock.steps", "driver-first", OriginKeyed),
		reading("controller", "aux.10.seconds", "0.5", OriginFactory),
		reading("controller", "aux.2.seconds", "0.8", OriginRead),
		{Key: Key{"controller", "preheat.source"}, Status: StatusNotApplicable},
		{Key: Key{"module", "link.form"}, Status: StatusUnknown},
	},
	States: []StateReading{
		{Device: "controller", State: "valet", Value: "off", Status: StatusKnown},
		{Device: "controller", State: "firmware", Value: "2.10 b", Status: StatusKnown},
		{Device: "module", State: "learned-keys", Status: StatusUnknown},
	},
}

// The bytes of a snapshot, written out by hand by the rules of RFC 8785: members
// sorted, no white space, strings alone.
const sampleBytes = `{"readings":[` +
	`{"device":"controller","origin":"factory","setting":"aux.10.seconds","status":"known","value":"0.5"},` +
	`{"device":"controller","origin":"read","setting":"aux.2.seconds","status":"known","value":"0.8"},` +
	`{"device":"controller","setting":"preheat.source","status":"not-applicable"},` +
	`{"device":"controller","origin":"keyed","setting":"unlock.steps","status":"known","value":"driver-first"},` +
	`{"device":"module","setting":"link.form","status":"unknown"}],` +
	`"schema":"asleft/snapshot/1","states":[` +
	`{"device":"controller","state":"firmware","status":"known","value":"2.10 b"},` +
	`{"device":"controller","state":"valet","status":"known","value":"off"},` +
	`{"device":"module","state":"learned-keys","status":"unknown"}]}`

func TestCanonicalBytes(t *testing.T) {
	if got := string(sample.Canonical()); got != sampleBytes {
		t.Errorf("got\n%s\nwant\n%s", got, sampleBytes)
	}
	back, err := ParseSnapshot([]byte(sampleBytes))
	if err != nil {
		t.Fatal(err)
	}
	if err := back.Check(); err != nil {
		t.Error(err)
	}
	sorted, err := NewSnapshot(sample.Readings, sample.States)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(sorted, back); d != "" {
		t.Error(d)
	}
	if r, ok := back.Get(Key{"controller", "aux.2.seconds"}); !ok || r.Value != "0.8" || r.Origin != OriginRead {
		t.Errorf("Get found %v, %v", r, ok)
	}
	if _, ok := back.Get(Key{"controller", "aux.3.seconds"}); ok {
		t.Error("Get found what is not there")
	}
	empty, err := ParseSnapshot(Snapshot{}.Canonical())
	if err != nil || len(empty.Readings)+len(empty.States) != 0 {
		t.Errorf("empty snapshot: %v, %v", empty, err)
	}
}

// Every other spelling of the same snapshot, and every malformed one, is refused.
func TestParseSnapshotRefuses(t *testing.T) {
	replace := func(old, new string) string { return strings.Replace(sampleBytes, old, new, 1) }
	tests := map[string]string{
		"white space":           " " + sampleBytes,
		"trailing newline":      sampleBytes + "\n",
		"a second value":        sampleBytes + "{}",
		"members out of order":  replace(`"device":"module","setting":"link.form"`, `"setting":"link.form","device":"module"`),
		"needless escape":       replace(`"unlock.steps"`, `"\u0075nlock.steps"`),
		"escaped slash":         replace(`asleft/snapshot/1`, `asleft\/snapshot/1`),
		"capital member":        replace(`"device":"module"`, `"Device":"module"`),
		"unknown member":        replace(`"device":"module"`, `"colour":"red","device":"module"`),
		"member twice":          replace(`"device":"module"`, `"device":"module","device":"module"`),
		"empty member":          replace(`"setting":"link.form","status":"unknown"}]`, `"setting":"link.form","status":"unknown","value":""}]`),
		"null":                  replace(`"value":"0.5"`, `"value":null`),
		"a number":              replace(`"value":"0.5"`, `"value":0.5`),
		"other schema":          replace(`asleft/snapshot/1`, `asleft/snapshot/2`),
		"no schema":             replace(`"schema":"asleft/snapshot/1",`, ``),
		"value not shortest":    replace(`"value":"0.5"`, `"value":"0.50"`),
		"value with sign":       replace(`"value":"0.5"`, `"value":"+0.5"`),
		"set not sorted":        replace(`"value":"0.5"`, `"value":"unlock+start"`),
		"value with blank":      replace(`"value":"0.5"`, `"value":"0.5 s"`),
		"no origin":             replace(`"origin":"read",`, ``),
		"unknown origin":        replace(`"origin":"read"`, `"origin":"guessed"`),
		"unknown status":        replace(`"status":"unknown"`, `"status":"maybe"`),
		"unknown with a value":  replace(`"setting":"link.form","status":"unknown"`, `"setting":"link.form","status":"unknown","value":"serial"`),
		"capital device":        replace(`"device":"module","setting"`, `"device":"Module","setting"`),
		"blank in setting":      replace(`link.form`, `link form`),
		"control in a state":    replace(`2.10 b`, `2.10\u0001b`),
		"readings out of order": replace(`aux.10.seconds`, `aux.20.seconds`),
		"key twice":             replace(`aux.10.seconds`, `aux.2.seconds`),
		"no UTF-8":              replace(`2.10 b`, "2.10\xff"),
		"empty":                 ``,
		"no object":             `[]`,
		"cut off":               sampleBytes[:len(sampleBytes)-2],
		"too large":             replace(`2.10 b`, strings.Repeat("x", maxSnapshot)),
		"deep nesting":          strings.Repeat("[", 100_000),
	}
	for name, text := range tests {
		if text == sampleBytes {
			t.Errorf("%s: the test changes nothing", name)
		}
		if s, err := ParseSnapshot([]byte(text)); err == nil {
			t.Errorf("%s: accepted as %v", name, s)
		}
	}
}

// An old record with a setting that today's vocabulary lacks can be read; Check
// says what is unknown.
func TestCheckComparesWithVocabulary(t *testing.T) {
	s, err := NewSnapshot([]Reading{
		reading("controller", "engine-sped.source", "wire", OriginRead),
		reading("controller", "run.minutes", "90", OriginRead),
	}, []StateReading{{Device: "controller", State: "valett", Value: "off", Status: StatusKnown}, {Device: "controller", State: "valet", Value: "yes", Status: StatusKnown}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ParseSnapshot(s.Canonical()); err != nil {
		t.Errorf("cannot read it back: %v", err)
	}
	err = s.Check()
	if err == nil {
		t.Fatal("Check found nothing")
	}
	for _, want := range []string{`nearest is "engine-speed.source"`, "from 1 to 60", `nearest is "valet"`, "one of off, on"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not say %q", err, want)
		}
	}
}

func TestNewSnapshotRefuses(t *testing.T) {
	r := reading("controller", "unlock.steps", "all", OriginRead)
	for name, readings := range map[string][]Reading{
		"key twice":      {r, r},
		"bad device":     {reading("Controller", "unlock.steps", "all", OriginRead)},
		"bad value":      {reading("controller", "lock.seconds", "0.50", OriginRead)},
		"value unknown":  {{Key: r.Key, Value: "all", Status: StatusUnknown}},
		"no status":      {{Key: r.Key, Value: "all", Origin: OriginRead}},
		"origin unknown": {{Key: r.Key, Status: StatusNotApplicable, Origin: OriginRead}},
	} {
		if _, err := NewSnapshot(readings, nil); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

func anySnapshot(t *rapid.T, label string) Snapshot {
	readings := rapid.SliceOfNDistinct(rapid.Custom(func(t *rapid.T) Reading {
		f := anyFamily(t)
		k := Key{rapid.SampledFrom([]string{"controller", "module"}).Draw(t, "device"), Instance(f.Pattern, rapid.SampledFrom([]string{"1", "2", "10", "big"}).Draw(t, "part"), "g1")}
		switch rapid.IntRange(0, 3).Draw(t, "status") {
		case 0:
			return Reading{Key: k, Status: StatusUnknown}
		case 1:
			return Reading{Key: k, Status: StatusNotApplicable}
		}
		v, err := f.Parse(anyValue(t, f))
		if err != nil {
			t.Fatal(err)
		}
		return Reading{Key: k, Value: v, Status: StatusKnown, Origin: Origin(rapid.SampledFrom(Origins()).Draw(t, "origin"))}
	}), 0, 12, func(r Reading) Key { return r.Key }).Draw(t, label)
	states := rapid.SliceOfNDistinct(rapid.Custom(func(t *rapid.T) StateReading {
		r := StateReading{Device: "controller", State: rapid.SampledFrom(stateNames()).Draw(t, "state"), Status: StatusUnknown}
		if rapid.Bool().Draw(t, "known") {
			r.Status, r.Value = StatusKnown, Value(rapid.StringMatching(`[a-z0-9é.]{1,6}`).Draw(t, "value"))
		}
		return r
	}), 0, 4, func(r StateReading) string { return r.State }).Draw(t, label+" states")
	return Snapshot{Readings: readings, States: states}
}

// One meaning, one encoding: shuffled readings give the same bytes, what is read
// back has the same bytes, and snapshots that differ have different bytes.
func TestCanonicalIsOneToOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := anySnapshot(t, "a")
		shuffled := Snapshot{
			Readings: rapid.Permutation(a.Readings).Draw(t, "readings"),
			States:   rapid.Permutation(a.States).Draw(t, "states"),
		}
		data := a.Canonical()
		if !bytes.Equal(data, shuffled.Canonical()) {
			t.Fatalf("a shuffle changes the bytes of %s", data)
		}
		back, err := ParseSnapshot(data)
		if err != nil {
			t.Fatalf("%s: %v", data, err)
		}
		if !bytes.Equal(back.Canonical(), data) {
			t.Fatalf("%s reads back as %s", data, back.Canonical())
		}
		plain, ok := plainSnapshot(string(data))
		whole, err := jsonSnapshot(data)
		if escaped := bytes.Contains(data, []byte(`\`)); ok == escaped || err != nil {
			t.Fatalf("%s: plain is %v, JSON says %v", data, ok, err)
		}
		if ok && (!slices.Equal(plain.Readings, whole.Readings) || !slices.Equal(plain.States, whole.States)) {
			t.Fatalf("%s is read as %v and %v", data, plain, whole)
		}
		b := anySnapshot(t, "b")
		sa, _ := NewSnapshot(a.Readings, a.States)
		sb, _ := NewSnapshot(b.Readings, b.States)
		same := slices.Equal(sa.Readings, sb.Readings) && slices.Equal(sa.States, sb.States)
		if same != bytes.Equal(data, b.Canonical()) {
			t.Fatalf("bytes and meaning disagree:\n%s\n%s", data, b.Canonical())
		}
	})
}

func FuzzParseSnapshot(f *testing.F) {
	f.Add([]byte(sampleBytes))
	f.Add(Snapshot{}.Canonical())
	f.Add([]byte(strings.Replace(sampleBytes, "0.5", "0.50", 1)))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := ParseSnapshot(data)
		if err != nil {
			return
		}
		if again := s.Canonical(); !bytes.Equal(again, data) {
			t.Fatalf("accepted %q, which is written %q", data, again)
		}
		if _, err := NewSnapshot(s.Readings, s.States); err != nil {
			t.Fatalf("accepted %q, which cannot be made: %v", data, err)
		}
	})
}
