package assign

import "slices"

// tieParts are the parts that outputs of fixed use take.
type tieParts struct {
	of             []hardware // by index into Problem.Ties
	relays, diodes int
}

// tied finds what each joined output of fixed use needs: a relay where level or current do not fit,
// isolation where one output works several lines or several outputs one line.
func (p *Problem) tied() tieParts {
	var t tieParts
	for i := range p.Ties {
		f, o := p.Ties[i].function(), p.Ties[i].output()
		h := p.hardware(&f, &o, &setup{}, p.othersOn(i))
		t.of = append(t.of, h)
		t.relays += h.relays
		t.diodes += h.diodes
	}
	return t
}

func (t *Tie) function() Function {
	return Function{Name: t.Output, Words: t.Use, Lines: t.Lines, Active: t.Active, Amps: t.Amps, Fuse: t.Fuse, Keeps: "pulse"}
}

func (t *Tie) output() Output {
	return Output{Name: t.Output, Level: t.Level, Milliamps: t.Milliamps, OpenDrain: t.OpenDrain, Contact: t.Contact, Feed: t.Feed}
}

// driver is the output as the end of a wire.
func (o *Output) driver() string {
	if o.Feed {
		return "controller feed " + o.Name
	}
	return "controller output " + o.Name
}

// othersOn reports whether a line of tie i is worked by another tie or by a function.
func (p *Problem) othersOn(i int) bool {
	for _, line := range p.Ties[i].Lines {
		for k := range p.Ties {
			if k != i && slices.Contains(p.Ties[k].Lines, line) {
				return true
			}
		}
		for k := range p.Functions {
			if slices.Contains(p.Functions[k].Lines, line) {
				return true
			}
		}
	}
	return false
}
