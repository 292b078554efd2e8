package keying

import (
	"fmt"
	"slices"

	"asleft/config/setting"
)

// drawing turns a script into the steps of a card, playing the machine along.
type drawing struct {
	w    *work
	m    *Machine
	at   Configuration
	card *Card
}

// draw writes the script onto the card: entry, groups, exit, closing check.
func (w *work) draw(card *Card, script []act) {
	d := drawing{w: w, m: w.d.Machine, at: w.begin.Clone(), card: card}
	for i := 0; i < len(script); {
		n := i
		for n < len(script) && script[n].option == script[i].option {
			n++
		}
		if o := script[i].option; o >= 0 {
			card.Groups = append(card.Groups, d.group(o, script[i:n]))
		} else if len(card.Groups) == 0 && i == 0 {
			card.Entry = d.entry(script[i:n])
		} else {
			card.Exit = d.steps(script[i:n])
		}
		i = n
	}
	if len(script) == 0 {
		card.Proved = true
	}
	card.End = w.d.held(d.at.Stored)
	d.closing()
	total := 0.0
	for _, steps := range card.rows() {
		for _, s := range steps {
			total += s.Seconds
		}
	}
	card.Seconds = total
}

// entry joins the steps of the entry, for which the device allows a time in all.
func (d *drawing) entry(script []act) []Step {
	steps := d.steps(script)
	within := d.w.d.Profile.Keying.Enter.Within
	if within == 0 || d.m.grid == nil {
		return steps
	}
	for i := range steps {
		steps[i].Limit = 0
	}
	steps[0].Hands += fmt.Sprintf(" From here %s s for the whole entry.", decimal(within))
	return steps
}

// rows are the rows of steps from entry to exit.
func (c *Card) rows() [][]Step {
	rows := [][]Step{c.Entry}
	for _, g := range c.Groups {
		rows = append(rows, g.Steps)
	}
	return append(rows, c.Exit)
}

func (d *drawing) group(o int, script []act) Group {
	option := d.m.Options[o]
	before := slices.Clone(d.at.Working)
	g := Group{Option: option.ID, Title: option.Title, Bank: option.Bank, Item: option.Item, Bearing: d.bearing(o)}
	from, to := int(before[o]), int(d.w.target[o])
	if from >= 0 {
		g.From = option.Values[from].Name
	}
	g.To = option.Values[to].Name
	g.Settings = d.w.d.changes(o, from, to)
	g.Silences = d.w.silences(&task{option: o, from: from, to: to})
	g.Steps = d.steps(script)
	for x, v := range d.at.Working {
		if x != o && v != before[x] && v >= 0 {
			g.Moves = append(g.Moves, fmt.Sprintf("%s to %s", d.m.Options[x].ID, d.m.Options[x].Values[v].Name))
		}
	}
	return g
}

func (d *drawing) bearing(o int) Bearing {
	for _, t := range d.w.tasks {
		if t.option != o {
			continue
		}
		switch {
		case t.rank <= rankSilentGuard:
			return Tightens
		case t.rank == rankLoosens:
			return Loosens
		}
		return d.w.bearing(o, t.from, t.to)
	}
	return Neutral
}

// steps joins inputs as hands give them: equal ones in a row, with the silence that ends a count.
func (d *drawing) steps(script []act) []Step {
	var out []Step
	for i := 0; i < len(script); {
		n := 1
		for i+n < len(script) && n < 99 && script[i].alike(script[i+n]) {
			n++
		}
		row := script[i : i+n]
		i += n
		silence := i < len(script) && script[i].input == "silence"
		if silence {
			row = script[i-n : i+1]
			i++
		}
		out = append(out, d.step(row))
	}
	return out
}

// alike tells whether hands give two inputs in one go: presses that choose stand apart from those
// that change, so that each has its answer.
func (a act) alike(b act) bool {
	return a.input == b.input && a.effect == b.effect && a.most == 0 && b.most == 0
}

// step makes one step and plays its inputs.
func (d *drawing) step(row []act) Step {
	begin := &d.m.States[d.at.State]
	s := Step{Most: 1, Limit: begin.Limit}
	var inputs []Input
	var last Answer
	for _, a := range row {
		here := &d.m.States[d.at.State]
		inputs = append(inputs, Input{Word: a.input})
		s.Presses += presses(d.w.h.weigh(here, a.input)) * max(a.most, 1)
		s.Seconds += seconds(d.w.h.weigh(here, a.input)) * float64(max(a.most, 1))
		if a.most > 0 {
			s.Until, s.Most = true, a.most
			last = d.until(a)
			continue
		}
		d.at, last = d.m.Step(d.at, a.input)
	}
	s.Inputs = FormatInputs(inputs)
	s.Expect = d.expect(last)
	s.Seconds += d.m.seconds(last) * float64(s.Most)
	s.Hands = d.w.h.say(begin, inputs, s)
	s.Otherwise = d.otherwise(s, last, slices.ContainsFunc(row, func(a act) bool { return a.effect }))
	return s
}

