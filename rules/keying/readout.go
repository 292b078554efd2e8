package keying

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"asleft/config/setting"
	"asleft/rules/internal/search"
)

// ReadOut is the shortest session that shows what a device holds. Where the device shows a value as
// soon as its option is chosen nothing is changed; where it shows it only at a change, the value is
// stepped all the way round and ends as it was.
type ReadOut struct {
	Device, Profile, Label string
	Invented               bool
	Preparation, Cautions  []string
	Entry                  []Step
	Asks                   []Ask
	Exit                   []Step
	Presses                int
	Seconds                float64
	Proved                 bool
	Hidden                 []string // options whose value the device does not show in this job
	device                 *Device
}

// Ask is one option with the steps that show its value. The answer asked for is that of step Shown.
type Ask struct {
	Option, Title string
	Bank, Item    int
	Steps         []Step
	Shown         int      // index of the step whose answer is asked for
	Counted       string   // what of that answer stands for the value: "red LED", "horn"
	Values        []string // names of the values, in the order of the device
	round         bool     // the shown value is the one after the value held
}

// PlanReadOut makes the read-out of all keyed options that the device can show in this job.
func PlanReadOut(d *Device, c Circumstances) ReadOut {
	r := ReadOut{Device: d.Name, Profile: d.Profile.ID, Label: d.Profile.Label, Invented: d.Profile.Invented, device: d, Proved: true}
	m := d.Machine
	unknown := slices.Repeat([]int8{-1}, len(m.Options))
	w := &work{d: d, h: hands{c}, begin: m.At(unknown), start: unknown, target: unknown, asking: true}
	var read, round []int
	for o := range m.Options {
		switch {
		case len(w.readPlaces(o)) > 0:
			read = append(read, o)
		case len(w.roundPlaces(o)) > 0:
			read, round = append(read, o), append(round, o)
		default:
			r.Hidden = append(r.Hidden, m.Options[o].ID)
		}
	}
	acts, proved := d.reading(w.h, unknown, read, limitCard)
	if acts == nil {
		for _, o := range read {
			r.Hidden = append(r.Hidden, m.Options[o].ID)
		}
		return r
	}
	r.Proved = proved
	card := Card{}
	for _, by := range []string{"led", "horn", "siren", "lamps"} {
		if slices.Contains(c.Wired, by) {
			card.Wired = append(card.Wired, by)
		}
	}
	r.draw(&drawing{w: w, m: m, at: w.begin.Clone(), card: &card}, acts, round)
	r.Preparation, r.Cautions = d.preparation(c, true)
	if len(round) > 0 {
		r.Cautions = append(r.Cautions, fmt.Sprintf("The device shows %d of its values only at a change: each is stepped all the way round and ends as it was. Make every press of a round.", len(round)))
	}
	return r
}

func (r *ReadOut) draw(d *drawing, acts []act, round []int) {
	for i := 0; i < len(acts); {
		n := i
		for n < len(acts) && acts[n].option == acts[i].option {
			n++
		}
		o := acts[i].option
		switch {
		case o >= 0:
			r.Asks = append(r.Asks, d.ask(o, acts[i:n], slices.Contains(round, o)))
		case len(r.Asks) == 0:
			r.Entry = d.entry(acts[i:n])
		default:
			r.Exit = d.steps(acts[i:n])
		}
		i = n
	}
	rows := [][]Step{r.Entry, r.Exit}
	for _, a := range r.Asks {
		rows = append(rows, a.Steps)
	}
	for _, row := range rows {
		for _, s := range row {
			r.Presses += s.Presses
			r.Seconds += s.Seconds
		}
	}
}

func (d *drawing) ask(o int, acts []act, round bool) Ask {
	option := d.m.Options[o]
	a := Ask{Option: option.ID, Title: option.Title, Bank: option.Bank, Item: option.Item, round: round}
	for _, v := range option.Values {
		a.Values = append(a.Values, v.Name)
	}
	if !round {
		a.Steps = d.steps(acts)
		a.Shown = len(a.Steps) - 1
		a.Counted = a.Steps[a.Shown].Expect.Open
		return a
	}
	// The first press of the round is asked for alone; the others bring the value back.
	n := len(acts) - len(option.Values)
	a.Steps = d.steps(acts[:n])
	a.Shown = len(a.Steps)
	a.Steps = append(a.Steps, d.steps(acts[n:n+1])...)
	a.Counted = a.Steps[a.Shown].Expect.Open
	a.Steps = append(a.Steps, d.steps(acts[n+1:])...)
	return a
}

// roundPlaces finds where a value can be stepped all the way round, one press showing each, with no side effect.
func (w *work) roundPlaces(option int) []place {
	m := w.d.Machine
	for x := range m.Options {
		if x != option && m.touches(option, x) {
			return nil
		}
	}
	var out []place
	for s := range m.States {
		state := &m.States[s]
		for _, move := range state.Moves {
			if !state.Inside || move.Does != Next || move.Option != option || move.To != s || !w.sees(move.Shows) {
				continue
			}
			if ok, _ := w.h.able(move.On); ok {
				n := len(m.Options[option].Values)
				out = append(out, place{at: s, end: s, row: slices.Repeat([]string{move.On}, n), cost: w.h.weigh(state, move.On) * n})
			}
		}
	}
	return out
}

