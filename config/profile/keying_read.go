package profile

import (
	"slices"
	"strconv"
	"strings"

	"asleft/config/source"
)

var (
	keyingNeeds  = []string{"doors-shut", "doors-open", "hood-open", "hood-shut", "brake-free", "key-in", "in-park", "parking-brake"}
	keyingBlocks = []string{"armed", "valet", "engine-running"}
	keyingErases = []string{"options", "paired-remotes", "learned-hz", "learned-keys"}
	shownBy      = []string{"led", "horn", "siren", "lamps"}
	inputWords   = []string{"tap", "hold-2", "brake", "key-out", "key-off", "key-acc", "key-run", "remote-1", "power-off", "power-on", "silence"}
)

// readKeying reads the [keying] tables of a profile; nil when the file has none.
func readKeying(t *source.Table) *Keying {
	k := &Keying{
		Needs:        t.Words("needs", keyingNeeds),
		Blocked:      t.Words("blocked-by", keyingBlocks),
		Volts:        t.Number("volts", 0, 30),
		PairedRemote: t.Flag("paired-remote"),
	}
	for _, n := range t.Numbers("sizes", 1, 60) {
		k.Sizes = append(k.Sizes, int(n))
	}
	k.Answer = readAnswer(t.Sub("answer"))
	reset := t.Sub("reset")
	k.Reset = readSequence(reset)
	k.Erases = reset.Words("erases", keyingErases)
	reset.Close()
	if t.Has("state") {
		k.Begin = t.Text("begin", source.Required(`begin = "outside"`))
		k.Store = t.Word("store", []string{"press", "exit", "power-off"})
		for _, s := range t.Each("state") {
			k.States = append(k.States, readKeyingState(s))
		}
	} else {
		readStyle(t, k)
	}
	t.Close()
	return k
}

func readStyle(t *source.Table, k *Keying) {
	k.Levels = t.Word("levels", []string{"side-by-side", "stacked"}, source.Required(`levels = "side-by-side"`))
	k.Cursor = t.Word("cursor", []string{"kept", "reset"})
	k.Store = t.Word("store", []string{"press", "exit", "power-off"}, source.Required(`store = "press"`))
	enter, leave := t.Sub("enter"), t.Sub("leave")
	k.Enter, k.Leave = readSequence(enter), readSequence(leave)
	enter.Close()
	leave.Close()
	choose := []string{"count", "forward", "both", "digits"}
	if t.Has("bank") {
		k.Bank = readLevel(t.Sub("bank"), choose)
	}
	k.Option = readLevel(t.Sub("option"), choose)
	k.Value = readLevel(t.Sub("value"), []string{"cycle", "count", "each"})
	if t.Has("up") {
		k.Up = readInput(t, "up")
	}
	out := t.Sub("time-out")
	k.TimeOut = TimeOut{Seconds: out.Number("seconds", 0, 600), Pending: out.Word("pending", []string{"keeps", "drops"}), Shows: readShows(out)}
	out.Close()
}

func readSequence(t *source.Table) Sequence {
	s := Sequence{Steps: t.Texts("steps"), Within: t.Number("within", 0, 120), Shows: readShows(t)}
	for _, w := range s.Steps {
		checkInput(t, "steps", w)
	}
	return s
}

func readLevel(t *source.Table, ways []string) Level {
	l := Level{Way: t.Word("way", ways, source.Required(`way = "`+ways[0]+`"`)), Gap: t.Number("gap", 0, 30), Shows: readShows(t)}
	if l.Way == "each" {
		l.Inputs = t.Texts("inputs", source.Required(`inputs = ["remote-1", "remote-2"]`))
		for _, w := range l.Inputs {
			checkInput(t, "inputs", w)
		}
	} else {
		l.Input = readInput(t, "input")
	}
	if l.Way == "both" || l.Way == "digits" {
		l.Back = readInput(t, "back")
	}
	t.Close()
	return l
}

func readAnswer(t *source.Table) Answer {
	a := Answer{
		Acknowledge: t.Flag("acknowledge"),
		On:          t.Number("on", 0, 5),
		Off:         t.Number("off", 0, 5),
		Gap:         t.Number("gap", 0, 10),
		Long:        t.Number("long", 0, 30),
	}
	t.Close()
	return a
}

func readKeyingState(t *source.Table) KeyingState {
	s := KeyingState{Name: t.Name(), Words: t.Text("words", source.Required(`words = "waiting for the first press"`)), Option: t.Text("option"), Outside: t.Flag("outside"), Limit: t.Number("limit", 0, 600)}
	on := t.Sub("on")
	for _, name := range on.Keys() {
		checkInput(on, name, name)
		m := on.Sub(name)
		s.Moves = append(s.Moves, KeyingMove{On: name, To: m.Text("to", source.Required(`to = "outside"`)), Shows: readShows(m), Does: m.Text("does")})
		m.Close()
	}
	on.Close()
	t.Close()
	return s
}

func readInput(t *source.Table, key string) string {
	w := t.Text(key, source.Required(key+` = "tap"`))
	if w != "" {
		checkInput(t, key, w)
	}
	return w
}

func checkInput(t *source.Table, key, word string) {
	if ValidInput(word) {
		return
	}
	t.Fault(key, source.Problem{
		Message: "this is not an input of a keyed device", Found: strconv.Quote(word),
		Expected: "one of " + strings.Join(inputWords, ", "), Nearest: source.Nearest(word, inputWords), Example: `"hold-2"`,
	})
}

// ValidInput tells whether word names an input of a keyed device: tap, hold-SECONDS, brake,
// key-out, key-off, key-acc, key-run, remote-CHANNEL, power-off, power-on or silence.
func ValidInput(word string) bool {
	stem, rest, numbered := strings.Cut(word, "-")
	switch stem {
	case "tap", "brake", "silence":
		return !numbered
	case "key":
		return rest == "out" || rest == "off" || rest == "acc" || rest == "run"
	case "power":
		return rest == "off" || rest == "on"
	case "hold":
		n, err := strconv.ParseFloat(rest, 64)
		return err == nil && n >= 0.5 && n <= 60
	case "remote":
		n, err := strconv.Atoi(rest)
		return err == nil && n >= 1 && n <= 99
	}
	return false
}

func readShows(t *source.Table) []string {
	shows := t.Texts("shows")
	for _, s := range shows {
		if !validShown(s) {
			t.Fault("shows", source.Problem{
				Message: "this response cannot be read", Found: strconv.Quote(s),
				Expected: `"nothing", or one of led, horn, siren, lamps with a count, "number", "value" or "steady", and a colour for the led`,
				Nearest:  source.Nearest(strings.Fields(s + " x")[0], shownBy), Example: `shows = ["led number green"]`,
			})
		}
	}
	return shows
}

// validShown accepts "nothing" and "led 2 green": by what, how many, and the colour if it has one.
func validShown(text string) bool {
	f := strings.Fields(text)
	if len(f) == 1 && f[0] == "nothing" {
		return true
	}
	if len(f) < 2 || len(f) > 3 || !slices.Contains(shownBy, f[0]) || (len(f) == 3 && f[0] != "led") {
		return false
	}
	if f[1] == "number" || f[1] == "value" || f[1] == "steady" {
		return true
	}
	n, err := strconv.Atoi(f[1])
	return err == nil && n >= 1 && n <= 60
}
