package keying

import (
	"cmp"
	"fmt"
	"slices"

	"asleft/config/setting"
)

// Plan makes the card that brings a device from what it holds to what is required. Settings that the
// start snapshot does not hold are not known. The error is a *CannotHold when the device cannot hold
// the start; what cannot be keyed is no error but stands in the card, with the way it is entered instead.
func Plan(d *Device, start, target setting.Snapshot, c Circumstances) (Card, error) {
	values, err := d.Values(start)
	if err != nil {
		return Card{}, err
	}
	needs, remaining := d.Needs(target)
	card := d.plan(values, needs, c)
	card.Remaining = append(remaining, card.Remaining...)
	slices.SortStableFunc(card.Remaining, func(a, b Remaining) int { return setting.CompareKeys(a.Key, b.Key) })
	d.byHand(&card, start, target, c)
	return card, nil
}

// plan makes the card for values and needs.
func (d *Device) plan(values []int8, needs []Need, c Circumstances) Card {
	card := Card{Device: d.Name, Profile: d.Profile.ID, Label: d.Profile.Label, Invented: d.Profile.Invented, Proved: true}
	for _, by := range []string{"led", "horn", "siren", "lamps"} {
		if slices.Contains(c.Wired, by) {
			card.Wired = append(card.Wired, by)
		}
	}
	card.Start = d.held(values)
	h := hands{c}
	w := newWork(d, h, values, needs)
	script := w.script(&card)
	w.draw(&card, script)
	card.Preparation, card.Cautions = d.preparation(c, len(card.Groups) > 0)
	return card
}

func (d *Device) held(values []int8) []Held {
	out := make([]Held, len(values))
	for i, v := range values {
		out[i] = Held{Option: d.Machine.Options[i].ID, Value: int(v)}
		if v >= 0 {
			out[i].Name = d.Machine.Options[i].Values[v].Name
		}
	}
	return out
}

// script finds the inputs of the card, in order. What cannot be done in this job goes to the card's remaining settings.
func (w *work) script(card *Card) []act {
	if missing := w.missing(); len(missing) > 0 {
		w.giveUp(card, missing)
	}
	if len(w.tasks) == 0 {
		return w.leaving(card)
	}
	if why := w.shut(); why != "" {
		w.giveUp(card, w.everything(why))
		return nil
	}
	if w.d.Machine.grid == nil || w.cyclic {
		return w.walked(card)
	}
	if w.tangled {
		if acts, r := w.walk(limitTangled); r.proved {
			return w.walkedRoute(card, acts, r)
		}
	}
	return w.stopped(card)
}

// stopped makes the script over the stops of the menus.
func (w *work) stopped(card *Card) []act {
	first, entry := w.d.Machine.First, w.d.Profile.Keying.Enter.Steps
	if w.d.Machine.States[w.begin.State].Inside {
		first, entry = w.begin.State, nil
	}
	s := newStops(w.d.Machine, w.h, w.tasks, first)
	r := s.best()
	if len(r.visits) < len(w.tasks) {
		w.giveUp(card, w.everything("no way leads to the option in this job"))
		return nil
	}
	script := w.sequence(entry)
	border := w.cost(script) + w.cost(w.sequence(w.d.Profile.Keying.Leave.Steps))
	at := s.start
	for _, v := range r.visits {
		p := w.tasks[v.task].places[v.place]
		for _, in := range s.from(at).row(p.at) {
			script = append(script, act{input: in, option: w.tasks[v.task].option})
		}
		if p.most > 0 {
			script = append(script, act{input: p.row[0], option: w.tasks[v.task].option, most: p.most, effect: true})
		} else {
			for _, in := range p.row {
				script = append(script, act{input: in, option: w.tasks[v.task].option, effect: true})
			}
		}
		at = p.end
	}
	r.proved = r.proved && !w.tangled
	card.Proved, card.Presses, card.HandSeconds = r.proved, presses(r.cost+border), seconds(r.cost+border)
	card.AtLeast, card.InOrder = presses(r.least+border), presses(s.inOrder()+border)
	return append(script, w.sequence(w.d.Profile.Keying.Leave.Steps)...)
}

