package assign

import "asleft/config/setting"

// Problem is everything that a plan depends on, free of files and positions. FromJob makes one out
// of a job and its profiles; tests and tools may fill it themselves. Orders are those of the files:
// of plans that are equal in every number of Cost, earlier things come first.
type Problem struct {
	Controller string // device name in the job, for the keys of Demands
	Volts      int    // nominal voltage, 12 or 24; 0 is 12
	Cold       bool   // works below -20 C: cold coils draw more
	Remotes    []Remote
	Channels   []Channel
	Outputs    []Output
	Functions  []Function
	Ties       []Tie     // outputs of fixed use joined to vehicle lines: they need isolation as well
	Refused    []Refusal // functions refused before, by rules
	Notes      []string  // what was seen while the problem was made, for the technician to look at
	Patience   int       // nodes that the search may look at in each of its two stages; 0 is DefaultPatience, below 0 no limit
	Relays     []Relay   // what the shop fits, in the order of preference; nil means the embedded list
}

// Remote is one remote with what hands can do on it.
type Remote struct {
	Name, For string
	Gestures  []Gesture
	Without   []string // what its user cannot do: chord, hold, double
}

// Gesture is a set of buttons pressed once or twice and held or not.
type Gesture struct {
	ID          string
	Buttons     []string // names of the buttons
	Marks       []string // what is printed on them, in the same order
	Presses     int      // 1 or 2; 0 means 1
	HoldSeconds float64  // 0 is a tap
	Ease        int      // 1 is the easiest
	Channel     int      // fixed channel, 0 when it can be taught
	Teachable   []int    // channels it may be taught
	Taken       string   // lock, unlock, start, panic: the remote uses it itself
}

// Channel is a command number. It fires all its outputs together, or does one fixed thing.
type Channel struct {
	Number int
	Fires  []string
	Does   string
}

// Output is an auxiliary output with what can be set on it.
type Output struct {
	Name      string
	Level     string // "ground" sinks, "battery" sources
	Milliamps int
	Contact   bool   // a relay contact inside: Milliamps is its rating
	OpenDrain bool   // no clamp, no pull-up
	Feed      bool   // it is a feed: no gesture works it
	Busy      string // joined to something that is no function: never used
	Options   []OutputOption
	Fixed     map[string]setting.Value // what it always does, by the last part of the setting's name
}

// OutputOption is one option of the device that sets properties of an output: "behaviour",
// "seconds", "count", "when", "disarm-first", "unlock-first", "ends-with", "at-start",
// "at-start.below", the part of the setting's name after "aux.N.".
type OutputOption struct {
	ID      string
	Factory int // index into Values
	Values  []map[string]setting.Value
}

// Function is a function of the vehicle that somebody wants a button for.
type Function struct {
	Name                   string
	Words                  string // the owner's words for it
	Does                   string // boot, tailgate, side-door, ramp, rear-glass, roof, window, fuel-door, heated-seat, heated-glass, cabin-heater, gate, panic, platform-lift, other
	Direction              string // open, close, toggle, on
	Lines                  []string
	Active                 string // ground, battery, ladder, reversal, contact
	Amps                   float64
	Fuse                   float64 // amperes of the line's own circuit; 0: as the current asks
	MinSeconds, MaxSeconds float64
	Count                  int
	Moves, OutOfSight      bool
	SelfReverses           bool   // the vehicle's own module supervises the motion and reverses
	Keeps                  string // pulse, maintained, hold-to-run
	When                   []string
	Joined                 []string // interlocks wired in series or by input
	AtStart                bool
	Below                  float64 // degrees C, with AtStart
	HasBelow               bool    // Below was given: without it, always
	Output                 string  // output it is joined to already
	On                     []Wanted
}

// Wanted asks for a function on one remote.
type Wanted struct {
	Remote  string
	Gesture string // id that the customer insists on; empty for any
	Use     string // daily, weekly, rare; empty is weekly
	Signed  string // initials
}

// Tie is an output of fixed use (locks, lamps, horn) with the lines that it is joined to, a feed with a conductor
// that a relay switches for it, or a state output with what a relay switches for it.
type Tie struct {
	Use, Output, Level string
	Milliamps          int
	OpenDrain, Contact bool
	Lines              []string
	Active             string // of the lines
	Amps               float64
	Fuse               float64 // amperes of the line's own circuit, 0: as the current asks
	Feed               bool    // Output is the name of a feed
}

// Relay is a type of relay by its data sheet. The load of its coil is computed at its lowest
// resistance, see Relay.Load.
type Relay struct {
	ID, Title   string
	Volts       int
	Ohms        float64
	Make, Break float64 // contact ratings, A at 85 C; Break 0: make contact only
	Source      string
}

// use weights: presses in a month (common practice, no source).
var presses = map[string]int{"daily": 30, "weekly": 4, "rare": 1, "": 4}

// DefaultPatience keeps the largest installs within seconds. Installs as they are proven best in a
// small part of it; a plan that is not says so in Proven and in its notes.
const DefaultPatience = 30000
