package profile

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"asleft/config/source"
)

func TestRightProfilesRead(t *testing.T) {
	for name, text := range map[string]string{"bench": bench, "bench with exit proof": bench + exit, "perch": perch} {
		if _, err := Read(name, []byte(text)); err != nil {
			t.Errorf("%s:\n%v", name, err)
		}
	}
	p, err := Read("bench.toml", []byte(bench))
	if err != nil {
		t.Fatal(err)
	}
	o, ok := p.Option("sound")
	if !ok || o.Values[1].Is["confirm.lock.sound"] != "none" || o.Values[1].Silences[0] != "horn" || o.Values[1].Moves["minutes"] != "10" {
		t.Errorf("option reads as %+v", o)
	}
	if f, _ := p.Feed("second"); f.Level != "battery" || len(f.Roles) != 3 {
		t.Errorf("feed reads as %+v", f)
	}
	if got := fmt.Sprint(p.Values("feed.second.role"), p.Values("aux.1.count"), p.Values("unlock.steps")); got != "[held off] [2] []" {
		t.Errorf("values are %s", got)
	}
	if got := p.Factory(); got["feed.second.role"] != "off" || got["run.minutes"] != "10" || got["hood.source"] != "wire" {
		t.Errorf("factory values are %v", got)
	}
}

// fault is one thing spoilt: new stands for old in the base text, and the sign @
// in new (taken out) is the place where the mistake must be reported.
type fault struct{ base, old, new, want string }