// leaving is the script when nothing is left to do: none outside programming, the way out within.
func (w *work) leaving(card *Card) []act {
	switch {
	case !w.d.Machine.States[w.begin.State].Inside:
		return nil
	case w.d.Machine.grid == nil:
		return w.walked(card)
	}
	return w.sequence(w.d.Profile.Keying.Leave.Steps)
}

func (w *work) sequence(steps []string) []act {
	var out []act
	for _, in := range steps {
		out = append(out, act{input: in, option: -1})
	}
	return out
}

// cost is the weight of a row of inputs outside the menus; silence there is the time-out.
func (w *work) cost(script []act) weight {
	sum := 0
	for _, a := range script {
		sum += w.h.weigh(&State{Limit: cmp.Or(w.d.Profile.Keying.TimeOut.Seconds, silentExit)}, a.input)
	}
	return sum
}

// walked makes the script of a machine that is written out.
func (w *work) walked(card *Card) []act {
	acts, r := w.walk(limitWalk)
	if r.proved {
		return w.walkedRoute(card, acts, r)
	}
	const why = "no safe row of presses leads to it in this job"
	alone := map[int]string{}
	for _, t := range w.tasks {
		one := newWork(w.d, w.h, w.start, []Need{{Option: t.option, Accept: []int{t.to}}})
		one.begin = w.begin
		if _, r := one.walk(limitWalk); !r.proved {
			alone[t.option] = why
		}
	}
	if len(alone) == 0 || len(alone) == len(w.tasks) {
		w.giveUp(card, w.everything(why))
		return nil
	}
	w.giveUp(card, alone)
	return w.script(card)
}

func (w *work) walkedRoute(card *Card, acts []act, r route) []act {
	card.Presses, card.AtLeast, card.Proved = presses(r.cost), presses(r.least), true
	card.HandSeconds = seconds(r.cost)
	card.InOrder = presses(w.walkInOrder())
	w.assign(acts)
	return acts
}

// walkInOrder is the cost of keying the tasks one after the other in the order of the menus.
func (w *work) walkInOrder() weight {
	one := *w
	one.tasks = slices.Clone(w.tasks)
	order := make([]int, len(one.tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := one.tasks[a], one.tasks[b]
		if x.rank != y.rank {
			return x.rank - y.rank
		}
		return x.option - y.option
	})
	for n, i := range order {
		one.tasks[i].rank = n
	}
	_, r := one.walk(limitWalk)
	if !r.proved {
		return 0
	}
	return r.cost
}

// shut tells why the device cannot be entered or left in this job, "" when it can.
func (w *work) shut() string {
	k := w.d.Profile.Keying
	for _, steps := range [][]string{k.Enter.Steps, k.Leave.Steps} {
		for _, in := range steps {
			if ok, why := w.h.able(in); !ok {
				return why
			}
		}
	}
	return ""
}

func (w *work) everything(why string) map[int]string {
	all := map[int]string{}
	for _, t := range w.tasks {
		all[t.option] = why
	}
	return all
}

// giveUp moves tasks that cannot be done to the remaining settings, and with them what depends on them.
func (w *work) giveUp(card *Card, missing map[int]string) {
	for _, o := range sortedOptions(missing) {
		for _, c := range w.d.changes(o, int(w.start[o]), int(w.target[o])) {
			card.Remaining = append(card.Remaining, Remaining{Key: c.Key, Want: c.To, Why: missing[o], How: w.d.instead(missing[o])})
		}
	}
	var needs []Need
	for o, v := range w.target {
		if _, gone := missing[o]; !gone && v >= 0 {
			needs = append(needs, Need{Option: o, Accept: []int{int(v)}})
		}
	}
	again := newWork(w.d, w.h, w.start, needs)
	again.begin = w.begin
	*w = *again
	if more := w.missing(); len(more) > 0 {
		w.giveUp(card, more)
	}
}

func sortedOptions(m map[int]string) []int {
	out := make([]int, 0, len(m))
	for o := range m {
		out = append(out, o)
	}
	slices.Sort(out)
	return out
}

func (d *Device) instead(why string) string {
	if d.Profile.Keying != nil && len(d.Profile.Keying.Reset.Steps) > 0 {
		return fmt.Sprintf("join what is missing (%s), or read the device out first", why)
	}
	return "join what is missing, then make the card again"
}
