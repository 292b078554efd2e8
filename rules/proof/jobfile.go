package proof

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/profile"
)

// jobFile writes facts as a job that asleft can read: a counterexample of a proof, to be run. Facts that are not given are
// not said. What follows from the devices is not written: it has to be true of them.
func jobFile(controller, module, remote *profile.Profile, facts map[string]string) string {
	w := &jobWriter{facts: facts}
	w.line("schema = \"asleft/job/1\"\ntitle = \"A counterexample\"\ntaken = 2026-01-01\nby = \"T.V.\"")
	w.line("start = %v", facts["start.wanted"] == "yes")
	w.line("start-path = %q", w.or("start.path", "none"))
	w.vehicle()
	w.body()
	w.signals()
	w.openings()
	w.feeds(controller)
	w.functions()
	w.devices(controller, module)
	w.line("[remote.r1]\nprofile = %q", remote.ID)
	return w.String()
}

type jobWriter struct {
	strings.Builder
	facts map[string]string
}

func (w *jobWriter) line(format string, args ...any) { fmt.Fprintf(&w.Builder, format+"\n", args...) }

func (w *jobWriter) or(fact, other string) string {
	if v, ok := w.facts[fact]; ok {
		return v
	}
	return other
}

// words writes key = "word" for the facts that are known.
func (w *jobWriter) words(prefix string, keys ...[2]string) {
	for _, k := range keys {
		if v, ok := w.facts[prefix+k[0]]; ok {
			w.line("%s = %q", k[1], v)
		}
	}
}

func (w *jobWriter) yes(fact string) bool { return w.facts[fact] == "yes" }

func (w *jobWriter) vehicle() {
	volts := 12
	if w.facts["vehicle.voltage-fits"] == "no" {
		volts = 24
	}
	w.line("\n[vehicle]\nlabel = \"a counterexample\"\nnominal-volts = %d", volts)
	for _, required := range []string{"gearbox", "fuel", "start-control"} {
		w.line("%s = %q", required, w.or("vehicle."+required, "unknown"))
	}
	w.words("vehicle.", [2]string{"parking-lock", "parking-lock"}, [2]string{"immobiliser", "immobiliser"}, [2]string{"alternator", "alternator"},
		[2]string{"idle-stop", "idle-stop"}, [2]string{"open-top", "open-top"}, [2]string{"work-equipment", "work-equipment"}, [2]string{"parked", "parked"},
		[2]string{"left-out-of-park", "can-be-left-out-of-park"}, [2]string{"unlock-steps", "unlock-steps"}, [2]string{"works", "coldest"})
	w.words("", [2]string{"crank.by", "crank-by"})
	if inside, ok := w.facts["vehicle.left-inside"]; ok {
		w.line("left-inside = [%s]", w.inside(inside))
	}
	w.line("[vehicle.identity]\nplate = \"GAP 001\"\n[vehicle.facts]")
	for _, f := range []string{"manual-choke", "tow-away", "leak-found", "lithium-battery", "clutch-bypass", "steep-parking", "auto-start-signed", "crash-unlock-tested", "trailer"} {
		w.words("vehicle.", [2]string{f, f})
	}
	if shows, ok := w.facts["engine.voltage-shows"]; ok {
		after := map[string]float64{"yes": 13.6, "no": 12.6}[shows]
		w.line("[intake.readings]\ncold-start-rest-volts = 12.5\ncold-start-3s-volts = %.1f\ncold-start-60s-volts = %.1f", after, after)
	}
}

func (w *jobWriter) inside(left string) string {
	if left == "no" {
		return `"nobody"`
	}
	var who []string
	for _, o := range []string{"adults", "children", "wheelchair-users", "pets"} {
		if w.yes("occupant." + o) {
			who = append(who, fmt.Sprintf("%q", o))
		}
	}
	if who == nil {
		return `"adults"`
	}
	return strings.Join(who, ", ")
}

func (w *jobWriter) body() {
	w.line("\n[lock]")
	w.words("lock.", [2]string{"circuit", "circuit"}, [2]string{"second-deadlocks", "second-pulse-deadlocks"}, [2]string{"driver-line", "driver-line"})
	if c := w.facts["lock.circuit"]; c != "" && c != "link" && c != "none" {
		w.line("lines = { lock = \"c9-01\", unlock = \"c9-02\" }\nseconds = [0.4, 4.0]")
	}
	w.line("[lamps]")
	w.words("lamps.", [2]string{"drive", "drive"}, [2]string{"bulbs", "bulbs"})
	w.line("[horn]")
	w.words("horn.", [2]string{"active", "active"})
	w.line("[factory-alarm]")
	w.words("factory-alarm.", [2]string{"fitted", "fitted"})
	if w.yes("factory-alarm.fitted") {
		w.words("factory-alarm.", [2]string{"disarm-by", "disarm-by"})
	}
	if w.yes("place.idle-limit") {
		w.line("[place]\nordinance = \"a counterexample\"\nidle-minutes = 10")
	}
}

