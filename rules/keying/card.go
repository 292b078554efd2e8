package keying

import "asleft/config/setting"

// Card is everything a technician needs to key one device: what hands do, in order, and what
// the device answers to each of it. It is made by Plan and executed, as printed, by Simulate.
type Card struct {
	Device   string // the name the job gives it
	Profile  string // id of the profile
	Label    string
	Invented bool

	Wired       []string // the paths over which answers can be seen or heard in this job
	Preparation []string // state of the car and of the work, in order, before the first press
	Cautions    []string
	Entry       []Step
	Groups      []Group // one option each, in the order of the hands
	Exit        []Step
	Check       []Step // reads back what the device can show; stores nothing
	Blind       string // why the closing check or some responses cannot be seen; "" when all can

	Presses     int     // presses from entry to exit, the closing check not counted
	Seconds     float64 // time of the same, without reading
	HandSeconds float64 // the part of it that hands take; of cards with equal presses the least is taken
	InOrder     int     // presses when the same changes are made in the order of the menus
	Proved      bool    // no card of fewer presses exists in one programming session
	AtLeast     int     // lower bound on presses; equals Presses when Proved
	CheckPulses int     // presses of the closing check

	Straps    []ByHand // straps and dials to set
	Cable     []ByHand // options entered by the maker's cable
	Learned   []ByHand // what the device must be taught, with the state of the car it needs
	Remaining []Remaining
	Start     []Held // every keyed option as the card assumes to find it
	End       []Held // every keyed option as the card leaves it
}

// Group is what is done to one option.
type Group struct {
	Option   string // id of the option
	Title    string
	Bank     int
	Item     int
	From, To string // names of the values; From "" when it is not known
	Settings []Change
	Bearing  Bearing
	Silences []string // feedback that is gone after this group
	Moves    []string // options that change with it: "door-settle to 45"
	Steps    []Step
}

// Change is one setting that a group changes.
type Change struct {
	setting.Key
	From, To setting.Value // From "" when not known
}

// Step is one thing hands do without looking up, and the answer to it.
type Step struct {
	Hands     string  // "Tap the button 5 times."
	Inputs    string  // the same in the language of ParseInputs: "tap*5"
	Until     bool    // repeat Inputs, Most times at the most, until the answer is Expect
	Most      int     // 1 unless Until
	Expect    Expect  // answer after the last input
	Limit     float64 // seconds within which the step has to begin; 0 not limited
	Otherwise string  // what to do when the answer differs
	Presses   int
	Seconds   float64
}

// Expect is the answer of the device to a step.
type Expect struct {
	Text  string    // "LED green: 3 flashes, after one acknowledging flash"
	Seen  bool      // this job has the path wired over which it comes
	Exact string    // the answer that is seen, in the language of ParseAnswer: "led 3"; "" where a value is not known beforehand
	Strip []Segment // the answer in time, for drawing
	Open  string    // the path of a value that is not known beforehand: "red LED"; "" none
}

// Segment is a piece of an answer's strip: one path on or off for some seconds. Segments
// follow each other; a number above ten is drawn with a longer dark after each five.
type Segment struct {
	By      string // led, horn, siren, lamps; "" dark
	Colour  string // of the LED, "" where the device has one colour
	On      bool
	Ack     bool // acknowledging flash, not to be counted
	Seconds float64
}

// ByHand is an option that is not keyed: a strap, a dial, an entry by cable, something to teach.
type ByHand struct {
	Option, Title, How string
	To                 string // name of the value
	Settings           []Change
	PowerUp            bool // read at power-up only
	Text               string
}

// Remaining is a required setting that this card cannot bring about.
type Remaining struct {
	setting.Key
	Want setting.Value
	Why  string // "the device has no option for it and always works by wire"
	How  string // how it is entered instead, or what would cure it
}

// Held is the value of an option: its place in the order of the device, or -1 when not known.
type Held struct {
	Option string
	Value  int
	Name   string // name of the value, "" when not known
}

// Bearing says what a change does to safety.
type Bearing string

// A card makes tightening changes first and loosening changes last.
const (
	Tightens Bearing = "tightens"
	Neutral  Bearing = "neutral"
	Loosens  Bearing = "loosens"
)

// Order is the hand-written list of guards and permissions, as the rule base holds it.
// From is "" when the present value is not known.
type Order interface {
	Bearing(setting string, from, to setting.Value) Bearing
}

// Circumstances is what the job and the car add to the device: paths that are joined, who
// sends which channel, and how the power states are reached.
type Circumstances struct {
	Wired         []string       // led, horn, siren, lamps, button, brake, ignition, supply
	Senders       map[int]string // channel -> hands: "on the big remote, hold both buttons 2 s"
	StartButton   bool           // a car with a start button: power states, never a key
	ButtonPresses int            // presses without brake from OFF to ON
	Manual        bool           // neutral instead of P
	NoStart       bool           // no remote start is wired: there is no starter output to unplug
	Linked        bool           // start goes by link: keyed off instead of unplugged
	Straps        map[string]string
	Order         Order // nil: every change is neutral
}
