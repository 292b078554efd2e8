package keying

import (
	"slices"
	"strconv"

	"asleft/config/profile"
	"asleft/config/setting"
)

// Device is a device of a job with its compiled machine.
type Device struct {
	Name    string // the name the job gives it: the Device of setting keys
	Profile *profile.Profile
	Machine *Machine
}

// Machine is the button-and-lamp interface of a device; see the package comment. It is
// immutable once compiled.
type Machine struct {
	Options []Option // the keyed options in the order of the menus
	States  []State
	Start   int // index of the state outside programming
	First   int // index of the state right after entry
	timing  profile.Answer
	direct  bool  // each press stores
	grid    *grid // how the menus are laid out; nil for a written-out machine
}

// Option is a keyed option with its values in the order of the device.
type Option struct {
	ID, Title  string
	Bank, Item int
	Factory    int
	Values     []Value
}

// Value is one position of an option.
type Value struct {
	Name     string
	Is       map[string]setting.Value // setting name -> value; all taken at once
	Moves    []Moved
	Silences []string
}

// Moved says that another option takes a value with this one.
type Moved struct{ Option, Value int }

// State is a control state: where in the menus the hands are.
type State struct {
	Name   string
	Words  string  // "at option 3 of bank 2", for people
	Option int     // the option that stands chosen, -1 none
	Inside bool    // programming is entered
	Limit  float64 // seconds after which silence has its effect; 0 never
	Moves  []Move
}

// Effect is what a transition does to the values.
type Effect int

// The effects of a transition.
const (
	None  Effect = iota
	Next         // the option takes its next value, after the last the first
	Set          // the option takes Move.Value
	Store        // the working values are stored
	Drop         // the working values are dropped
	Reset        // every option takes its factory value, stored at once
)

// Move is a transition: what an input does in a state.
type Move struct {
	On     string
	To     int
	Shows  []Signal // the answer; see Signal.Of
	Does   Effect
	Option int
	Value  int
	Leaves bool // the way out that a card takes
}

// Configuration is where a machine is: its control state, and the place of each option's value,
// -1 where it is not known. Working differs from Stored only while a change is pending.
type Configuration struct {
	State           int
	Stored, Working []int8
}

// Clone returns a copy that shares nothing.
func (c Configuration) Clone() Configuration {
	return Configuration{State: c.State, Stored: slices.Clone(c.Stored), Working: slices.Clone(c.Working)}
}

// At returns the configuration outside programming with these stored values.
func (m *Machine) At(values []int8) Configuration {
	return Configuration{State: m.Start, Stored: slices.Clone(values), Working: slices.Clone(values)}
}

// Factory returns the factory values.
func (m *Machine) Factory() []int8 {
	v := make([]int8, len(m.Options))
	for i, o := range m.Options {
		v[i] = int8(o.Factory)
	}
	return v
}

// find returns what an input does in a state. A hold acts as the longest hold of the state
// that it reaches, and as a tap when it reaches none.
func (s *State) find(input string) (Move, bool) {
	for _, m := range s.Moves {
		if m.On == input {
			return m, true
		}
	}
	held, isHold := holdSeconds(input)
	if !isHold {
		return Move{}, false
	}
	best, found := Move{}, 0.0
	for _, m := range s.Moves {
		if want, ok := holdSeconds(m.On); ok && want <= held && want > found {
			best, found = m, want
		}
	}
	if found == 0 {
		return s.find("tap")
	}
	return best, true
}

func holdSeconds(input string) (float64, bool) {
	if len(input) < 6 || input[:5] != "hold-" {
		return 0, false
	}
	n, err := strconv.ParseFloat(input[5:], 64)
	return n, err == nil
}

// Step gives one input and returns the new configuration with the device's answer. An input
// that means nothing in the state changes nothing.
func (m *Machine) Step(c Configuration, input string) (Configuration, Answer) {
	move, ok := m.States[c.State].find(input)
	if !ok {
		return c, nil
	}
	next := c.Clone()
	next.State = move.To
	m.apply(&next, move)
	return next, m.answer(next, move)
}

// apply changes the values of c as the move says, with all that moves with them.
func (m *Machine) apply(c *Configuration, move Move) {
	switch move.Does {
	case Next:
		if old := c.Working[move.Option]; old >= 0 {
			m.take(c.Working, move.Option, (int(old)+1)%len(m.Options[move.Option].Values))
		}
	case Set:
		m.take(c.Working, move.Option, move.Value)
	case Store:
		copy(c.Stored, c.Working)
	case Drop:
		copy(c.Working, c.Stored)
	case Reset:
		copy(c.Working, m.Factory())
		copy(c.Stored, c.Working)
	}
	if m.direct {
		copy(c.Stored, c.Working)
	}
}

// take sets one option and the options that move with its value. What a moved option moves
// in turn is not followed: the papers of a device state the whole effect at the option.
func (m *Machine) take(values []int8, option, value int) {
	values[option] = int8(value)
	for _, also := range m.Options[option].Values[value].Moves {
		values[also.Option] = int8(also.Value)
	}
}
