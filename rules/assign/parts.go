package assign

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
	"strings"
)

// fuses are the ratings of blade fuses up to 40 A, ISO 8820-3 (list from memory for 4 A).
var fuses = []float64{1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40}

// coilFuse protects the conductors of coils only (common practice, no source).
const coilFuse = 1.0

// motorFuse is for a reversal lock system whose current was not measured (common practice, no source).
const motorFuse = 20.0

// fuseFor is the smallest fuse that carries amps at 80 % of its rating (common practice, no source).
func fuseFor(amps float64) float64 {
	for _, f := range fuses {
		if amps <= longShare*f {
			return f
		}
	}
	return fuses[len(fuses)-1]
}

// parts lists relays and diodes: first those of functions, then those of outputs of fixed use.
func (plan *Plan) parts() {
	c := &plan.choice
	m := c.m
	for i, fi := range m.items {
		set := c.placing.Tools[i]
		if set == 0 {
			continue
		}
		b := builder{plan: plan, f: &m.p.Functions[fi]}
		common := m.commonSeries(i)
		for k := range m.p.Outputs {
			if set>>k&1 == 0 {
				continue
			}
			h := &m.alone[i][k]
			if bits.OnesCount64(set) > 1 {
				h = &m.more[i][k]
			}
			b.branch(&m.p.Outputs[k], h, common)
		}
	}
	for i := range m.p.Ties {
		f, o := m.p.Ties[i].function(), m.p.Ties[i].output()
		if reason := m.ties.of[i].reason; reason != "" {
			plan.Notes = append(plan.Notes, fmt.Sprintf("%s needs a relay that it cannot drive or that is not at hand (%s): leave it unjoined, or find a relay that fits", strings.TrimPrefix(o.driver(), "controller "), reason))
			continue
		}
		b := builder{plan: plan, f: &f}
		b.branch(&o, &m.ties.of[i], nil)
	}
}

// builder adds the parts of one function, from the lines back to the outputs.
type builder struct {
	plan *Plan
	f    *Function
	far  map[string]string // line -> what stands towards the outputs: the line itself or a contact
}

// branch adds what stands between one output and the lines.
func (b *builder) branch(o *Output, h *hardware, common []string) {
	if b.far == nil {
		b.far = map[string]string{}
		for _, line := range b.f.Lines {
			b.far[line] = line
			for _, condition := range common {
				b.far[line] = b.permission(condition, line, b.far[line])
			}
		}
	}
	driver, share := o.driver(), 0.0
	if h.relay != nil {
		share = h.relay.Load(b.plan.problem.Cold) * float64(h.coils())
		if h.pilot {
			driver = b.pilot(o, h.relay, share)
		}
	}
	for _, j := range h.joins {
		far := b.far[j.line]
		for _, condition := range h.series {
			if !slices.Contains(common, condition) {
				far = b.permission(condition, j.line, far)
			}
		}
		switch {
		case j.relayed:
			b.relay(o, h, j.line, far, driver, share)
		case j.diode != "":
			b.diode(o, j, far)
		default:
			b.join(far, driver)
		}
	}
}

// coils counts the coils that the output itself drives.
func (h *hardware) coils() int {
	if h.pilot {
		return 1
	}
	n := 0
	for _, j := range h.joins {
		if j.relayed {
			n++
		}
	}
	return n
}

// add numbers a part and keeps it; relays are K, diodes D.
func (b *builder) add(p Part) *Part {
	letter, n := "K", 1
	if p.Kind == "diode" {
		letter = "D"
	}
	for _, q := range b.plan.Parts {
		if q.Kind == p.Kind {
			n++
		}
	}
	p.ID, p.Function = fmt.Sprint(letter, n), b.f.Name
	b.plan.Parts = append(b.plan.Parts, p)
	return &b.plan.Parts[len(b.plan.Parts)-1]
}

