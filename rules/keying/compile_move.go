package keying

import (
	"fmt"
	"strings"

	"asleft/config/profile"
)

// readMove reads one transition of a written-out machine. A "number" in its answer is the item
// of the option that stands chosen where it leads, a "value" is that of the option it changes,
// else of the option where it leads.
func (m *Machine) readMove(p profile.KeyingMove, from int, index, option map[string]int, k *profile.Keying) (Move, error) {
	to, ok := index[p.To]
	if !ok {
		return Move{}, fmt.Errorf("%q is not a state", p.To)
	}
	move := Move{On: p.On, To: to, Option: from}
	word, rest, _ := strings.Cut(p.Does, " ")
	if (word == "next" || word == "set") && from < 0 {
		return move, fmt.Errorf("%q needs an option, and none stands chosen", p.Does)
	}
	switch word {
	case "":
	case "next":
		move.Does = Next
	case "set":
		move.Does, move.Value = Set, -1
		for i, v := range m.Options[from].Values {
			if v.Name == rest {
				move.Value = i
			}
		}
		if move.Value < 0 {
			return move, fmt.Errorf("%q is not a value of option %s", rest, m.Options[from].ID)
		}
	case "store":
		move.Does = Store
	case "drop":
		move.Does = Drop
	case "reset":
		move.Does = Reset
	default:
		return move, fmt.Errorf("does %q; it can be next, set VALUE, store, drop or reset", p.Does)
	}
	there := option[k.States[to].Option]
	if move.Does != Next && move.Does != Set {
		move.Option = there
	}
	number := 0
	if there >= 0 {
		number = m.Options[there].Item
	}
	move.Shows = resolve(parseSignals(p.Shows), number, move.Option)
	return move, nil
}

// resolve puts the number of a place into the signals that show it, and leaves out those of a
// value where there is no option.
func resolve(signals []Signal, number, option int) []Signal {
	var out []Signal
	for _, s := range signals {
		switch {
		case s.Of == "number" && number > 0:
			s.Count, s.Of = number, ""
		case s.Of == "number", s.Of == "value" && option < 0:
			continue
		}
		out = append(out, s)
	}
	return out
}
