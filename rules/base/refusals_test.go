package base

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

// install is a plain good one: an automatic with a blade key, started through feeds, everything joined and
// read. Each case below breaks it in one way.
var install = map[string]string{
	"start.wanted": "yes", "start.path": "feeds", "start.by-wire": "yes", "start.by-link": "no", "start.by-button": "no", "start.fed": "yes",
	"starter.side": "starter-side", "starter.cut": "no", "crank.by": "controller",
	"vehicle.gearbox": "automatic", "vehicle.parking-lock": "mechanical", "vehicle.fuel": "petrol", "vehicle.start-control": "blade-key",
	"vehicle.alternator": "plain", "vehicle.idle-stop": "no", "vehicle.open-top": "no", "vehicle.work-equipment": "none",
	"vehicle.parked": "open-air", "vehicle.left-out-of-park": "no", "vehicle.left-inside": "no", "vehicle.immobiliser": "none",
	"vehicle.voltage-fits": "yes", "immobiliser.release": "none", "link.form": "serial", "link.sleeps": "no", "link.form-fits": "yes",
	"signal.brake.source": "wire", "signal.brake.taken": "pedal-switch", "signal.brake.input": "yes", "signal.brake.level-fits": "yes",
	"signal.hood.source": "wire", "signal.hood.input": "yes", "signal.hood.level-fits": "yes",
	"signal.park.source": "wire", "signal.park.covers": "p-only", "signal.park.taken": "range-switch", "signal.park.input": "yes", "signal.park.level-fits": "yes",
	"signal.engine-speed.source": "wire", "signal.engine-speed.kind": "tach-line", "signal.engine-speed.input": "yes", "signal.engine-speed.level-fits": "yes",
	"signal.parking-brake.source": "wire", "signal.parking-brake.taken": "lever", "signal.parking-brake.input": "yes", "signal.parking-brake.level-fits": "yes",
	"signal.key-in.source": "wire", "signal.key-in.input": "yes", "signal.key-in.level-fits": "yes",
	"signal.door.source": "wire", "signal.door.taken": "latch", "signal.door.input": "yes", "signal.door.level-fits": "yes",
	"opening.driver.cabin": "yes", "opening.driver.seen": "yes", "opening.driver.source": "wire", "opening.driver.taken": "latch",
	"opening.driver.sleeps": "no", "opening.driver.in-exit-proof": "yes",
	"feed.main.joined": "yes", "feed.main.circuit-role": "held", "feed.main.conductors": "one", "feed.main.alike": "yes", "feed.main.strong-enough": "yes", "feed.main.level-fits": "yes",
	"circuit.c1-03.role": "held", "circuit.c1-03.feeds": "one",
	"place.idle-limit": "no", "place.start-limit": "no", "joined.starter-interrupt": "no", "joined.lamps": "no",
}

// abilities are what the imagined devices can be set to.
var abilities = []string{
	"start.path to feeds", "start.path to none", "gearbox.guard to park", "gearbox.guard to exit-proof", "gearbox.guard to park-or-neutral-with-parking-brake",
	"gearbox.guard to vehicle-interlock", "brake.source to wire", "hood.source to wire", "engine-speed.source to wire", "engine-speed.source to link-speed",
	"takeover.order to none", "stop.on-door to on", "preheat.source to wait-lamp", "run.minutes to 10", "auto-start.below to off",
}

// exitProof is what a sound one has, besides a manual gearbox.
var exitProof = map[string]string{
	"vehicle.gearbox": "manual", "vehicle.parking-lock": "none", "signal.park.source": "none", "starter.side": "starter-side",
	"exit.declared": "yes", "exit.starts-unmade": "yes", "exit.stored": "no", "exit.tells-apart": "yes", "exit.in-time": "yes", "exit.begins-by-key": "yes",
	"exit.needs-leaving": "yes", "exit.stops-engine": "yes", "exit.cancels-while-made": "yes", "exit.cancels-in-run": "yes",
	"exit.reads.parking-brake": "yes", "exit.reads.brake": "yes", "exit.reads.door": "yes", "exit.reads.hood": "yes", "exit.reads.engine-speed": "yes", "exit.reads.key-in": "yes",
	"exit.making-cancels.hood-open": "yes", "exit.making-cancels.brake-pressed": "yes", "exit.making-cancels.parking-brake-off": "yes", "exit.making-cancels.stall": "yes",
	"exit.making-cancels.alarm": "yes", "exit.making-cancels.supply-lost": "yes", "exit.making-cancels.limit": "yes",
	"exit.vacated-cancels.opening-open": "yes", "exit.vacated-cancels.hood-open": "yes", "exit.vacated-cancels.brake-pressed": "yes", "exit.vacated-cancels.parking-brake-off": "yes",
	"exit.vacated-cancels.key-in": "yes", "exit.vacated-cancels.alarm": "yes", "exit.vacated-cancels.supply-lost": "yes",
}

