package keying

import (
	"fmt"
	"strings"
)

// Simulator is a device on the desk: it takes inputs and answers as the device would. It knows
// nothing of plans. It keeps what hands can and cannot do: a switch that stands in a position
// cannot be moved there again, and a device without supply answers nothing.
type Simulator struct {
	Machine *Machine
	At      Configuration
	Seconds float64 // since the start
	key     string  // position of the ignition switch, "" not known
	off     bool    // supply fuse pulled
	idle    float64 // seconds without an input
}

// NewSimulator begins outside programming with these stored values.
func NewSimulator(m *Machine, values []int8) *Simulator {
	return &Simulator{Machine: m, At: m.At(values)}
}

// Event is one input of a rehearsal and what followed. Several answers can follow a wait.
type Event struct {
	Input   Input
	Answers []Answer
	Ignored bool    // the input meant nothing
	Words   string  // where the device stands afterwards
	Seconds float64 // since the start
}

// Do gives one input.
func (s *Simulator) Do(in Input) Event {
	e := Event{Input: in}
	switch {
	case in.Word == "wait":
		s.Seconds += in.Seconds
		e.Answers = s.wait(in.Seconds)
	case in.Word == "silence":
		limit := s.Machine.States[s.At.State].Limit - s.idle
		s.Seconds += max(limit, 0)
		e.Answers = s.wait(max(limit, 0))
	case s.impossible(in.Word):
		e.Ignored = true
	default:
		s.Seconds += inputSeconds(in.Word)
		s.idle = 0
		_, known := s.Machine.States[s.At.State].find(in.Word)
		next, answer := s.Machine.Step(s.At, in.Word)
		e.Ignored = !known
		if known {
			e.Answers = []Answer{answer}
		}
		s.At = next
	}
	e.Words, e.Seconds = s.Machine.States[s.At.State].Words, s.Seconds
	return e
}

// impossible notes what hands moved, and tells of a move that cannot be made.
func (s *Simulator) impossible(word string) bool {
	switch {
	case word == "power-off":
		was := s.off
		s.off = true
		return was
	case word == "power-on":
		was := s.off
		s.off = false
		return !was
	case strings.HasPrefix(word, "key-"):
		same := s.key == word
		s.key = word
		return same || s.off
	}
	return s.off
}

// wait lets time go by; each time limit that passes has its effect.
func (s *Simulator) wait(seconds float64) []Answer {
	var out []Answer
	s.idle += seconds
	for {
		state := &s.Machine.States[s.At.State]
		if state.Limit <= 0 || s.idle < state.Limit-1e-9 || s.off {
			return out
		}
		if _, ok := state.find("silence"); !ok {
			return out
		}
		s.idle -= state.Limit
		var a Answer
		s.At, a = s.Machine.Step(s.At, "silence")
		out = append(out, a)
	}
}

// Simulate gives a row of inputs to a device that holds these values.
func Simulate(m *Machine, values []int8, inputs []Input) ([]Event, Configuration) {
	s := NewSimulator(m, values)
	events := make([]Event, 0, len(inputs))
	for _, in := range inputs {
		events = append(events, s.Do(in))
	}
	return events, s.At
}

// Execute does what a card says, press by press, on a device that holds these values, and
// compares each answer that the card says can be seen. The error names the first step whose
// answer differs; the configuration is where the device stands then.
func Execute(m *Machine, values []int8, card Card) (Configuration, error) {
	s := NewSimulator(m, values)
	run := func(steps []Step) error {
		for _, step := range steps {
			if err := s.step(step, card.Wired); err != nil {
				return err
			}
		}
		return nil
	}
	if err := run(card.Entry); err != nil {
		return s.At, err
	}
	for _, g := range card.Groups {
		if err := run(g.Steps); err != nil {
			return s.At, fmt.Errorf("%s: %w", g.Option, err)
		}
	}
	if err := run(card.Exit); err != nil {
		return s.At, err
	}
	keyed := s.At.Clone()
	if err := run(card.Check); err != nil {
		return s.At, fmt.Errorf("closing check: %w", err)
	}
	if string(bytesOf(keyed.Stored)) != string(bytesOf(s.At.Stored)) {
		return s.At, fmt.Errorf("the closing check changed what is stored")
	}
	return s.At, nil
}

func bytesOf(v []int8) []byte {
	b := make([]byte, len(v))
	for i, x := range v {
		b[i] = byte(x)
	}
	return b
}

// step does one step of a card and compares the answer to its last input.
func (s *Simulator) step(step Step, wired []string) error {
	inputs, err := ParseInputs("card", step.Inputs)
	if err != nil {
		return err
	}
	for range max(step.Most, 1) {
		var last Answer
		for _, in := range inputs {
			last = nil
			for _, a := range s.Do(in).Answers {
				last = a
			}
		}
		last = last.Seen(wired)
		if !step.Expect.Seen || step.Expect.Exact == "" || last.String() == step.Expect.Exact {
			return nil
		}
		if !step.Until {
			return fmt.Errorf("%s: expected %s, the device answered %s", step.Hands, step.Expect.Exact, last)
		}
	}
	return fmt.Errorf("%s: %s never came", step.Hands, step.Expect.Exact)
}

// inputSeconds is how long hands need for an input: common practice, no source.
func inputSeconds(word string) float64 {
	if held, ok := holdSeconds(word); ok {
		return held + 0.5
	}
	switch {
	case word == "tap":
		return 0.5
	case strings.HasPrefix(word, "power-"):
		return 3
	}
	return 1
}
