package profile

import (
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"asleft/config/setting"
)

func TestDemoDevicesReadClean(t *testing.T) {
	files, err := os.ReadDir("devices")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		data, err := os.ReadFile("devices/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		p, err := Read(f.Name(), data)
		if err != nil {
			t.Errorf("%s:\n%v", f.Name(), err)
			continue
		}
		if p.ID+".toml" != f.Name() {
			t.Errorf("%s describes %s", f.Name(), p.ID)
		}
		if !p.Invented || !strings.Contains(p.Label, "invented") || !strings.Contains(p.Papers.Title, "invented") {
			t.Errorf("%s does not say everywhere that it is invented", p.ID)
		}
		if p.Papers.SecondReader == "" {
			t.Errorf("%s has no second reader", p.ID)
		}
	}
}

func TestDemoCatalogue(t *testing.T) {
	want := []string{"demo-alder", "demo-birch", "demo-cedar", "demo-damson", "demo-elder",
		"demo-flint", "demo-quartz", "demo-slate", "demo-finch", "demo-lark", "demo-rook", "demo-wren"}
	if got := Demo().IDs(); !slices.Equal(got, want) {
		t.Errorf("ids are %v, want %v", got, want)
	}
	if _, ok := Find("demo-alder"); !ok {
		t.Error("demo-alder is not found")
	}
	if _, ok := Find("demo-oak"); ok {
		t.Error("a device that is not there is found")
	}
	c := Demo()
	if _, err := c.Add("bench.toml", []byte(bench)); err != nil {
		t.Fatal(err)
	}
	if p, ok := c.Find("bench-one"); !ok || p.Kind != Controller {
		t.Error("an added profile is not found")
	}
	if _, ok := Find("bench-one"); ok || len(Demo().All()) != len(want) {
		t.Error("adding to one catalogue changed another")
	}
	_, err := c.Add("second.toml", []byte(bench))
	if err == nil || !strings.Contains(err.Error(), "second.toml:2:6: another device is called") || !strings.Contains(err.Error(), "bench.toml:2:6") {
		t.Errorf("an id given twice: %v", err)
	}
}

// The demo devices differ from each other in what matters to the rules.
func TestDemoControllersDiffer(t *testing.T) {
	of := func(kind Kind) (out []*Profile) {
		for _, p := range Demo().All() {
			if p.Kind == kind {
				out = append(out, p)
			}
		}
		return out
	}
	views := []struct {
		kind Kind
		what string
		view func(*Profile) any
	}{
		{Controller, "feeds", func(p *Profile) any { return p.Feeds }},
		{Controller, "keying", func(p *Profile) any { return p.Keying }},
		{Controller, "outputs", func(p *Profile) any { return p.Outputs }},
		{Controller, "channels", func(p *Profile) any { return p.Channels }},
		{Controller, "inputs", func(p *Profile) any { return p.Inputs }},
		{Controller, "options", func(p *Profile) any { return p.Options }},
		{Controller, "what survives a power cut", func(p *Profile) any { return p.Keeps }},
		{Controller, "run times", func(p *Profile) any { return p.Values("run.minutes") }},
		{Controller, "engine-speed sources", func(p *Profile) any { return p.Values("engine-speed.source") }},
		{Controller, "guards", func(p *Profile) any { return p.Values("gearbox.guard") }},
		{Module, "links", func(p *Profile) any { return p.Links }},
		{Module, "releases", func(p *Profile) any { return p.Releases }},
		{Remote, "gestures", func(p *Profile) any { return p.Gestures }},
		{Remote, "buttons", func(p *Profile) any { return p.Buttons }},
	}
	for _, v := range views {
		devices := of(v.kind)
		for i, p := range devices {
			for _, other := range devices[:i] {
				if v.what == "keying" && (p.Keying == nil || other.Keying == nil) {
					continue
				}
				if reflect.DeepEqual(v.view(p), v.view(other)) {
					t.Errorf("%s and %s have equal %s", other.ID, p.ID, v.what)
				}
			}
		}
	}
}