// refusers are the rules that refuse the scope in the good install with the given facts put over it; a fact
// given as "" is one that nobody has looked at.
func refusers(scope string, over ...map[string]string) []string {
	facts := map[string]string{}
	for _, m := range append([]map[string]string{install}, over...) {
		for k, v := range m {
			facts[k] = v
			if v == "" {
				delete(facts, k)
			}
		}
	}
	var out []string
	for _, r := range Shipped().Rules {
		if r.Refuse == scope && Shipped().Fires(r, Example{Facts: facts, Can: abilities}) {
			out = append(out, r.ID)
		}
	}
	return out
}

func TestGoodInstallsAreNotRefused(t *testing.T) {
	for name, over := range map[string]map[string]string{"automatic": nil, "manual": exitProof} {
		for _, scope := range Scopes {
			if got := refusers(scope, over); got != nil {
				t.Errorf("%s: %s is refused by %v", name, scope, got)
			}
		}
	}
}

// Each line is a reason for which the trade refuses a remote start; common practice, no source, but for those
// whose rule names one.
func TestEveryReasonRefusesRemoteStart(t *testing.T) {
	for name, over := range map[string]map[string]string{
		"closed space":                    {"vehicle.parked": "closed-space"},
		"hybrid in a closed space":        {"vehicle.parked": "closed-space", "vehicle.fuel": "hybrid-petrol"},
		"electric":                        {"vehicle.fuel": "electric"},
		"no foot brake":                   {"signal.brake.source": "none"},
		"foot brake from a lamp line":     {"signal.brake.taken": "lamp-line"},
		"foot brake not carried":          {"signal.brake.source": "link", "signal.brake.carried": "no"},
		"no hood":                         {"signal.hood.source": "none"},
		"hood not carried":                {"signal.hood.source": "link", "signal.hood.carried": "no"},
		"no park, starter side":           {"signal.park.source": "none"},
		"no park, can be left out of P":   {"signal.park.source": "none", "starter.side": "upstream-of-interlock", "vehicle.left-out-of-park": "yes"},
		"P and N without parking brake":   {"signal.park.covers": "p-and-n", "signal.parking-brake.source": "none"},
		"P and N, parking brake by lamp":  {"signal.park.covers": "p-and-n", "signal.parking-brake.taken": "lamp-line"},
		"automated manual without N":      {"vehicle.gearbox": "automated-manual", "vehicle.parking-lock": "none", "signal.park.source": "none"},
		"wire and link can crank":         {"start.by-link": "yes"},
		"two conductors on one starter":   {"feed.main.circuit-role": "starter", "feed.main.conductors": "several"},
		"two unlike conductors tied":      {"feed.main.conductors": "several", "feed.main.alike": "no"},
		"output behind an open interrupt": {"starter.side": "key-side", "joined.starter-interrupt": "yes"},
		"no sign of a running engine":     {"signal.engine-speed.source": "none"},
		"slow link":                       {"signal.engine-speed.source": "link", "signal.engine-speed.prompt": "no"},
		"work equipment":                  {"vehicle.work-equipment": "hydraulic"},
		"manual choke":                    {"vehicle.manual-choke": "yes"},
		"tow-away":                        {"vehicle.tow-away": "yes"},
		"leak":                            {"vehicle.leak-found": "yes"},
		"held conductor unfed":            {"circuit.c1-03.feeds": "none"},
		"feed weaker than the fuse":       {"feed.main.strong-enough": "no"},
		"feed on a data line":             {"feed.main.circuit-role": "data"},
		"hybrid by feeds":                 {"vehicle.fuel": "hybrid-petrol", "signal.ready.source": "link"},
		"button car by feeds":             {"vehicle.start-control": "button"},
		"immobiliser without release":     {"vehicle.immobiliser": "transponder"},
		"manual without exit proof":       {"vehicle.gearbox": "manual", "exit.declared": "no"},
	} {
		if refusers("remote-start", over) == nil {
			t.Errorf("%s: no rule refuses the remote start", name)
		}
	}
	if refusers("job", map[string]string{"vehicle.voltage-fits": "no"}) == nil {
		t.Error("nominal voltages differ: no rule refuses the job")
	}
}

