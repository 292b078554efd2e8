package profile

import "asleft/config/source"

// Kind says what a profile describes: a controller, an interface module or a remote.
type Kind string

// The three kinds of device.
const (
	Controller Kind = "controller"
	Module     Kind = "module"
	Remote     Kind = "remote"
)

// Profile is what one device can do, as a shop copied it from the device's own papers.
// Which fields are filled depends on Kind. Slices keep the order of the file.
type Profile struct {
	Doc      *source.Document // where every value stands, for positioned messages
	ID       string           // "demo-alder"
	Label    string           // "Alder 6, an invented demo controller"
	Kind     Kind
	Invented bool // a demo device: every sheet made from it says so
	Papers   Papers

	NominalVolts int      // 12 or 24
	Keeps        []string // what survives a power cut: options, learned-hz, paired-remotes, learned-keys, valet, run-counter

	// Controllers and modules.
	Feeds    []Feed
	Inputs   []Input
	Outputs  []Output
	Channels []Channel
	Options  []Option
	Fixed    map[string]string // settings the device has no option for, with the one value it works by
	Links    []Link
	Releases []string // immobiliser release ways that a module offers (values of immobiliser.release)
	Exit     *ExitProof
	Keying   *Keying // nil on a device without an option

	// Remotes.
	Buttons  []Button
	Gestures []Gesture
	Cell     string // battery of the remote, "CR2032"
	WeakSign string // how a weak battery shows
	Teach    string // how a teachable gesture is taught its channel, in words for the card
}

// Papers tells from which papers the profile was copied, by whom, and who read it a second time.
type Papers struct {
	Title, Revision, CopiedBy, SecondReader string
}

// Feed is a conductor pair contact with which the controller energises a vehicle circuit.
type Feed struct {
	Name  string   // "second": the NAME of feed.NAME.role
	Amps  float64  // contact rating
	Roles []string // held, dropped, starter, key-in, off; one = fixed, several = selectable
	Level string   // battery (usual) or ground
}

// Input is a terminal that reads a signal of the vehicle.
type Input struct {
	Name    string
	Signal  string   // brake, hood, park, parking-brake, door, boot, engine-speed, key-in, wait-lamp, factory-alarm, work-equipment, clutch
	Actives []string // the levels it can be set or is fixed to: ground, battery, open-circuit, pulses
}

// Output is a terminal that the controller drives.
type Output struct {
	Name       string    // the N of aux.N.*, state-output.N.*
	Use        string    // aux, state, lock, unlock, unlock-driver, horn, siren, lamps, starter-interrupt, factory-disarm, factory-rearm, courtesy-lamp
	Level      string    // ground (sink) or battery (source)
	Milliamps  int       // rating
	Contact    bool      // a relay contact inside: Milliamps is the contact's rating
	Behaviours []string  // pulse, latched, timed, follows-button; empty for outputs with a fixed use
	Seconds    []float64 // selectable pulse or run lengths
	Counts     []int     // selectable pulse counts
	OpenDrain  bool      // no clamp or pull-up: may share a line without diodes
	States     []string  // for Use state: running, armed, starting, cranking, before-start, unlocked
}

// Channel is a command number a remote can send. It fires outputs or does a fixed action.
type Channel struct {
	Number int
	Fires  []string // names of aux outputs
	Does   string   // lock, unlock, start, stop, panic, arm-silent, valet; empty when it fires outputs
}

// Option is one thing that can be set on the device.
type Option struct {
	ID      string
	Title   string
	How     string // keyed, strap, dial, cable, learned
	Bank    int    // where a keyed option stands; 1 where the device has one bank
	Item    int
	Values  []OptionValue // in the order of the device
	Factory string        // name of the factory value
	PowerUp bool          // a strap or dial read at power-up only
	Written bool          // its values are written out as tables, not listed
}

// OptionValue is one position of an option: a set of setting = value, all taken at once.
type OptionValue struct {
	Name     string            // what the papers call it, "2"
	Is       map[string]string // setting name -> canonical value
	Moves    map[string]string // other options that change with it: option id -> value name
	Silences []string          // feedback that this value switches off: horn, siren, lamps, led
}

// Link is one form of data or wire link, and what it carries each way.
type Link struct {
	Form          string   // serial, discrete
	ToController  []string // signals: engine-speed, engine-running, brake, hood, park, parking-brake, door.NAME..., ready, takeover, key-in, wait-lamp...
	ToVehicle     []string // commands: start, lock, unlock, unlock-driver, boot, disarm, rearm, release
	RefreshMillis int      // refresh of engine speed while cranking; 0 unknown
	Sleeps        bool     // reports stop when the vehicle network sleeps
}

// ExitProof is the controller's own logic by which a manual gearbox is proven to be out of gear,
// written out as a state machine.
type ExitProof struct {
	Inputs  []string // signals it reads
	Start   string   // state at power-up
	Vacated string   // state in which a remote start is allowed
	Running []string // states of a remote run
	Steps   []ExitStep
	Within  int               // seconds allowed from the driver's leaving to the shut doors
	Stored  bool              // restored from memory after a power cut
	Shows   map[string]string // state -> what the device signals
}

// ExitStep is one transition of the exit proof.
type ExitStep struct {
	Name     string // of the step in the file; several transitions share it
	From, To string
	On       string   // event, one of ExitEvents
	While    []string // conditions that must hold
	Stops    bool     // stops the engine as well
}

// Button is a button of a remote with the mark printed on it and its place in the drawing.
type Button struct {
	Name, Mark string
	Row, Col   int
}

// Gesture is something hands do on a remote that sends a channel.
type Gesture struct {
	ID          string
	Buttons     []string
	Presses     int     // 1 or 2
	HoldSeconds float64 // 0 = tap
	Ease        int     // 1 is the easiest
	Channel     int     // fixed channel; 0 when teachable
	Teachable   []int   // channels it may be taught, empty when fixed
	Taken       string  // lock, unlock, start, stop, panic: used for that and not free
}