// reading finds the cheapest session that shows the values of options and leaves all as they are;
// proved is false where the search was cut short. No acts: there is no such session.
func (d *Device) reading(h hands, values []int8, options []int, limit int) (acts []act, proved bool) {
	m := d.Machine
	w := &work{d: d, h: h, begin: m.At(values), start: values, asking: true}
	if len(options) == 0 || d.Profile.Keying == nil {
		return nil, false
	}
	if m.grid == nil {
		return w.readWalk(options, limit)
	}
	for _, steps := range [][]string{d.Profile.Keying.Enter.Steps, d.Profile.Keying.Leave.Steps} {
		for _, in := range steps {
			if ok, _ := h.able(in); !ok {
				return nil, false
			}
		}
	}
	for _, o := range options {
		t := task{option: o, places: w.readPlaces(o)}
		if len(t.places) == 0 {
			t.places = w.roundPlaces(o)
		}
		w.tasks = append(w.tasks, t)
	}
	s := newStops(m, h, w.tasks, m.First)
	s.limit = limit
	r := s.best()
	if len(r.visits) < len(w.tasks) {
		return nil, false
	}
	acts = w.sequence(d.Profile.Keying.Enter.Steps)
	at := s.start
	for _, v := range r.visits {
		p := w.tasks[v.task].places[v.place]
		for _, in := range append(s.from(at).row(p.at), p.row...) {
			acts = append(acts, act{input: in, option: w.tasks[v.task].option})
		}
		at = p.end
	}
	return append(acts, w.sequence(d.Profile.Keying.Leave.Steps)...), r.proved
}

// readWalk is reading for a machine that is written out: a search over states and options seen.
func (w *work) readWalk(options []int, limit int) ([]act, bool) {
	m := w.d.Machine
	want := many{}
	for _, o := range options {
		want = want.with(o)
	}
	least := impossible
	for _, o := range options {
		for _, p := range w.readPlaces(o) {
			least = min(least, w.h.weigh(&m.States[p.at], p.row[0]))
		}
	}
	path, outcome := search.Best(search.Graph[stop, act]{
		Limit: limit,
		Goal:  func(at stop) bool { return int(at.at) == m.Start && at.done == want },
		Bound: func(at stop) int { return (want.size() - at.done.size()) * least },
		Edges: func(at stop, yield func(act, stop, int)) {
			state := &m.States[at.at]
			for _, move := range state.Moves {
				ok, _ := w.h.able(move.On)
				if !ok || move.Does != None && move.Does != Store || state.Inside && !m.States[move.To].Inside && !move.Leaves {
					continue
				}
				to, a := stop{at: int32(move.To), done: at.done}, act{input: move.On, option: -1, after: move.To}
				if o := move.Option; o >= 0 && want.has(o) && w.sees(move.Shows) {
					to.done, a.option = to.done.with(o), o
				}
				yield(a, to, w.h.weigh(state, move.On))
			}
		},
	}, stop{at: int32(m.Start)})
	if outcome != search.Found {
		return nil, false
	}
	var acts []act
	for _, step := range path.Steps {
		acts = append(acts, step.By)
	}
	w.assign(acts)
	return acts, true
}

// assign gives the inputs on the way to an option to its group; the first one that leads inside is still
// the entry.
func (w *work) assign(acts []act) {
	next := -1
	for i := len(acts) - 1; i >= 0; i-- {
		if acts[i].option >= 0 {
			next = acts[i].option
		} else if w.d.Machine.States[acts[i].after].Inside {
			acts[i].option = next
		}
	}
	if w.d.Machine.States[w.begin.State].Inside {
		return
	}
	for i := range acts {
		acts[i].option = -1
		if w.d.Machine.States[acts[i].after].Inside {
			break
		}
	}
}

// Unseen is the answer of a person who did not see a value; it is never assumed.
const Unseen = "unseen"

// Snapshot turns the answers to all asks into readings. An answer is the number of flashes or sounds that
// stood for the value, or "unseen". The error names the ask whose answer cannot be.
func (r ReadOut) Snapshot(answers []string) (setting.Snapshot, error) {
	if len(answers) != len(r.Asks) {
		return setting.Snapshot{}, fmt.Errorf("%d answers to %d questions", len(answers), len(r.Asks))
	}
	values := slices.Repeat([]int8{-1}, len(r.device.Machine.Options))
	for i, a := range r.Asks {
		text := strings.TrimSpace(answers[i])
		if text == Unseen {
			continue
		}
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > len(a.Values) {
			return setting.Snapshot{}, fmt.Errorf("%s: found %q, expected a number from 1 to %d, or %q", a.Option, text, len(a.Values), Unseen)
		}
		if a.round {
			n = (n-2+len(a.Values))%len(a.Values) + 1
		}
		o := slices.IndexFunc(r.device.Machine.Options, func(o Option) bool { return o.ID == a.Option })
		values[o] = int8(n - 1)
	}
	return r.device.Snapshot(values, setting.OriginRead)
}
