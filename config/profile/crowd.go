package profile

import (
	"fmt"

	"asleft/config/source"
)

// atMost refuses a list that is longer than any device needs, and cuts it off.
func atMost(t *source.Table, key string, all []string, most int) []string {
	if len(all) <= most {
		return all
	}
	t.Fault(key, source.Problem{Message: fmt.Sprintf("%d are more than a device has", len(all)), Expected: fmt.Sprintf("at most %d", most)})
	return all[:most]
}

// refuseCrowds refuses far more tables than any device has, so that the checks,
// which compare tables in pairs, are quick whatever the file.
func (p *Profile) refuseCrowds() {
	steps, reads := 0, 0
	if p.Exit != nil {
		steps, reads = len(p.Exit.Steps), len(p.Exit.Running)+len(p.Exit.Shows)
	}
	fires := 0
	for _, c := range p.Channels {
		fires = max(fires, len(c.Fires))
	}
	pressed, taught := 0, 0
	for _, g := range p.Gestures {
		pressed, taught = max(pressed, len(g.Buttons)), max(taught, len(g.Teachable))
	}
	for _, c := range []struct {
		what, table string
		has, most   int
	}{
		{"feeds", "feed", len(p.Feeds), 40},
		{"inputs", "input", len(p.Inputs), 100},
		{"outputs", "output", len(p.Outputs), 100},
		{"channels", "channel", len(p.Channels), 99},
		{"outputs on one channel", "channel", fires, 20},
		{"options", "option", len(p.Options), 400},
		{"transitions of the exit proof", "exit-proof", steps, 400},
		{"states named by the exit proof", "exit-proof", reads, 60},
		{"buttons", "button", len(p.Buttons), 40},
		{"gestures", "gesture", len(p.Gestures), 100},
		{"buttons of one gesture", "gesture", pressed, 10},
		{"channels of one gesture", "gesture", taught, 99},
	} {
		if c.has > c.most {
			p.fault(source.Problem{Message: fmt.Sprintf("%d %s are more than a device has", c.has, c.what), Expected: fmt.Sprintf("at most %d", c.most)}, c.table)
		}
	}
}