// join notes at the open end of a contact in series what is joined there without a part between.
func (b *builder) join(far, end string) {
	for i := range b.plan.Parts {
		p := &b.plan.Parts[i]
		if far != p.ID+" terminal 30" {
			continue
		}
		for k := range p.Terminals {
			if t := &p.Terminals[k]; t.Mark == "30" && t.To == "" {
				t.To = end
			} else if t.Mark == "30" {
				t.To += " and " + end
			}
		}
	}
}

func (b *builder) relay(o *Output, h *hardware, line, far, driver string, share float64) {
	r := recipeFor("line", o.Level, b.f.Active)
	p := b.newRelay(r, h.relay)
	p.Output, p.Line = o.Name, line
	p.Coil = b.coil(h.relay, o.Milliamps, share)
	if h.pilot {
		p.Coil.Rating, p.Coil.Share = 0, 0
	}
	p.Contact = Contact{Amps: b.f.Amps, Rating: h.relay.Make}
	if onBreak(b.f.Active) {
		p.Contact = Contact{Amps: b.f.Amps, Rating: h.relay.Break, Break: true}
	}
	p.Suppression, p.Notes = suppress(r), slices.Clone(r.Notes)
	if r.ReleaseMatters {
		p.Notes = append(p.Notes, "a plain diode would let go too late; the zener's voltage stays within what the output may see")
	}
	for i, m := range r.Marks {
		p.Terminals = append(p.Terminals, b.end(m, r.Ends[i], line, far, driver))
	}
	b.join(far, b.add(p).ID+" terminal "+towardsLine(r))
}

// towardsLine is the mark of the terminal that goes to the line.
func towardsLine(r *Recipe) string {
	for i, end := range r.Ends {
		if slices.Contains([]string{"line", "motor-side", "starter-side", "second-wire", "vehicle-side"}, end) {
			return r.Marks[i]
		}
	}
	return ""
}

func (b *builder) newRelay(r *Recipe, t *Relay) Part {
	return Part{Kind: "relay", Recipe: r.ID, Title: r.Title, Type: t.Title}
}

func (b *builder) coil(t *Relay, rating int, share float64) Coil {
	return Coil{Ohms: t.Ohms, Milliamps: int(math.Round(t.Load(b.plan.problem.Cold))), Rating: rating, Share: int(math.Round(share))}
}

// suppress says what lies across the coil. Release times: about 3 ms bare, 10 to 15 ms with a plain
// diode (common practice, no source).
func suppress(r *Recipe) Suppression {
	if r.ReleaseMatters {
		return Suppression{Kind: "diode-with-zener", Band: "86", ReleaseMS: [2]int{3, 5}}
	}
	return Suppression{Kind: "diode", Band: "86", ReleaseMS: [2]int{10, 15}}
}

func (b *builder) pilot(o *Output, t *Relay, share float64) string {
	r := recipeFor("pilot", o.Level, "")
	p := b.newRelay(r, t)
	p.Output = o.Name
	p.Coil = b.coil(t, o.Milliamps, share)
	p.Contact = Contact{Rating: t.Make}
	p.Suppression = suppress(r)
	for i, m := range r.Marks {
		p.Terminals = append(p.Terminals, b.end(m, r.Ends[i], "", "the coils of the relays after it", "controller output "+o.Name))
	}
	return b.add(p).ID + " terminal 87"
}