// Every property of an exit proof is asked for by itself: with the others sound, lacking it refuses.
func TestEveryPropertyOfAnExitProofCounts(t *testing.T) {
	for fact, sound := range exitProof {
		if !strings.HasPrefix(fact, "exit.") {
			continue
		}
		lacking := map[string]string{"yes": "no", "no": "yes"}[sound]
		if refusers("remote-start", exitProof, map[string]string{fact: lacking}) == nil {
			t.Errorf("%s = %s: no rule refuses the remote start", fact, lacking)
		}
	}
	for name, over := range map[string]map[string]string{
		"open top":                    {"vehicle.open-top": "yes"},
		"slope":                       {"vehicle.steep-parking": "yes"},
		"bridged clutch switch":       {"vehicle.clutch-bypass": "yes"},
		"opening not seen":            {"opening.driver.seen": "no"},
		"opening from the dome line":  {"opening.driver.taken": "dome"},
		"opening asleep":              {"opening.driver.sleeps": "yes"},
		"opening by a sleeping link":  {"opening.driver.source": "link", "link.sleeps": "yes"},
		"opening not in exit proof":   {"opening.driver.in-exit-proof": "no"},
		"delayed door input":          {"signal.door.delayed": "yes"},
		"no key signal":               {"signal.key-in.source": "none"},
		"no parking brake":            {"signal.parking-brake.source": "none"},
		"parking brake from the lamp": {"signal.parking-brake.taken": "lamp-line"},
		"no engine speed":             {"signal.engine-speed.source": "none"},
		"running flag only":           {"signal.engine-speed.source": "link", "signal.engine-speed.kind": "running", "signal.engine-speed.carried": "yes"},
	} {
		if refusers("remote-start", exitProof, over) == nil {
			t.Errorf("%s: no rule refuses the remote start", name)
		}
	}
}

// 49 CFR 571.118 S4 and S5 for closing from a remote; ramps and lifts are common practice, no source.
func TestEveryReasonRefusesTheFunction(t *testing.T) {
	ramp := map[string]string{
		"function.f.does": "ramp", "function.f.moves": "yes", "function.f.keeps": "hold-to-run", "function.f.interlocked": "yes", "function.f.self-reverses": "no",
		"function.f.with-park": "yes", "function.f.with-parking-brake": "yes", "function.f.with-door-open": "yes", "function.f.with-engine-off": "no", "function.f.direction": "toggle",
	}
	if got := refusers("function", ramp); got != nil {
		t.Errorf("a ramp with everything is refused by %v", got)
	}
	for name, over := range map[string]map[string]string{
		"pulse":              {"function.f.keeps": "pulse"},
		"without park":       {"function.f.with-park": "no"},
		"without brake":      {"function.f.with-parking-brake": "no"},
		"with door shut":     {"function.f.with-door-open": "no"},
		"interlock unjoined": {"function.f.interlocked": "no"},
		"platform lift":      {"function.f.does": "platform-lift"},
		"window closing":     {"function.f.does": "window", "function.f.direction": "close"},
		"roof toggling":      {"function.f.does": "roof", "function.f.direction": "toggle"},
		"burning heater":     {"function.f.does": "cabin-heater", "vehicle.parked": "closed-space"},
		"door on the road":   {"function.f.does": "side-door", "function.f.with-park": "no", "function.f.with-parking-brake": "no"},
	} {
		if refusers("function", ramp, over) == nil {
			t.Errorf("%s: no rule refuses the function", name)
		}
	}
}

// A fact that nobody has looked at counts as the worst for safety: leaving it out of the good install refuses,
// wherever that worst value itself refuses.
func TestMissingFactsAreTheWorst(t *testing.T) {
	for _, fact := range []string{"vehicle.parked", "vehicle.work-equipment", "signal.brake.source", "signal.hood.source", "signal.brake.taken"} {
		if refusers("remote-start", map[string]string{fact: ""}) == nil {
			t.Errorf("%s: nobody looked, and no rule refuses the remote start", fact)
		}
	}
}

// Rows of a table have letters and numbers for names; rules have words. A why can be read by a customer.
func TestRulesReadWell(t *testing.T) {
	row := regexp.MustCompile(`^[a-z]\d+$`)
	for _, r := range Shipped().Rules {
		if slices.ContainsFunc(strings.Split(r.ID, "-"), row.MatchString) {
			t.Errorf("%s: an id is made of words", r.ID)
		}
		if !strings.HasSuffix(r.Why, ".") || len(r.Why) > 360 {
			t.Errorf("%s: why is a short text that ends with a full stop: %q", r.ID, r.Why)
		}
		if r.Refuse != "" && r.Cure == "" {
			t.Errorf("%s: a refusal says what would cure it", r.ID)
		}
		if strings.TrimSpace(r.Source) == "" {
			t.Errorf("%s: no source", r.ID)
		}
	}
}