// shown is what the rules tell apart.
var shown = []string{"volts 12", "volts 24", "output ground 150", "output ground 200", "output ground 250", "output ground 500", "output battery 250",
	"option keyed", "option strap", "option dial", "option cable", "option learned", "option that sets several", "value that silences",
	"tap", "double", "hold", "chord", "buttons 2", "buttons 4", "buttons 5", "fixed", "teachable", "takeover"}

// What the demo devices show between them: every rating, level and way that the
// rules tell apart occurs on some device.
func TestDemoDevicesCoverTheTrade(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range Demo().All() {
		seen[fmt.Sprint("volts ", p.NominalVolts)] = true
		noteHardware(p, seen)
		for _, g := range p.Gestures {
			seen[gestureKind(g)] = true
			seen[map[bool]string{true: "teachable", false: "fixed"}[len(g.Teachable) > 0]] = true
		}
		if p.Kind == Remote {
			seen[fmt.Sprint("buttons ", len(p.Buttons))] = true
		}
		if p.Kind == Module && p.Hears("takeover") {
			if seen["takeover"] {
				t.Error("more than one module reports an authenticated takeover")
			}
			seen["takeover"] = true
		}
		for _, name := range p.Settings() {
			f, _ := setting.Find(name)
			seen[f.Pattern] = true
		}
		for _, way := range p.Releases {
			seen["release "+way] = true
		}
	}
	want := slices.Clone(shown)
	for _, way := range releaseWays {
		want = append(want, "release "+way)
	}
	for _, f := range setting.Families() {
		if f.Pattern != "remote.R.gesture.G" { // taught to remotes
			want = append(want, f.Pattern)
		}
	}
	for _, w := range want {
		if !seen[w] {
			t.Errorf("no demo device shows %s", w)
		}
	}
}

func gestureKind(g Gesture) string {
	switch {
	case len(g.Buttons) > 1:
		return "chord"
	case g.HoldSeconds > 0:
		return "hold"
	case g.Presses == 2:
		return "double"
	}
	return "tap"
}

// Each remote can lock, unlock, start, stop and call for help on each 12 V
// controller: the channels of those gestures do that there.
func TestTakenGesturesDoWhatTheySay(t *testing.T) {
	for _, remote := range Demo().All() {
		for _, g := range remote.Gestures {
			if g.Taken == "" {
				continue
			}
			for _, c := range Demo().All() {
				if c.Kind != Controller {
					continue
				}
				if ch, ok := c.Channel(g.Channel); !ok || ch.Does != g.Taken {
					t.Errorf("%s %s sends channel %d, which does not %s on %s", remote.ID, g.ID, g.Channel, g.Taken, c.ID)
				}
			}
		}
	}
}

// The run times have gaps, so that a limit of a place does not always meet one.
func TestRunTimesHaveGaps(t *testing.T) {
	for _, p := range Demo().All() {
		values := p.Values("run.minutes")
		if p.Kind != Controller {
			continue
		}
		last, gap := 0.0, false
		for _, v := range values {
			n, ok := v.Number()
			if !ok || n <= last {
				t.Errorf("%s lists run times %v", p.ID, values)
			}
			gap = gap || n-last > 1
			last = n
		}
		if !gap {
			t.Errorf("%s has no gap in %v", p.ID, values)
		}
	}
}

func noteHardware(p *Profile, seen map[string]bool) {
	for _, o := range p.Outputs {
		if o.Use == "aux" {
			seen[fmt.Sprint("output ", o.Level, " ", o.Milliamps)] = true
		}
	}
	for _, o := range p.Options {
		seen["option "+o.How] = true
		if len(o.Values[0].Is) > 1 {
			seen["option that sets several"] = true
		}
		for _, v := range o.Values {
			if len(v.Silences) > 0 {
				seen["value that silences"] = true
			}
		}
	}
}
