package assign

import "asleft/config/setting"

// Plan is the button plan of one install. Rows, NotReached and Refused together
// name every function on every remote it was asked for, each once.
type Plan struct {
	Rows       []Row     // what was found a button for: functions in the job's order, then remotes in the job's order
	Parts      []Part    // relays and diodes that the plan takes, in the order of Rows
	NotReached []Miss    // asked for, and not to be had on that remote
	Refused    []Refusal // functions that no button may work, whatever the devices can do
	Cost       Cost      // the proven optimum, in the order in which plans are compared
	Demands    []Demand  // settings that make the devices do this, in listing order
	Notes      []string  // what the plan assumed, for the technician to look at
	Nodes      int       // nodes of the search that were looked at
	Proven     int       // fields of Cost, the first ones first, that are proven best: 8, or less where Patience ran out

	problem *Problem // what was solved: Why and Prefer ask again
	choice  choice
}

// Row is one function on one remote: what to press, and what that works.
type Row struct {
	Function   string   // name in the job, "kerb-door"
	Words      string   // in the owner's words, "kerb-side door"
	Remote     string   // name in the job, "big"
	For        string   // who carries it, "driver"; empty when not said
	Gesture    string   // id in the remote's profile, "g3"
	Buttons    []string // buttons of the gesture by name, for a drawing that shows only what is used
	Press      string   // in plain words: "hold STAR and MOON together for 2 s"
	Hold       bool     // the part works only as long as the buttons are held
	Channel    int      // command number that the gesture sends
	Teach      bool     // the gesture must be taught the channel; false where it is fixed
	Outputs    []string // outputs that this channel fires for the function; empty for a fixed action as panic
	Lines      []string // vehicle lines worked, connector-cavity
	Conditions []string // in plain words, in the order of checking: "parked", "parking brake on"
	Guard      string   // "safety", "nuisance" or empty
	Signed     string   // initials that relax a nuisance guard
	ToSign     bool     // an easy gesture opens something and nobody signed: sign, or take it off
	Use        string   // daily, weekly, rare
	Because    string   // one sentence: why this gesture
}

// AtStart stands in the place of a remote's name for a function that works by itself at remote start.
const AtStart = "at start"

// Miss is a function that cannot be had on one remote.
type Miss struct {
	Function, Words, Remote string
	Reason                  string // what stands in the way
	Change                  string // the smallest change that would allow it; empty when none of the tried ones does
}

// Refusal is a function that gets no button at all, with the rule and the cure.
type Refusal struct {
	Function, Words string
	Rule            string // word id: platform-lift, hold-to-run, interlocks, unsupervised-pulse, closing-window, or the caller's
	Reason, Cure    string
	Source          string // document and section, or "common practice, no source"
}

// Cost is what plans are compared by, first field first; smaller is better.
type Cost struct {
	NotReached int // functions asked for on a remote and not reached there
	ToSign     int // easy gestures that open something without a signature
	Lacking    int // things that outputs should do by themselves and cannot: disarm first, unlock first
	Relays     int
	Diodes     int
	Unlike     int // times a remote does a function otherwise than the function's main gesture
	Effort     int // presses in a month (daily 30, weekly 4, rare 1; common practice, no source) times the gesture's rank of ease
	Options    int // settings to key: gestures taught, output options away from factory
}

// Demand is one setting that the plan needs, for the second pass of the derivation.
type Demand struct {
	setting.Key
	Value    setting.Value
	Function string // the function that needs it
	Why      string // one sentence
}

// Alternative is the best plan in which a function does not sit where it sits now.
type Alternative struct {
	Rows  []Row  // where the function would sit then
	Cost  Cost   // of the whole plan
	Worse string // the first thing in which it is worse, in words: "one relay more"; "equal in everything" is possible
	None  bool   // there is no other place
	Doubt string // up to which aim it is proven the best such plan; empty when it is wholly
}
