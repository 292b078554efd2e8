package assign_test

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/source"
	"asleft/rules/assign"
)

// mistakes bend the minibus, or a remote or controller of it, in one place, and say what the message
// about it has. What is wrong in one file is found by its reader, what job and profile say together here.
var mistakes = []struct {
	name, file, old, new              string
	at                                string // the stretch that is marked, in the file that is named
	message, expected, found, nearest string
}{
	{"function without a line", "minibus.toml", `line = "c8-04"`, "",
		"[function.ramp]", "without a line", "connector and cavity", "", ""},
	{"gesture twice in a remote", "demo-wren.toml", "[gesture.both-tap]", "[gesture.both-hold]",
		"both-hold", "given twice", "each table once", "", ""},
	{"two gestures of the same presses", "demo-wren.toml", "[gesture.unlock-double]\nbuttons = [\"unlock\"]", "[gesture.unlock-double]\nbuttons = [\"lock\"]",
		"[gesture.unlock-double]", "lock-double and unlock-double are the same presses", "tell apart", "", ""},
	{"gesture wished for two functions", "minibus.toml", `on = { big = { use = "weekly" }, small = { use = "rare" } }`, `on.big = { use = "weekly", gesture = "star-hold" }` + "\n[function.gate]\n" + `does = "gate"` + "\n" + `line = "c9-09"` + "\n" + `on.big = { use = "rare", gesture = 'star-hold' }`,
		`'star-hold'`, "wished for rear-doors already", "another gesture", "star-hold", ""},
	{"gesture that the remote has not", "minibus.toml", `on = { big = { use = "daily" } }`, `on = { big = { use = "daily", gesture = "star-tab" } }`,
		`"star-tab"`, "no such gesture", "one of lock-tap", "star-tab", "star-tap"},
	{"channel that the controller has not", "demo-rook.toml", "channel = 3\n", "channel = 33\n",
		`"demo-rook"`, "sends channel 33 by start-double to start, and Alder 6, an invented demo controller has no such channel", "channel 3 is its start", "demo-rook", ""},
	{"channel that the controller takes for something else", "demo-rook.toml", "channel = 4\n", "channel = 3\n",
		`"demo-rook"`, "to stop, and Alder 6, an invented demo controller takes that channel for start", "channel 4 is its stop", "demo-rook", ""},
	{"channel that is no number", "demo-wren.toml", "channel = 8", `channel = "eight"`,
		`"eight"`, "wrong kind", "whole number from 1 to 99", `text "eight"`, ""},
	{"channel beyond all", "demo-wren.toml", "teachable = [8, 9, 10]", "teachable = [8, 9, 100]",
		"100", "out of range", "from 1 to 99", "100", ""},
	{"channel misspelt", "demo-wren.toml", "channel = 8", "chanel = 8",
		"chanel", "no key `chanel`", "", "", "channel"},
	{"channel that fires no output", "demo-alder.toml", `fires = ["2"]`, `fires = ["22"]`,
		`"22"`, "which is not a free output", "one of 1, 2", `"22"`, "2"},
	{"current without a unit", "minibus.toml", "amperes = 0.18", "current = 0.18",
		"0.18", "not as `current`", "amperes, from 0 to 60", "current = 0.18", "amperes"},
	{"current in thousandths", "minibus.toml", "amperes = 0.18", "milliamperes = 180",
		"180", "not as `milliamperes`", "amperes, from 0 to 60", "milliamperes = 180", "amperes"},
	{"current as text", "minibus.toml", "amperes = 0.18", `amperes = "0.18 A"`,
		`"0.18 A"`, "wrong kind", "a number from 0 to 60", `text "0.18 A"`, ""},
	{"output that the controller has not", "minibus.toml", "[output.horn]", "[output.hron]",
		"[output.hron]", "no such output", "one of 1, 2", "hron", "horn"},
	{"switched part on an output without a state", "minibus.toml", "[output.horn]\n", "[output.horn]\nswitches = \"simulated-brake\"\n",
		`"simulated-brake"`, "output horn of Alder 6, an invented demo controller reports no state", "a state output: 6", "horn", ""},
	{"remote that the job has not", "minibus.toml", `on = { big = { use = "daily" } }`, `on = { bog = { use = "daily" } }`,
		`{ use = "daily" }`, "no remote of this name", "one of big, small", "bog", "big"},
}

func TestMistakesArePlaced(t *testing.T) {
	for _, c := range mistakes {
		t.Run(c.name, func(t *testing.T) {
			err := readBent(t, c.file, c.old, c.new)
			var found source.Problems
			if !errors.As(err, &found) {
				t.Fatalf("no problems, but %v", err)
			}
			i := slices.IndexFunc(found, func(p source.Problem) bool { return strings.Contains(p.Message, c.message) })
			if i < 0 {
				t.Fatalf("nothing says %q:\n%v", c.message, err)
			}
			p := found[i]
			line := []rune(p.Line)
			if p.Pos.Line == 0 || string(line[p.Pos.Col-1:min(len(line), p.Pos.Col-1+p.Width)]) != c.at {
				t.Errorf("it marks %s:\n%v", fmt.Sprint(p.Pos), err)
			}
			if file := map[bool]string{true: c.file, false: "minibus.toml"}[!strings.Contains(c.at, "demo-")]; p.Pos.File != file {
				t.Errorf("it names the file %s", p.Pos.File)
			}
			if !strings.Contains(p.Expected, c.expected) || p.Found != c.found || p.Nearest != c.nearest {
				t.Errorf("expected %q, found %q, nearest %q", p.Expected, p.Found, p.Nearest)
			}
		})
	}
}

// readBent reads the minibus and the profiles as the program does, with one place of one file bent.
func readBent(t *testing.T, file, old, now string) error {
	t.Helper()
	bend := func(name, path string) []byte {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if name != file {
			return data
		}
		changed := strings.Replace(string(data), old, now, 1)
		if changed == string(data) {
			t.Fatalf("%s has no %s", name, old)
		}
		return []byte(changed)
	}
	j, err := job.Read("minibus.toml", bend("minibus.toml", "../../testdata/jobs/minibus.toml"))
	if err != nil {
		return err
	}
	var wrong error
	_, err = assign.FromJob(j, func(id string) (*profile.Profile, bool) {
		name := id + ".toml"
		p, err := profile.Read(name, bend(name, "../../config/profile/devices/"+name))
		if err != nil {
			wrong = err
			return nil, false
		}
		return p, true
	})
	if wrong != nil {
		return wrong
	}
	return err
}

// What a remote sends and the controller does not know is told, not taken in silence: somebody presses it.
func TestGesturesThatDoNothingAreNoted(t *testing.T) {
	plan, err := assign.Solve(demo(t, "estate"))
	if err != nil {
		t.Fatal(err)
	}
	want := "the one remote sends what the controller does not know, so that these do nothing: press U and * together (channel 13); it knows channels 1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12"
	if !slices.Contains(plan.Notes, want) {
		t.Errorf("notes %q", plan.Notes)
	}
	if plan, err = assign.Solve(demo(t, "minibus")); err != nil || len(plan.Notes) != 0 {
		t.Errorf("minibus, whose remotes fit: %q %v", plan.Notes, err)
	}
}
