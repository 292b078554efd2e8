package job

import (
	"asleft/config/setting"
	"asleft/config/source"
)

// Job is one described install.
type Job struct {
	Doc       *source.Document // where every value stands, for positioned messages
	Warnings  source.Problems  // things to look at again; they never refuse
	Title     string
	Policy    string   // path of the shop's policy file, relative to the job file; "" = none named
	Profiles  []string // paths of the shop's own profile files, relative to the job file
	Taken     string   // day of the description
	By        string   // initials of the technician
	Vehicle   Vehicle
	Intake    Intake
	Circuits  []Circuit
	Lock      LockCircuit
	Devices   []Device
	Remotes   []Remote
	Feeds     []FeedJoin
	Outputs   []OutputJoin
	Signals   []Signal
	Openings  []Opening
	Lamps     Lamps
	Horn      Horn
	Alarm     FactoryAlarm
	Functions []Function
	Wishes    []Wish
	Place     Place
	Proven    []string // ids of commissioning tests passed, from the record or the file
	Start     bool     // remote start wanted
	StartPath string   // how the controller starts it: feeds, link, button-line, none
	Release   string   // how the immobiliser is released: none, link-keys, link-code, resistor, loop-key, fob-box
}

// Vehicle holds what the vehicle is. Words are "" when not written down, and then unknown.
type Vehicle struct {
	Identity      map[string]string // vin, plate, stock-number, fleet-number
	Label         string            // the owner's words
	Year          int
	NominalVolts  int
	Gearbox       string // automatic, automated-manual, manual, direct
	ParkingLock   string // mechanical, by-wire, none
	Fuel          string // petrol, diesel, gas-lpg, gas-cng, hybrid-petrol, hybrid-diesel, electric
	Cylinders     int
	StartControl  string   // blade-key, slot, knob-without-key, button
	ButtonPresses int      // presses without brake from OFF to ON
	CrankBy       string   // controller, vehicle
	Immobiliser   string   // none, resistor-key, transponder, proximity, code
	Alternator    string   // plain, controlled
	IdleStop      string   // yes, no
	OpenTop       string   // yes, no
	WorkEquipment string   // none, electric, engine-driven, hydraulic
	Parked        string   // open-air, closed-space, street
	LeftOutOfPark string   // yes, no: can it be left out of P with the key removed
	Occupants     []string // who may be left inside: nobody, adults, children, wheelchair-users, pets
	KeysPresented int
	UnlockSteps   string // by itself: yes, no, owner-set
	Works         string // coldest place of work in C as a word: above-minus-20, below-minus-20
	DrivingSide   string // left, right: side of the road
	Batteries     int
	Facts         map[string]string // further facts (vehicleFacts) -> yes, no
}

// Intake is the vehicle as found before a tool is lifted.
type Intake struct {
	Asked   map[string]string  // question (intakeQuestions) -> yes, no, not-checked
	Numbers map[string]float64 // reading (intakeNumbers) -> number
	Notes   []string
	By      string
}

// Lamps are the parking lamps, as the install works them.
type Lamps struct {
	Drive string            // positive, positive-two-circuits, negative-switch, ladder-switch, link
	Bulbs string            // filament, led
	Amps  float64           // both sides together
	Lines map[string]string // lamps, left, right -> connector-cavity
}

// Horn is the vehicle's horn, as the install works it.
type Horn struct {
	Active string // ground, battery, ladder, none
	Line   string // connector-cavity
	Amps   float64
}

// FactoryAlarm is the alarm that the vehicle came with.
type FactoryAlarm struct {
	Fitted     string   // yes, no
	DisarmBy   string   // unlock, key-cylinder, disarm-line, link
	Pulses     int      // disarm pulses that it needs
	SetOffBy   []string // what sets it off while it is armed: unlock, start, boot
	ArmedAgain []string // after what it has to be armed again: lock, after-start, after-stop, after-boot
}

// Circuit is one measured conductor of the ignition switch or of the power states of a button car.
type Circuit struct {
	Name     string             // connector and cavity, "c1-03"
	Volts    map[string]Reading // by position: out, off, acc, run, crank or asleep, awake, acc, on, ready
	Again    map[string]float64 // the same positions read a second time, in volts
	Asleep   Reading            // key out, read again when the network slept
	LowSide  bool               // switched to ground when on
	Light    bool               // read under a 5 W lamp
	MinMax   bool               // CRANK was captured with a minimum and maximum meter
	Fuse     float64            // amperes of the vehicle's own fuse, 0 unknown
	Amps     float64            // measured current, 0 unknown
	Logic    bool               // carries logic current only (< 0.1 A)
	With     []string           // conditions: clutch-pressed, brake-pressed, selector-p, selector-n, door-shut, door-open
	Retained bool               // on for minutes after the key is out; then the role follows from the line asleep
	Cut      bool               // the conductor is cut and routed through the controller
	Role     string             // follows from Volts: battery, key-in, held, dropped, starter, ladder, logic, data, retained, dead
	Because  string             // one sentence: what in the readings makes the role
}

// Reading is a voltage with the battery's voltage at the same moment.
type Reading struct {
	Volts, Battery float64
}