// until plays a row of presses that goes on until the wanted value shows.
func (d *drawing) until(a act) Answer {
	move, _ := d.m.States[d.at.State].find(a.input)
	for _, v := range d.m.Options[move.Option].Values {
		for _, x := range v.Moves {
			d.at.Working[x.Option] = -1
		}
	}
	c := d.at.Clone()
	d.m.take(c.Working, move.Option, int(d.w.target[move.Option]))
	if d.m.direct {
		copy(c.Stored, c.Working)
	}
	c.State = move.To
	d.at = c
	return d.m.answer(c, move)
}

// expect is the answer as this job can see it.
func (d *drawing) expect(a Answer) Expect {
	seen := a.Seen(d.card.Wired)
	e := Expect{Seen: len(seen) > 0 || len(a) == 0 && len(d.card.Wired) > 0}
	switch {
	case len(a) == 0 && e.Seen:
		e.Text, e.Exact = "nothing", "nothing"
	case !e.Seen:
		e.Text = "nothing that this job can see (" + a.Text(false) + " is not joined)"
		if len(a) == 0 {
			e.Text = "nothing"
		}
	default:
		e.Text, e.Strip = seen.Text(d.m.timing.Acknowledge), d.m.Strip(seen)
		unsure := slices.ContainsFunc(seen, func(s Signal) bool { return d.m.mayBeSilenced(d.at, s.By) })
		if unsure {
			e.Text += ", unless it was found switched off"
		}
		if !seen.open() && !unsure {
			e.Exact = seen.String()
		}
		for _, s := range seen {
			if s.Of != "" {
				e.Open = s.path()
			}
		}
	}
	return e
}

// closing makes the closing check: a walk past the changed options that shows their values.
func (d *drawing) closing() {
	changed := slices.Clone(d.w.reread)
	for _, g := range d.card.Groups {
		changed = append(changed, slices.IndexFunc(d.m.Options, func(x Option) bool { return x.ID == g.Option }))
	}
	slices.Sort(changed)
	var read, blind []int
	after := &work{d: d.w.d, h: d.w.h, start: d.at.Stored, asking: true}
	for _, o := range slices.Compact(changed) {
		if len(after.readPlaces(o)) == 0 {
			blind = append(blind, o)
			continue
		}
		read = append(read, o)
	}
	if len(blind) > 0 {
		d.card.Blind = fmt.Sprintf("the device does not show the values of %d options again in this job: the tests at the car prove them", len(blind))
	}
	if len(read) == 0 {
		return
	}
	acts, _ := d.w.d.reading(d.w.h, d.at.Stored, read, limitCheck)
	for _, a := range acts {
		d.card.CheckPulses += presses(d.w.h.weigh(&d.m.States[d.m.Start], a.input))
	}
	d.card.Check = d.steps(acts)
}

// byHand lists what is not keyed.
func (d *Device) byHand(card *Card, start, target setting.Snapshot, c Circumstances) {
	for _, o := range d.Profile.Options {
		if o.How == "keyed" {
			continue
		}
		to := -1
		for i, v := range o.Values {
			fits, asked := true, false
			for _, name := range sortedKeys(v.Is) {
				if r, ok := target.Get(setting.Key{Device: d.Name, Setting: name}); ok && r.Status == setting.StatusKnown {
					asked = true
					fits = fits && r.Value == setting.Value(v.Is[name])
				}
			}
			if asked && fits && to < 0 {
				to = i
			}
		}
		if to < 0 {
			continue
		}
		h := ByHand{Option: o.ID, Title: o.Title, How: o.How, To: o.Values[to].Name, PowerUp: o.PowerUp}
		for _, name := range sortedKeys(o.Values[to].Is) {
			k := setting.Key{Device: d.Name, Setting: name}
			r, _ := start.Get(k)
			h.Settings = append(h.Settings, Change{Key: k, From: r.Value, To: setting.Value(o.Values[to].Is[name])})
		}
		d.file(card, h, c)
	}
}

// teaching is how what is learned is taught: engine speed from an engine that the driver started, all else as the
// maker's guide says (common practice, no source).
func teaching(h ByHand, c Circumstances) string {
	speed := slices.ContainsFunc(h.Settings, func(x Change) bool { return x.Key.Setting == "engine-speed.learn" })
	switch {
	case !speed:
		return "network awake, other keys and fobs out of the vehicle, doors shut; as the maker's guide says"
	case c.StartButton:
		return "start the vehicle with its own start button and fob, let it reach a warm idle with consumers off, and teach it before the first remote start"
	}
	return "start the engine by the driver's own key, let it reach a warm idle with consumers off, and teach it before the first remote start"
}

func (d *Device) file(card *Card, h ByHand, c Circumstances) {
	same := !slices.ContainsFunc(h.Settings, func(x Change) bool { return x.From != x.To })
	verb := "set to"
	if same {
		verb = "leave at"
	}
	h.Text = fmt.Sprintf("%s: %s %s", h.Title, verb, h.To)
	switch h.How {
	case "learned":
		h.Text = fmt.Sprintf("%s: %s; %s", h.Title, h.To, teaching(h, c))
		if h.To != "none" {
			card.Learned = append(card.Learned, h)
		}
	case "cable":
		card.Cable = append(card.Cable, h)
	default:
		if c.Straps[h.Option] == h.To {
			h.Text = fmt.Sprintf("%s: is at %s", h.Title, h.To)
		}
		if h.PowerUp {
			h.Text += "; read at power-up only: set it with the supply fuse out"
		}
		card.Straps = append(card.Straps, h)
	}
}
