package assign

import (
	"fmt"
	"slices"
	"strings"
)

// hardware is what it takes to let one output work the lines of one function.
type hardware struct {
	joins  []join
	relay  *Relay // of all its relays that the output drives; nil without
	pilot  bool   // one relay drives the coils of the others
	series []string
	relays int
	diodes int
	reason string // why it cannot be done; empty when it can
}

// join is one line on one output.
type join struct {
	line    string
	relayed bool
	diode   string // use of the diode's recipe, "" without
}

// Load is the current in mA that the relay's coil draws at worst: charging voltage (15 V on a 12 V
// vehicle) on a coil at its low tolerance of 10 %, and where the vehicle works below -20 C on a
// coil that is cold besides: 15 V / (0.9 R), 15 V / (0.69 R). Common practice, no source.
func (r *Relay) Load(cold bool) float64 {
	volts := 15.0
	if r.Volts == 24 {
		volts = 30
	}
	if cold {
		return 1000 * volts / (0.69 * r.Ohms)
	}
	return 1000 * volts / (0.9 * r.Ohms)
}

// Diodes are 1 A rectifiers; they stand in switch lines only, never in lines of motors, of
// reversing motors or of resistors (common practice, no source).
const diodeAmps = 1.0

// longOn is the time after which an output is used to 80 % of its rating only (common practice, no
// source).
const longOn, longShare = 60.0, 0.8

func (f *Function) takesDiode() bool {
	return (f.Active == "ground" || f.Active == "battery") && f.Amps <= diodeAmps
}

// rating is what o may carry for f, in amperes.
func (o *Output) rating(f *Function) float64 {
	a := float64(o.Milliamps) / 1000
	if f.Keeps == "maintained" && (f.MaxSeconds == 0 || f.MaxSeconds > longOn) {
		a *= longShare
	}
	return a
}

// hardware finds the parts for f on o. Shared says that another output works the same line.
func (p *Problem) hardware(f *Function, o *Output, s *setup, shared bool) hardware {
	var h hardware
	several := len(f.Lines) > 1
	direct := o.Level == f.Active && f.Amps*float64(len(f.Lines)) <= o.rating(f)
	for _, line := range f.Lines {
		j := join{line: line, relayed: !direct}
		if direct && (several || shared && !o.OpenDrain && !o.Contact) {
			j.relayed = !f.takesDiode()
			if !j.relayed {
				j.diode = "tied-line"
				if several {
					j.diode = "tied-output"
				}
			}
		}
		if j.relayed {
			h.relays++
		} else if j.diode != "" {
			h.diodes++
		}
		h.joins = append(h.joins, j)
	}
	if h.relays > 0 {
		h.relay, h.pilot, h.reason = p.relayFor(f, o, h.relays)
		if h.pilot {
			h.relays++
		}
	}
	h.series = s.series
	h.relays += len(s.series) * len(f.Lines)
	return h
}

// relayFor picks the first type whose contact carries the line and whose coils the output can
// drive; with several coils a pilot relay may drive them all.
func (p *Problem) relayFor(f *Function, o *Output, coils int) (r *Relay, pilot bool, reason string) {
	stock := p.Relays
	if stock == nil {
		stock = fitted().relays
	}
	lightest := 0.0
	for _, count := range slices.Compact([]int{coils, 1}) {
		for i := range stock {
			t := &stock[i]
			contact := t.Make
			if onBreak(f.Active) {
				contact = t.Break
			}
			if t.Volts != p.volts() || f.Amps > longShare*contact || f.Fuse > contact {
				continue
			}
			load := t.Load(p.Cold) * float64(count)
			if load <= float64(o.Milliamps) {
				return t, count < coils, ""
			}
			if lightest == 0 || load < lightest {
				lightest = load
			}
		}
	}
	if lightest == 0 {
		return nil, false, fmt.Sprintf("no relay at hand has a contact for %s A", seconds(max(f.Amps, f.Fuse)))
	}
	return nil, false, fmt.Sprintf("the lightest coil draws %.0f mA and it may carry %d mA", lightest, o.Milliamps)
}

// onBreak reports whether the line's current goes through the break contact at rest; its rating is
// lower than that of the make contact.
func onBreak(active string) bool {
	return active == "reversal" || active == "interrupt" || strings.HasPrefix(active, "simulated-brake")
}

func (p *Problem) volts() int {
	if p.Volts == 24 {
		return 24
	}
	return 12
}
