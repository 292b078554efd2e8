package job

import (
	"fmt"
	"strings"

	"asleft/config/source"
)

// The words of a job file. Each list is the whole choice for its key.
var (
	startPaths    = []string{"feeds", "link", "button-line", "none"}
	releases      = []string{"none", "link-keys", "link-code", "resistor", "loop-key", "fob-box"}
	identities    = []string{"vin", "plate", "stock-number", "fleet-number"}
	gearboxes     = []string{"automatic", "automated-manual", "manual", "direct"}
	parkingLocks  = []string{"mechanical", "by-wire", "none"}
	fuels         = []string{"petrol", "diesel", "gas-lpg", "gas-cng", "hybrid-petrol", "hybrid-diesel", "electric"}
	startControls = []string{"blade-key", "slot", "knob-without-key", "button"}
	crankers      = []string{"controller", "vehicle"}
	immobilisers  = []string{"none", "resistor-key", "transponder", "proximity", "code"}
	alternators   = []string{"plain", "controlled"}
	workEquipment = []string{"none", "electric", "engine-driven", "hydraulic"}
	parkings      = []string{"open-air", "closed-space", "street"}
	occupants     = []string{"nobody", "adults", "children", "wheelchair-users", "pets"}
	ownSteps      = []string{"yes", "no", "owner-set"}
	coldest       = []string{"above-minus-20", "below-minus-20"}
	sides         = []string{"left", "right"}
	lockKinds     = []string{"negative-pulse", "positive-pulse", "reversal", "ladder", "both-polarities", "pneumatic", "driver-switch-only", "key-cylinder", "link", "none"}
	lockLines     = []string{"lock", "unlock", "unlock-driver"}
	lampDrives    = []string{"positive", "positive-two-circuits", "negative-switch", "ladder-switch", "link"}
	lampLines     = []string{"lamps", "left", "right"}
	bulbs         = []string{"filament", "led"}
	hornActives   = []string{"ground", "battery", "ladder", "none"}
	disarmers     = []string{"unlock", "key-cylinder", "disarm-line", "link"}
	setOffs       = []string{"unlock", "start", "boot"}
	rearms        = []string{"lock", "after-start", "after-stop", "after-boot"}
	linkForms     = []string{"serial", "discrete", "none"}
	joinedPaths   = []string{"led", "button", "horn", "siren", "lamps", "sensor", "antenna", "starter-interrupt"}
	cannots       = []string{"chord", "hold", "double"}
	feedSides     = []string{"key-side", "starter-side", "upstream-of-interlock", "downstream-of-interlock"}
	throughs      = []string{"contact", "relay"}
	switched      = []string{"fob-supply", "key-loop", "simulated-brake"}
	methods       = []string{"solder-and-sleeve", "crimp", "tap", "plug"}
	conditions    = []string{"clutch-pressed", "brake-pressed", "selector-p", "selector-n", "door-shut", "door-open"}
	instruments   = []string{"meter", "lamp-5w", "min-max", "lamp-5w-and-min-max"}
	switchings    = []string{"battery", "ground"}
	sources       = []string{"link", "wire", "none"}
	actives       = []string{"ground", "battery", "open-circuit", "ladder"}
	covers        = []string{"p-only", "p-and-n"}
	openingTaken  = []string{"latch", "dome", "body-unit", "link"}
	does          = []string{"boot", "tailgate", "side-door", "ramp", "rear-glass", "roof", "window", "fuel-door", "heated-seat", "heated-glass", "cabin-heater", "gate", "panic", "platform-lift", "other"}
	directions    = []string{"open", "close", "toggle", "on"}
	lineActives   = []string{"ground", "battery", "ladder", "reversal", "contact"}
	keeps         = []string{"pulse", "maintained", "hold-to-run"}
	interlocks    = []string{"park", "parking-brake", "engine-off", "running", "door-open", "doors-closed", "disarmed"}
	uses          = []string{"daily", "weekly", "rare"}
	alarmLamps    = []string{"any", "indicators"}
)