func (w *jobWriter) signals() {
	for _, s := range []string{"brake", "hood", "park", "parking-brake", "door", "boot", "engine-speed", "key-in", "wait-lamp", "work-equipment", "clutch", "ready", "takeover"} {
		fact := "signal." + s + "."
		from := w.facts[fact+"source"]
		if from != "wire" && from != "link" {
			continue
		}
		w.line("\n[signal.%s]\nsource = %q", s, from)
		if from == "wire" && s != "engine-speed" {
			w.line("active = %q", w.or(fact+"active", "ground"))
		}
		w.words(fact, [2]string{"fails-safe", "fails-safe"}, [2]string{"sleeps", "sleeps"})
		if taken := w.facts[fact+"taken"]; taken != "" && taken != "link" {
			w.line("taken-at = %q", taken)
		}
		if s == "park" {
			w.words(fact, [2]string{"covers", "covers"})
		}
		if s == "engine-speed" {
			w.words(fact, [2]string{"kind", "kind"})
		}
		if w.yes(fact+"delayed") && w.facts[fact+"taken"] != "dome" {
			w.line("settle-seconds = 20")
		}
	}
}

func (w *jobWriter) openings() {
	for i := 1; i <= maxOpenings; i++ {
		fact := fmt.Sprintf("opening.o%d.", i)
		if _, ok := w.facts[fact+"seen"]; !ok {
			continue
		}
		w.line("\n[opening.o%d]\nto-cabin = %q", i, w.or(fact+"cabin", "unknown"))
		if !w.yes(fact + "seen") {
			continue
		}
		w.line("seen-by = \"door\"")
		w.words(fact, [2]string{"taken", "taken-at"}, [2]string{"sleeps", "sleeps"})
	}
}

// readings are the volts of a conductor of each role.
var readings = map[string][5]float64{
	"battery": {12.5, 12.5, 12.4, 12.3, 10.2}, "key-in": {0, 12.5, 12.4, 12.3, 10.2}, "held": {0, 0, 0, 12.3, 10.2},
	"dropped": {0, 0, 12.4, 12.3, 0}, "starter": {0, 0, 0, 0, 10.2}, "dead": {0, 0, 0, 0, 0},
}

func (w *jobWriter) feeds(controller *profile.Profile) {
	for i, f := range controller.Feeds {
		fact := "feed." + f.Name + "."
		volts, ok := readings[w.facts[fact+"circuit-role"]]
		if !w.yes(fact+"joined") || !ok {
			continue
		}
		fuse := map[string]string{"yes": "\nfuse-amperes = 1", "no": "\nfuse-amperes = 100"}[w.facts[fact+"strong-enough"]]
		w.line("\n[circuit.c1-%02d]\nread-with = \"lamp-5w-and-min-max\"%s", i+1, fuse)
		w.line("volts = { out = %.1f, off = %.1f, acc = %.1f, run = %.1f, crank = %.1f }", volts[0], volts[1], volts[2], volts[3], volts[4])
		w.line("battery = { out = 12.6, off = 12.6, acc = 12.5, run = 12.4, crank = 10.3 }")
		w.line("[feed.%s]\nconductor = \"c1-%02d\"", f.Name, i+1)
		if side := w.or(fact+"side", "none"); side != "none" {
			w.line("side = %q", side)
		}
	}
}

func (w *jobWriter) functions() {
	fact := "function.f1."
	does, ok := w.facts[fact+"does"]
	if !ok {
		return
	}
	w.line("\n[function.f1]\ndoes = %q\nline = \"c8-01\"\nactive = \"ground\"", does)
	w.words(fact, [2]string{"direction", "direction"}, [2]string{"moves", "moves"}, [2]string{"out-of-sight", "out-of-sight"},
		[2]string{"self-reverses", "self-reverses"}, [2]string{"keeps", "keeps"})
	var joined []string
	for _, i := range []string{"park", "parking-brake", "engine-off", "door-open", "doors-closed", "disarmed"} {
		if w.yes(fact + "with-" + i) {
			joined = append(joined, fmt.Sprintf("%q", i))
		}
	}
	w.line("joined = [%s]\non = { r1 = { use = \"rare\" } }", strings.Join(joined, ", "))
}

func (w *jobWriter) devices(controller, module *profile.Profile) {
	w.line("\n[device.controller]\nprofile = %q", controller.ID)
	var wired []string
	for _, p := range []string{"led", "button", "horn", "siren", "lamps", "sensor", "antenna", "starter-interrupt"} {
		if w.yes("joined." + p) {
			wired = append(wired, fmt.Sprintf("%q", p))
		}
	}
	w.line("wired = [%s]", strings.Join(wired, ", "))
	if module != nil && len(module.Links) > 0 {
		w.line("[device.link]\nprofile = %q\nlink = %q\nlink-to = \"controller\"", module.ID, module.Links[0].Form)
	}
}

// ownFacts are facts that follow from a device alone.
func ownFacts(name string) bool {
	parts := strings.Split(name, ".")
	last := parts[len(parts)-1]
	switch parts[0] {
	case "exit", "release", "remote", "devices", "link":
		return true
	case "signal":
		return last == "input" || last == "carried"
	case "feed":
		return last == "selectable" || last == "fixed-role"
	case "output":
		return last == "use"
	}
	return slices.Contains([]string{"start.by-link"}, name)
}
