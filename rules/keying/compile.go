package keying

import (
	"cmp"
	"fmt"
	"slices"

	"asleft/config/profile"
	"asleft/config/setting"
)

// Compile makes the machine of a device from its profile. A device without keyed options gets
// a machine without options. The error says what in the profile contradicts itself.
func Compile(name string, p *profile.Profile) (*Device, error) {
	m := &Machine{direct: true}
	d := &Device{Name: name, Profile: p, Machine: m}
	if err := m.readOptions(p); err != nil {
		return nil, fmt.Errorf("%s: %w", p.ID, err)
	}
	if p.Keying == nil {
		if len(m.Options) > 0 {
			return nil, fmt.Errorf("%s: %d options are keyed, but the profile has no [keying] table", p.ID, len(m.Options))
		}
		m.States = []State{{Name: "outside", Words: "outside programming", Option: -1}}
		return d, nil
	}
	m.timing, m.direct = timing(p.Keying.Answer), p.Keying.Store == "press" || p.Keying.Store == ""
	var err error
	if len(p.Keying.States) > 0 {
		err = m.writtenOut(p.Keying)
	} else {
		err = newGrid(m, p.Keying).build()
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p.ID, err)
	}
	return d, nil
}

// flaw is a contradiction in a profile with the place where it stands.
type flaw struct {
	path []string
	err  error
}

func (f *flaw) Error() string { return f.err.Error() }

func flawAt(err error, path ...string) error {
	if err == nil {
		return nil
	}
	return &flaw{path, err}
}

// timing fills in what the papers leave out: common practice, no source.
func timing(a profile.Answer) profile.Answer {
	a.On, a.Off = cmp.Or(a.On, 0.3), cmp.Or(a.Off, 0.3)
	a.Gap, a.Long = cmp.Or(a.Gap, 0.6), cmp.Or(a.Long, 1.5)
	return a
}

func (m *Machine) readOptions(p *profile.Profile) error {
	var keyed []profile.Option
	for _, o := range p.Options {
		if o.How == "keyed" {
			keyed = append(keyed, o)
		}
	}
	slices.SortStableFunc(keyed, func(a, b profile.Option) int {
		return cmp.Or(cmp.Compare(a.Bank, b.Bank), cmp.Compare(a.Item, b.Item))
	})
	place := map[string]int{}
	for i, o := range keyed {
		place[o.ID] = i
		if i > 0 && keyed[i-1].Bank == o.Bank && keyed[i-1].Item == o.Item {
			return flawAt(fmt.Errorf("options %s and %s stand at the same place, bank %d item %d", keyed[i-1].ID, o.ID, o.Bank, o.Item), "option", o.ID, "item")
		}
	}
	for _, o := range keyed {
		read, err := readOption(o, keyed, place)
		if err != nil {
			return flawAt(err, "option", o.ID)
		}
		m.Options = append(m.Options, read)
	}
	return nil
}

func readOption(o profile.Option, keyed []profile.Option, place map[string]int) (Option, error) {
	out := Option{ID: o.ID, Title: o.Title, Bank: o.Bank, Item: o.Item, Factory: -1}
	for i, v := range o.Values {
		value := Value{Name: v.Name, Is: map[string]setting.Value{}, Silences: v.Silences}
		for name, is := range v.Is {
			value.Is[name] = setting.Value(is)
		}
		for _, id := range sortedKeys(v.Moves) {
			other, ok := place[id]
			at := -1
			if ok {
				at = slices.IndexFunc(keyed[other].Values, func(w profile.OptionValue) bool { return w.Name == v.Moves[id] })
			}
			if at < 0 {
				return out, fmt.Errorf("option %s moves %s to %s, which is not a value of a keyed option", o.ID, id, v.Moves[id])
			}
			value.Moves = append(value.Moves, Moved{Option: other, Value: at})
		}
		if v.Name == o.Factory {
			out.Factory = i
		}
		out.Values = append(out.Values, value)
	}
	if out.Factory < 0 {
		return out, fmt.Errorf("option %s has no value %q, which is its factory value", o.ID, o.Factory)
	}
	return out, nil
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// writtenOut takes the states and transitions as the profile writes them.
func (m *Machine) writtenOut(k *profile.Keying) error {
	index, option := map[string]int{}, map[string]int{"": -1}
	for i, s := range k.States {
		index[s.Name] = i
	}
	for i, o := range m.Options {
		option[o.ID] = i
	}
	begin, ok := index[k.Begin]
	if !ok {
		return flawAt(fmt.Errorf("[keying] begins in %q, which is not a state", k.Begin), "keying", "begin")
	}
	m.Start = begin
	for _, s := range k.States {
		at, ok := option[s.Option]
		if !ok {
			return flawAt(fmt.Errorf("state %s: %q is not a keyed option", s.Name, s.Option), "keying", "state", s.Name, "option")
		}
		state := State{Name: s.Name, Words: s.Words, Option: at, Limit: s.Limit, Inside: s.Name != k.Begin && !s.Outside}
		for _, move := range s.Moves {
			read, err := m.readMove(move, at, index, option, k)
			if err != nil {
				return flawAt(fmt.Errorf("state %s, on %s: %w", s.Name, move.On, err), "keying", "state", s.Name, "on", move.On)
			}
			state.Moves = append(state.Moves, read)
		}
		m.States = append(m.States, state)
	}
	m.First = m.Start
	m.markExits()
	return nil
}

// markExits marks the ways out that a card takes: by an input of hands where there is one, else by
// silence, never by a loss of supply unless nothing else leads out.
func (m *Machine) markExits() {
	for _, by := range []func(on string) bool{
		func(on string) bool { return on != "silence" && on != "power-off" },
		func(on string) bool { return on == "silence" },
		func(string) bool { return true },
	} {
		marked := false
		for i := range m.States {
			for j := range m.States[i].Moves {
				move := &m.States[i].Moves[j]
				move.Leaves = m.States[i].Inside && move.To == m.Start && move.Does != Drop && by(move.On)
				marked = marked || move.Leaves
			}
		}
		if marked {
			return
		}
	}
}