// LockCircuit is the door-lock circuit as identified.
type LockCircuit struct {
	Kind                   string // negative-pulse, positive-pulse, reversal, ladder, both-polarities, pneumatic, driver-switch-only, key-cylinder, link, none
	SecondDeadlocks        string // yes, no
	SecondsMin, SecondsMax float64
	Counts                 []int
	DriverLine             string            // yes, no: a separate driver line
	Lines                  map[string]string // lock, unlock, unlock-driver -> connector-cavity
	OhmsSecret             bool
}

// Device is a controller or module of the job.
type Device struct {
	Name             string // "controller": the Device of setting keys
	Profile          string
	Serial, Firmware string
	Link             string // form of the link in use: serial, discrete, none
	LinkTo           string // name of the controller, for a module
	Straps           map[string]string
	Wired            []string // feedback and input paths joined: led, button, horn, siren, lamps, sensor, antenna, starter-interrupt
}

// Remote is a remote of the job.
type Remote struct {
	Name, Profile, For string
	Without            []string // gestures its user cannot make: chord, hold, double
}

// FeedJoin says to which conductor a feed of the controller is joined.
type FeedJoin struct {
	Name                string // of the join: its table in the file
	Feed, Circuit, Side string // Side: "", key-side, starter-side, upstream-of-interlock, downstream-of-interlock
	Method              string // solder-and-sleeve, crimp, tap, plug
	Fuse                float64
	Through             string // contact (""): the feed's own contact carries the circuit; relay: a relay's, its coil on the feed
}

// OutputJoin says to which line an output is already joined.
type OutputJoin struct {
	Name                           string // of the join: its table in the file
	Output, Line, Function, Method string
	Switches                       string // what a relay on a state output switches: fob-supply, key-loop, simulated-brake
}

// Signal is one signal of the vehicle as the install takes it.
type Signal struct {
	Name      string  // one of signalKinds: brake, hood, park, parking-brake, door, boot, engine-speed, ...
	Source    string  // link, wire, none
	Active    string  // ground, battery, open-circuit, ladder
	FailsSafe string  // yes, no
	Proven    string  // yes, no
	Input     string  // terminal of the controller, when by wire
	Line      string  // connector-cavity
	Pulses    float64 // engine speed: pulses per crank revolution
	Kind      string  // engine speed by wire: tach-line, waste-spark, coil-on-plug, injector, injector-batch, alternator, crank-wheel; by link: speed, running
	Covers    string  // park: p-only, p-and-n
	Taken     string  // where the signal is taken, by words of its own: signalKinds
	Settle    float64 // seconds the input stays active after shutting
	Sleeps    string  // yes, no
}

// Opening is a way into the cabin or the load space.
type Opening struct {
	Name   string // driver, kerb-side, rear, tailgate, rear-glass
	Cabin  string // yes, no: opens to the cabin
	Seen   string // signal name by which it is seen, "" unseen
	Taken  string // latch, dome, body-unit, link
	Sleeps string // yes, no
}

// Function is something the customer wants a button for.
type Function struct {
	Name                   string
	Words                  []string // the customer's own words
	Does                   string   // boot, tailgate, side-door, ramp, rear-glass, roof, window, fuel-door, heated-seat, heated-glass, cabin-heater, gate, panic, platform-lift, other
	Direction              string   // open, close, toggle, on
	Line                   string   // connector-cavity
	Active                 string   // ground, battery, ladder, reversal, contact
	Amps                   float64  // current of the line while worked
	MinSeconds, MaxSeconds float64
	Count                  int
	Moves                  string   // yes, no
	OutOfSight             string   // yes, no
	SelfReverses           string   // yes, no: the vehicle's own module supervises the motion with reversal
	Keeps                  string   // pulse, maintained, hold-to-run
	When                   []string // interlocks asked for: park, parking-brake, engine-off, running, door-open, doors-closed, disarmed
	Joined                 []string // those of them that are wired, in series or by an input
	On                     []FunctionWish
	Output                 string // output it is already joined to, "" free
	AtStart                string // off, on
	Below                  float64
	HasBelow               bool // Below was written down; 0 C is a limit too
}

// FunctionWish asks for a function on a remote.
type FunctionWish struct {
	Remote, Gesture, Use string // Use: daily, weekly, rare; Gesture "" = any
	Signed               string // initials on a signed wish that relaxes a nuisance guard
}

// Wish is one thing the customer asked for, as setting = value.
type Wish struct {
	Name                               string // of its table in the file
	Device, Setting, Value, By, Reason string
}

// Place is where the vehicle is used, with the limits that its ordinance sets.
type Place struct {
	Name, Ordinance                  string
	IdleMinutes                      float64
	StartsPerHour                    int
	AlarmSecondsMin, AlarmSecondsMax float64
	AlarmRest                        float64
	AlarmLamps                       string // any, indicators
	Silent                           string // yes, no: no confirmation sounds
}

// Policy is the shop's: limits stand above wishes, defaults below.
type Policy struct {
	Doc      *source.Document
	Shop, By string
	Limits   []Bound
	Defaults []Bound
	Tests    []string            // further tests required
	Override map[string][]string // who may override what
}

// Bound is one line of policy: a setting with the values allowed, or the value preferred.
type Bound struct {
	Name    string // of its table in the file
	Setting string
	Values  []string
	AtMost  float64
	Reason  string
}

// Found is what a device was found set to, before anything was changed.
type Found struct {
	Doc       *source.Document
	Vehicle   string // the owner's words, as in the job
	Taken, By string
	Snapshot  setting.Snapshot
}
