package rules

import (
	"fmt"

	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/keying"
)

// leg is what a card is planned from: it can be followed press by press and resumed.
type leg struct {
	machine       *keying.Device
	start, target setting.Snapshot
	circumstances keying.Circumstances
}

// planned makes a card and keeps what it was planned from.
func (o *Outcome) planned(d Device, machine *keying.Device, start, target setting.Snapshot) (Card, error) {
	l := leg{machine, start, target, o.circumstances(d, target)}
	card, err := keying.Plan(machine, start, target, l.circumstances)
	return Card{Card: card, leg: l}, err
}

// Follow begins to follow the card, line by line.
func (c Card) Follow() (*keying.Session, []string, error) {
	return keying.NewSession(c.leg.machine, c.leg.start, c.leg.target, c.leg.circumstances)
}

// Resume goes on following the card from the bytes of Session.Progress. The error is
// keying.ErrOtherCard when they belong to another card.
func (c Card) Resume(progress []byte) (*keying.Session, []string, error) {
	return keying.Resume(c.leg.machine, c.leg.start, c.leg.target, c.leg.circumstances, progress)
}

// ReadOuts plans, for each device that is keyed, the shortest session that shows what it holds.
func (o *Outcome) ReadOuts() ([]keying.ReadOut, error) {
	var out []keying.ReadOut
	for _, d := range o.Devices {
		if d.Profile.Kind == profile.Remote || d.Profile.Keying == nil {
			continue
		}
		machine, err := keying.Compile(d.Name, d.Profile)
		if err != nil {
			return nil, err
		}
		out = append(out, keying.PlanReadOut(machine, o.circumstances(d, o.target(d.Name))))
	}
	return out, nil
}

// Rehearse gives inputs to a device as it comes from the factory, on the desk.
func Rehearse(p *profile.Profile, inputs []keying.Input) ([]keying.Event, error) {
	machine, err := keying.Compile("device", p)
	if err != nil {
		return nil, err
	}
	if p.Keying == nil {
		return nil, fmt.Errorf("%s is not keyed", p.ID)
	}
	events, _ := keying.Simulate(machine.Machine, machine.Machine.Factory(), inputs)
	return events, nil
}
