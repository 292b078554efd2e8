package profile

// The words of the format. Their meaning stands in model.go beside the fields.
var (
	kinds       = []string{string(Controller), string(Module), string(Remote)}
	keepables   = []string{"options", "learned-hz", "paired-remotes", "learned-keys", "valet", "run-counter"}
	feedRoles   = []string{"held", "dropped", "starter", "key-in", "off"}
	sides       = []string{"battery", "ground"}
	inputLevels = []string{"ground", "battery", "open-circuit", "ladder", "pulses"}
	outputUses  = []string{"aux", "state", "lock", "unlock", "unlock-driver", "horn", "siren", "lamps",
		"starter-interrupt", "factory-disarm", "factory-rearm", "courtesy-lamp"}
	behaviours   = []string{"pulse", "latched", "timed", "follows-button"}
	outputStates = []string{"running", "armed", "starting", "cranking", "before-start", "unlocked", "none"}
	actions      = []string{"lock", "unlock", "start", "stop", "panic", "arm-silent", "valet"}
	takenFor     = []string{"lock", "unlock", "start", "stop", "panic"}
	hows         = []string{"keyed", "strap", "dial", "cable", "learned"}
	linkForms    = []string{"serial", "discrete"}
	feedback     = []string{"led", "horn", "siren", "lamps"}
	releaseWays  = []string{"link-keys", "link-code", "resistor", "loop-key", "fob-box"}
)

// Signals are the signals of a vehicle that an input reads or a link carries to
// the controller.
var Signals = []string{"brake", "hood", "park", "parking-brake", "door", "boot", "engine-speed", "engine-running",
	"key-in", "wait-lamp", "factory-alarm", "work-equipment", "clutch", "ready", "takeover", "vehicle-speed"}

// Commands are what a link carries to the vehicle.
var Commands = []string{"start", "stop", "lock", "unlock", "unlock-driver", "boot", "disarm", "rearm", "release", "lamps"}

// ExitEvents are the events that an exit proof reacts to: what the driver does
// (start-gesture, key-out, key-in, opening-open, all-shut, lock), what is
// pressed, opened or lost, and what the controller itself does (remote-start,
// run-ended, limit).
var ExitEvents = []string{"start-gesture", "key-out", "key-in", "opening-open", "all-shut", "lock", "hood-open", "brake-pressed",
	"clutch-pressed", "parking-brake-off", "stall", "alarm", "supply-lost", "limit", "remote-start", "run-ended"}

// ExitConditions are what must hold for a step of an exit proof to be taken.
var ExitConditions = []string{"engine-turning", "parking-brake-set", "hood-shut", "brake-free", "clutch-free", "all-shut", "key-out"}