// vehicleFacts are the yes-or-no facts under [vehicle.facts], with what each
// means when it is "yes".
var vehicleFacts = []string{
	"manual-choke",               // the engine needs a choke pulled by hand
	"tow-away",                   // it is left with the key at RUN while towed
	"leak-found",                 // fuel or exhaust leak seen at intake
	"lithium-battery",            // 12 V battery of another chemistry: rests near 13.3 V
	"clutch-bypass",              // the clutch switch is bridged for good
	"steep-parking",              // it is usually parked on a slope
	"auto-start-signed",          // the owner signed for unattended starts
	"immobiliser-consent",        // the owner agreed in writing to work on the immobiliser
	"crash-unlock-tested",        // crash unlock was shown to win over lock commands
	"opens-at-stop",              // it unlocks by itself when its power goes down
	"unlocks-on-door-open",       // inner handle opens a locked door
	"trailer",                    // a trailer is pulled: more lamp load, back-feed
	"second-battery",             // a second battery is joined to the first
	"aftermarket-alarm",          // an earlier alarm is still fitted
	"court-ordered-interlock",    // an interlock that must not be touched
	"power-stays-on-out-of-park", // the power cannot go off out of P
}

// intakeQuestions are the questions asked or seen before a tool is lifted.
var intakeQuestions = []string{
	"starts-on-every-key", "warning-lamps-clear", "fault-codes-read", "doors-work", "windows-work", "locks-work",
	"own-remote-works", "boot-works", "powered-parts-work", "horn-works", "lamps-work", "hood-latch-works",
	"parking-brake-holds", "climate-fan-works", "add-ons-found", "body-undamaged", "water-leaks-found",
	"column-repaired", "fuel-low", "battery-precautions-read", "ownership-seen",
}

// intakeNumbers are the readings of the intake, with their ranges.
var intakeNumbers = []struct {
	name     string
	min, max float64
}{
	{"rest-volts", 0, 32}, {"crank-volts", 0, 32}, {"charge-volts", 0, 36},
	{"cold-start-rest-volts", 0, 36}, {"cold-start-3s-volts", 0, 36}, {"cold-start-60s-volts", 0, 36},
	{"fault-codes", 0, 1000}, {"odometer", 0, 5e6}, {"sleep-milliamperes", 0, 10000}, {"idle-rpm", 300, 2000},
}

// word reports the shape of every name in a job: small letters, digits and
// single hyphens.
func word(s string) bool { return len(s) <= 40 && source.IsWord(s) }

// isCavity reports the shape of a conductor's name: c, one to three digits, a hyphen, one to three digits and
// perhaps a small letter.
func isCavity(s string) bool {
	connector, place, _ := strings.Cut(s, "-")
	digits, ok := strings.CutPrefix(connector, "c")
	if n := len(place) - 1; n > 0 && place[n] >= 'a' && place[n] <= 'z' {
		place = place[:n]
	}
	return ok && fewDigits(digits) && fewDigits(place)
}

func fewDigits(s string) bool {
	return len(s) >= 1 && len(s) <= 3 && strings.Trim(s, "0123456789") == ""
}

func notWord(s string) source.Problem {
	return source.Problem{
		Message:  fmt.Sprintf("%q is not a name", source.Visible(s)),
		Expected: "small letters and digits with single hyphens between, at most 40",
	}
}

// name is the name of a table, checked for its shape.
func name(t *source.Table) string {
	if !word(t.Name()) {
		t.Fault("", notWord(t.Name()))
	}
	return t.Name()
}

// nameIn reads a name that stands under a key.
func nameIn(t *source.Table, key string, o ...source.Option) string {
	s := t.Text(key, o...)
	if s != "" && !word(s) {
		t.Fault(key, notWord(s))
		return ""
	}
	return s
}

// yesNo reads "yes", "no" or "unknown", which is the same as no such line.
func yesNo(t *source.Table, key string, o ...source.Option) string {
	return known(t, key, []string{"yes", "no"}, o...)
}

// known reads one of words, or "unknown" as "".
func known(t *source.Table, key string, words []string, o ...source.Option) string {
	w := t.Word(key, append(words[:len(words):len(words)], "unknown"), o...)
	if w == "unknown" {
		return ""
	}
	return w
}

// cavity reads a conductor's name: connector and cavity.
func cavity(t *source.Table, key string, o ...source.Option) string {
	s := t.Text(key, o...)
	if s != "" && !isCavity(s) {
		t.Fault(key, notCavity(s))
	}
	return s
}

func notCavity(s string) source.Problem {
	return source.Problem{
		Message:  "a conductor goes by connector and cavity, not by colour or use",
		Expected: "c, the connector's number, a hyphen and the cavity's number",
		Found:    s,
		Example:  "c1-03",
	}
}

// lines reads a table of conductors by what they are for.
func lines(t *source.Table, key string, words []string) map[string]string {
	sub := t.Sub(key, source.Example(fmt.Sprintf(`%s = { %s = "c4-07" }`, key, words[0])))
	defer sub.Close()
	out := map[string]string{}
	for _, w := range words {
		if s := cavity(sub, w); s != "" {
			out[w] = s
		}
	}
	return out
}