var faults = []fault{
	{bench, `"asleft/profile/1"`, `@"asleft/profile/2"`, "asleft/profile/1"},
	{bench, `id = "bench-one"`, `id = @"Bench One"`, "not a name"},
	{bench, `kind = "controller"`, `kind = @"controler"`, "controller"},
	{bench, `invented = true`, `invented = @"yes"`, "true"},
	{bench, `nominal-volts = 12`, `nominal-volts = @18`, "12 or 24"},
	{bench, `nominal-volts = 12`, `@nominal-volt = 12`, "nominal-volts"},
	{bench, `["options"]`, `[@"option"]`, "options"},
	{bench, `revision = "A"`, `revision = @""`, "empty"},
	{bench, `"M.O."`, `@"T.V."`, "second reader"},
	{bench, `amps = 30`, `amps = @-1`, "0.1 to 200"},
	{bench, `amps = 30`, `amps = @"30 A"`, "number"},
	{bench, `roles = ["held"]`, `roles = @[]`, "at least one role"},
	{bench, `roles = ["held"]`, `roles = ["held", @"held"]`, "twice"},
	{bench, `[feed.main]`, `@[feed.Main]`, "not a name"},
	{bench, `signal = "hood"`, `signal = @"bonnet"`, "expected"},
	{bench, `active = ["pulses"]`, `active = @[]`, "at least one active level"},
	{bench, `use = "state"`, `use = @"status"`, "state"},
	{bench, `milliamperes = 250`, `milliamperes = @0`, "1 to 60000"},
	{bench, `behaviours = ["pulse", "latched"]`, `behaviours = @[]`, "how it can work"},
	{bench, `counts = [1, 2]`, `counts = @[2, 1]`, "upward"},
	{bench, `counts = [1, 2]`, `counts = @[1.5]`, "whole number"},
	{bench, `states = ["running", "none"]`, `states = @[]`, "says which"},
	{bench, "use = \"horn\"", "seconds = @[1]\nuse = \"horn\"", "has no `seconds`"},
	{bench, "use = \"horn\"", "states = @[\"none\"]\nuse = \"horn\"", "has no `states`"},
	{bench, `does = "lock"`, `does = @"secure"`, "lock"},
	{bench, "[channel.1]\ndoes = \"lock\"", "@[channel.1]\ndoes = \"lock\"\nfires = [\"1\"]", "either fires"},
	{bench, "[channel.1]\ndoes = \"lock\"", "@[channel.1]", "either fires"},
	{bench, `[channel.1]`, `@[channel.one]`, "by its number"},
	{bench, `[channel.1]`, `@[channel.01]`, "by its number"},
	{bench, `fires = ["1"]`, `fires = [@"9"]`, "not a free output"},
	{bench, `fires = ["1"]`, `fires = [@"horn"]`, "not a free output"},
	{bench, `fires = ["1"]`, `fires = ["1", @"1"]`, "twice"},
	{bench, `[link.serial]`, `@[link.serail]`, "serial"},
	{bench, `["brake", "engine-speed"]`, `["brake", @"tach"]`, "expected"},
	{bench, `"hood.source" = "wire"`, `"hood.sorce" = @"wire"`, "hood.source"},
	{bench, `"hood.source" = "wire"`, `"hood.source" = @"wired"`, "wire"},
	{bench, `"hood.source" = "wire"`, `"hood.source" = @"link"`, "a link that carries hood"},
	{bench, `"hood.source" = "wire"`, `"hood.active" = @"battery"`, "active at battery"},
	{bench, `"hood.source" = "wire"`, `"park.source" = @"wire"`, "an input for park"},
	{bench, `"hood.source" = "wire"`, `"engine-speed.source" = @"link-running"`, "a link that carries engine-running"},
	{bench, `"hood.source" = "wire"`, `"start.path" = @"link"`, "a link that carries start"},
	{bench, `"hood.source" = "wire"`, `"gearbox.guard" = @"exit-proof"`, "[exit-proof]"},
	{bench, `"hood.source" = "wire"`, `"immobiliser.release" = @"loop-key"`, "the release loop-key"},
	{bench, `"hood.source" = "wire"`, `"link.form" = @"discrete"`, "[link.discrete]"},
	{bench, `"hood.source" = "wire"`, `"confirm.start.sound" = @"siren"`, "an output for siren"},
	{bench, `"hood.source" = "wire"`, `"factory-alarm.disarm-on" = @"start"`, "factory-disarm"},
	{bench, `"hood.source" = "wire"`, `"remote.big.gesture.g1" = @"8"`, "taught to a remote"},
	{bench, `"aux.1.count" = "2"`, `"aux.1.count" = @"3"`, "from 1 to 2"},
	{bench, `"aux.1.count" = "2"`, `"aux.7.count" = @"2"`, "no output for aux"},
	{bench, `"aux.1.count" = "2"`, `"aux.2.count" = @"2"`, "no output for aux"},
	{bench, `"aux.1.count" = "2"`, `"aux.1.seconds" = @"3"`, "seconds does not list 3"},
	{bench, `"aux.1.count" = "2"`, `"aux.1.behaviour" = @"timed"`, "behaviours does not list timed"},
	{bench, `"aux.1.count" = "2"`, `"state-output.2.on" = @"armed"`, "states does not list armed"},
	{bench, `"aux.1.count" = "2"`, `"run.minutes" = @"10"`, "two places"},
	{bench, `setting = "feed.second.role"`, `setting = @"feed.secnd.role"`, `no feed "secnd"`},
	{bench, `setting = "feed.second.role"`, `setting = @"feed.second.rol"`, "feed.second.role"},
	{bench, `values = ["held", "off"]`, `values = ["held", @"of", "off"]`, "off"},
	{bench, `values = ["held", "off"]`, `values = ["held", "off", @"dropped"]`, "roles does not list dropped"},
	{bench, `values = ["held", "off"]`, `values = ["held", "off", @"held"]`, "mean the same"},
	{strings.Replace(bench, `values = ["5", "10"]`, `values = ["10"]`, 1), `[option.minutes]`, `@[option.minutes]`, "no choice"},
	{bench, `factory = "off"`, `factory = @"dropped"`, "not one of the values"},
	{bench, `factory = "1"`, `factory = @"3"`, "not one of the values"},
	{bench, "how = \"keyed\"\nbank = 1\nitem = 1", "how = @\"keyed\"\nbank = 1", "needs its place"},
	{bench, "how = \"keyed\"\nbank = 1\nitem = 1", "how = @\"keyed\"\nitem = 1", "needs its place"},
	{bench, "how = \"keyed\"\nbank = 1\nitem = 1", "how = @\"pressed\"\nbank = 1\nitem = 1", "keyed"},
	{bench, `how = "dial"`, "how = @\"dial\"\nbank = 2", "no place in the menus"},
	{bench, "item = 2", "item = @5", "bank 1 has 4 items"},
	{bench, "bank = 1\nitem = 2", "bank = @2\nitem = 2", "sizes of 1 banks"},
	{bench[:strings.Index(bench, "[keying]")], "how = \"keyed\"\nbank = 1\nitem = 1", "how = @\"keyed\"\nbank = 1\nitem = 1", "does not say how the device is keyed"},
	{bench, "item = 2", "item = @1", "taken by option second-feed"},
	{bench, "item = 2", "item = 2\nread-at-power-up = @true", "read at power-up"},
	{bench, `factory = "1"`, "factory = \"1\"\nsetting = @\"lock.count\"", "exclude each other"},
	{bench, `silences = ["horn"]`, `silences = [@"hooter"]`, "horn"},
	{bench, `silences = ["horn"]`, `@silence = ["horn"]`, "silences"},
	{bench, `moves = { minutes = "10" }`, `moves = { minute = @"10" }`, "minutes"},
	{bench, `moves = { minutes = "10" }`, `moves = { minutes = @"15" }`, `no value "15"`},
	{bench, `moves = { minutes = "10" }`, `moves = { sound = @"1" }`, "no other option"},
	{bench, "[option.sound.value.2]\nis = { \"confirm.lock.sound\" = \"none\", \"confirm.unlock.sound\" = \"none\" }",
		"@[option.sound.value.2]\nis = { \"confirm.lock.sound\" = \"none\" }", "other settings than value 1"},
	{bench, "setting = \"run.minutes\"\nvalues = [", "setting = \"confirm.lock.sound\"\nvalues = [@", `cannot be "5"`},
	{bench, `values = ["5", "10"]`, `values = [@5, "10"]`, "quotes"},
	{bench, `how = "dial"`, "how = \"dial\"\n@colour = \"red\"", "colour"},
	{bench, `[fixed]`, "[@gesture.tap]\nease = 1\n[fixed]", "has no `gesture`"},
	{bench, `[feed.main]`, "[@feeds.main]", "feed"},

	{bench + exit, `inputs = ["hood", "brake"]`, `inputs = ["hood", @"clutch"]`, "neither an input nor a link"},
	{bench + exit, `power-up = "none"`, `power-up = @"nowhere"`, "state of the exit proof"},
	{bench + exit, `vacated = "left"`, `vacated = @"lefft"`, "left"},
	{bench + exit, `running = ["run"]`, `running = [@"runs"]`, "run"},
	{bench + exit, `left = "horn 2"`, `left = @"hooter 2"`, "cannot be read"},
	{bench + exit, `left = "horn 2"`, `lost = @"horn 2"`, "state of the exit proof"},
	{bench + exit, `on = ["key-out"]`, `on = [@"key-away"]`, "key-out"},
	{bench + exit, `while = ["engine-turning"]`, `while = [@"engine-turns"]`, "engine-turning"},
	{bench + exit, "[exit-proof.step.end]\nfrom = [\"run\"]", "@[exit-proof.step.end]\nfrom = [\"run\", \"run\"]", "two ways"},
	{bench + exit, "[exit-proof.step.start]\nfrom = [\"left\"]", "[exit-proof.step.start]\nfrom = [\"run\"]", "cannot be reached from none"},

	{perch, `cell = "CR2032"`, `cell = @2032`, "quotes"},
	{perch, `teach = "Hold both."`, ``, "how it is taught"},
	{perch, `[button.lock]`, "[@feed.main]\namps = 3\n[button.lock]", "has no `feed`"},
	{perch, "mark = \"U\"\nrow = 2", "mark = \"U\"\nrow = @1", "lie on each other"},
	{perch, `buttons = ["lock"]`, `buttons = [@"lok"]`, "lock"},
	{perch, `buttons = ["lock"]`, `buttons = ["lock", @"lock"]`, "twice"},
	{perch, `buttons = ["lock"]`, `buttons = @[]`, "at least one button"},
	{perch, "hold-seconds = 2", "hold-seconds = @0.1", "0.5 to 10"},
	{perch, "presses = 1\nhold-seconds = 2", "presses = 2\nhold-seconds = @2", "not held"},
	{perch, "[gesture.open-hold]\nbuttons = [\"open\"]\npresses = 1\nhold-seconds = 2",
		"@[gesture.open-hold]\nbuttons = [\"lock\"]\npresses = 1", "same presses"},
	{perch, `teachable = [8, 9]`, `teachable = [8, @8]`, "stands twice"},
	{perch, `teachable = [8, 9]`, `teachable = @[8.5]`, "whole number"},
	{perch, "[gesture.open-hold]\n", "@[gesture.open-hold]\nchannel = 8\n", "either sends"},
	{perch, "teachable = [8, 9]", "teachable = [8, 9]\ntaken-for = @\"panic\"", "has a fixed channel"},
	{perch, `taken-for = "lock"`, `taken-for = @"locks"`, "lock"},
	{perch, `ease = 3`, ``, "ease"},
}