// permission adds a contact in series and gives its end towards the outputs.
func (b *builder) permission(condition, line, far string) string {
	use := "permission"
	if condition == "engine-off" {
		use = "permission-off"
	}
	t := b.plan.problem.permissionRelay()
	r := recipeFor(use, "", "")
	p := b.newRelay(r, t)
	p.Line = line
	p.Coil = b.coil(t, 0, 0)
	p.Contact = Contact{Amps: b.f.Amps, Rating: t.Make}
	if use == "permission-off" {
		p.Contact = Contact{Amps: b.f.Amps, Rating: t.Break, Break: true}
	}
	p.Suppression = suppress(r)
	p.Notes = []string{fmt.Sprintf("the interlock's own line has to carry the coil, %d mA: measure first", p.Coil.Milliamps)}
	for i, m := range r.Marks {
		end := b.end(m, r.Ends[i], line, far, "")
		if r.Ends[i] == "condition" {
			end.To = conditionLine(condition)
		}
		p.Terminals = append(p.Terminals, end)
	}
	return b.add(p).ID + " terminal 30"
}

func conditionLine(condition string) string {
	if condition == "engine-off" || condition == "running" {
		return "a held conductor (live with the ignition on), fused"
	}
	return "+ through the line that is live with: " + plain(condition)
}

func (p *Problem) permissionRelay() *Relay {
	stock := p.Relays
	if stock == nil {
		stock = fitted().relays
	}
	for i := range stock {
		if stock[i].Volts == p.volts() {
			return &stock[i]
		}
	}
	return &stock[0]
}

func (b *builder) diode(o *Output, j join, far string) {
	r := recipeFor(j.diode, "", b.f.Active)
	p := Part{Kind: "diode", Recipe: r.ID, Title: r.Title, Type: "rectifier, 1 A", Output: o.Name, Line: j.line}
	for i, m := range r.Marks {
		p.Terminals = append(p.Terminals, b.end(m, r.Ends[i], j.line, far, "controller output "+o.Name))
	}
	towards := "the output"
	if b.f.Active == "battery" {
		towards = "the line"
	}
	p.Notes = []string{"the band looks to " + towards}
	if b.f.Active == "ground" {
		p.Notes = append(p.Notes, "a silicon diode and the output leave about 1.0 V on the line: if its input wants less than 0.8 V, a Schottky diode or a relay")
	}
	b.join(far, b.add(p).ID+" "+towardsLine(r))
}

// end names the far end of one terminal.
func (b *builder) end(mark, word, line, far, driver string) Terminal {
	t := Terminal{Mark: mark}
	switch word {
	case "output":
		t.To = driver
	case "line", "coils":
		t.To = far
	case "second-wire":
		t.To = far
		t.Note = "one conductor of the vehicle's switch"
	case "first-wire":
		t.To = "the other conductor of the switch at " + line
	case "supply-coil":
		t.To, t.Fuse = "battery +", coilFuse
	case "supply-line":
		t.To, t.Fuse = "battery +", b.f.Fuse
		if t.Fuse == 0 {
			t.Fuse = fuseFor(b.f.Amps)
		}
	case "supply-motor":
		t.To, t.Fuse = "battery +", motorFuse
		if b.f.Fuse+b.f.Amps > 0 {
			t.Fuse = max(b.f.Fuse, fuseFor(b.f.Amps))
		}
	case "ground":
		t.To = "ground"
	case "ground-resistor":
		t.To, t.Note = "ground", "through the resistor as measured"
	case "motor-side":
		t.To = far + " (cut), motor side"
	case "switch-side":
		t.To = line + " (cut), switch side"
	case "starter-side":
		t.To = far + " (cut), starter side"
	case "key-side":
		t.To = line + " (cut), key side"
	case "key-side-ignition":
		t.To = "a held conductor on the key side, fused"
	case "feed":
		t.To, t.Fuse = driver, coilFuse
	case "loop":
		t.To = "the loop round the spare key"
	case "vehicle-side":
		t.To = far + " (cut), body unit's side"
	case "pedal-side":
		t.To = line + " (cut), pedal's side"
	case "condition-return":
		t.To = "ground"
	}
	return t
}

// Ends says both ends of a part in a few words, for lists.
func (p *Part) Ends() string {
	var out []string
	for _, t := range p.Terminals {
		out = append(out, t.Mark+" "+t.To)
	}
	return strings.Join(out, ", ")
}
