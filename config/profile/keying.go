package profile

// Keying says how the options of a device are keyed with a button, a switch and a lamp, as
// independent properties that its papers state. Package rules/keying compiles them to one
// machine. A device that fits none of the styles writes its states out in States; then Enter,
// Bank, Option, Value, Store and Leave stay empty.
//
// An input is one word: tap, hold-2 (seconds), brake, key-out, key-off, key-acc, key-run,
// remote-3 (a channel), power-off, power-on, silence. On a car with a start button key-off,
// key-acc and key-run stand for the power states that the device sees.
//
// A response is a text of words: "led 2", "led 3 green", "horn 1", "lamps steady", "led number"
// (as many as the position), "led value" (as many as the value's place in the option), "nothing".
type Keying struct {
	Needs        []string // doors-shut, doors-open, hood-open, hood-shut, brake-free, key-in, in-park, parking-brake: state of the car
	Blocked      []string // armed, valet, engine-running: what keeps the device from being entered
	Volts        float64  // least supply; 0 not stated
	PairedRemote bool     // a paired remote must be in hand
	Sizes        []int    // items in each bank; filled from the options when the file is silent

	Enter   Sequence
	Levels  string // side-by-side: each level has an input of its own; stacked: bank, then option, then value by the same input
	Bank    Level  // Way "" where the device has one bank
	Option  Level
	Value   Level
	Up      string // stacked only: the input that goes back one level
	Cursor  string // kept or reset: the item when the bank changes
	Store   string // press, exit, power-off: when a change is stored
	Leave   Sequence
	TimeOut TimeOut
	Answer  Answer
	Reset   Sequence // factory reset, an input within programming or a row of them; no Steps: the device has none
	Erases  []string // what the reset erases: options, paired-remotes, learned-hz, learned-keys

	Begin  string // written-out machines: the state outside programming
	States []KeyingState
}

// Sequence is a row of inputs that hands give one after the other.
type Sequence struct {
	Steps  []string
	Within float64 // seconds for the whole row; 0 not limited
	Shows  []string
}

// Level is how one level (bank, option, value) is chosen.
type Level struct {
	Way    string   // count, forward, both, digits; for Value: cycle, count, each
	Input  string   // the input that counts or steps forward
	Back   string   // both: the input that steps back; digits: the input for a nought
	Inputs []string // each: one input for each value, in the order of the values
	Gap    float64  // count, digits: seconds of silence that end the count
	Shows  []string // response to each choice
}

// TimeOut is what the device does when nothing is pressed for a while.
type TimeOut struct {
	Seconds float64 // 0: never
	Pending string  // keeps or drops what is not stored yet
	Shows   []string
}

// Answer holds how the device counts out a number.
type Answer struct {
	Acknowledge bool    // the first flash after release is an acknowledgement, not number one
	On, Off     float64 // seconds of one flash and of the dark after it
	Gap         float64 // seconds before the answer, and between two answers
	Long        float64 // seconds of a steady signal
}

// KeyingState is one state of a written-out machine.
type KeyingState struct {
	Name    string
	Words   string // "lock timing chosen": plain words for the technician
	Option  string // the option that stands chosen here, "" none
	Outside bool   // still entering: not in programming yet
	Limit   float64
	Moves   []KeyingMove
}

// KeyingMove is what one input does in a state. What a state has no move for is ignored.
type KeyingMove struct {
	On    string // input; silence means that Limit seconds went by
	To    string
	Shows []string
	Does  string // "", next, set VALUE, store, drop, reset
}