func TestEveryFaultIsPlaced(t *testing.T) {
	for _, f := range faults {
		if strings.Count(f.base, f.old) == 0 {
			t.Fatalf("the base has no %q", f.old)
		}
		text := strings.Replace(f.base, f.old, f.new, 1)
		want := "test.toml"
		if at := strings.Index(text, "@"); at >= 0 {
			text = text[:at] + text[at+1:]
			line := strings.Count(text[:at], "\n") + 1
			want = fmt.Sprintf("test.toml:%d:%d", line, at-strings.LastIndex(text[:at], "\n"))
		}
		_, err := Read("test.toml", []byte(text))
		var problems source.Problems
		if !errors.As(err, &problems) {
			t.Errorf("%q for %q: error is %v", f.new, f.old, err)
			continue
		}
		if !placed(problems, want, f.want) {
			t.Errorf("%q for %q: want %q at %s in\n%v", f.new, f.old, f.want, want, err)
		}
	}
}

func placed(problems source.Problems, at, text string) bool {
	for _, p := range problems {
		if (p.Pos.String() == at || at == "test.toml") && strings.Contains(p.Error(), text) {
			return true
		}
	}
	return false
}

// All mistakes of a file come at once, in the order of the file.
func TestAllFaultsAtOnce(t *testing.T) {
	text := bench
	for _, change := range [][2]string{
		{`amps = 30`, `amps = "thirty"`}, {`signal = "hood"`, `signal = "hod"`}, {`does = "lock"`, `does = "lokc"`},
		{`factory = "off"`, `factory = "on"`}, {`how = "dial"`, `how = "knob"`},
	} {
		text = strings.Replace(text, change[0], change[1], 1)
	}
	_, err := Read("test.toml", []byte(text))
	var problems source.Problems
	if !errors.As(err, &problems) || len(problems) != 5 {
		t.Fatalf("want five mistakes, found\n%v", err)
	}
	for i, p := range problems {
		if i > 0 && p.Pos.Line <= problems[i-1].Pos.Line {
			t.Errorf("out of order: %v after %v", p.Pos, problems[i-1].Pos)
		}
	}
}

// Whatever the bytes, Read gives a profile or Problems, never a panic; what it
// accepts can be asked for everything.
func FuzzRead(f *testing.F) {
	f.Add([]byte(bench))
	f.Add([]byte(bench + exit))
	f.Add([]byte(perch))
	for _, c := range faults {
		f.Add([]byte(strings.ReplaceAll(strings.Replace(c.base, c.old, c.new, 1), "@", "")))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Read("fuzz.toml", data)
		if err != nil {
			var problems source.Problems
			if !errors.As(err, &problems) || len(problems) == 0 {
				t.Fatalf("error of another kind: %v", err)
			}
			return
		}
		for _, name := range p.Settings() {
			if len(p.Values(name)) == 0 {
				t.Fatalf("%s has no value", name)
			}
		}
		if p.Exit != nil {
			p.Exit.Lacks() // must not run for ever on any machine
		}
	})
}
