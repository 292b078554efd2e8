package bench

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"asleft/config/setting"
	"asleft/rules/assign"
)

// size bounds a random install.
type size struct {
	remotes, models, gestures, channels, outputs, functions int
	alike                                                   bool // remotes of one model are wanted for the same things
}

// randomProblem makes an install that could be one: remotes of a few models, gestures of taps,
// double taps, holds and chords, fixed or teachable, outputs and functions of all kinds.
func randomProblem(r *rand.Rand, s size) assign.Problem {
	p := assign.Problem{Controller: "controller", Cold: r.IntN(4) == 0}
	for i := range s.outputs {
		p.Outputs = append(p.Outputs, randomOutput(r, fmt.Sprint(i+1)))
	}
	for c := range s.channels {
		ch := assign.Channel{Number: c + 1}
		switch {
		case c < s.outputs:
			ch.Fires = []string{fmt.Sprint(c + 1)}
		case c == s.outputs:
			ch.Does = "panic"
		case r.IntN(2) == 0:
			ch.Fires = []string{fmt.Sprint(r.IntN(s.outputs) + 1), fmt.Sprint(r.IntN(s.outputs) + 1)}
		default:
			ch.Fires = []string{fmt.Sprint(r.IntN(s.outputs) + 1)}
		}
		p.Channels = append(p.Channels, ch)
	}
	var models [][]assign.Gesture
	for range s.models {
		models = append(models, randomGestures(r, s))
	}
	for i := range s.remotes {
		m := assign.Remote{Name: fmt.Sprint("r", i+1), Gestures: models[r.IntN(len(models))]}
		if r.IntN(5) == 0 {
			m.Without = []string{[]string{"chord", "hold", "double"}[r.IntN(3)]}
		}
		p.Remotes = append(p.Remotes, m)
	}
	kinds := r.Perm(len(everyday))
	for i := range s.functions {
		p.Functions = append(p.Functions, randomFunction(r, fmt.Sprint("f", i+1), everyday[kinds[i%len(kinds)]], &p))
	}
	if s.alike {
		alike(&p)
	}
	return p
}

// alike makes remotes of one model be wanted for the same things, in the hands of the same people:
// a fleet, a family.
func alike(p *assign.Problem) {
	model := map[*assign.Gesture]*assign.Remote{}
	for i := range p.Remotes {
		r := &p.Remotes[i]
		if first := model[&r.Gestures[0]]; first != nil {
			r.Without = first.Without
			for k := range p.Functions {
				f := &p.Functions[k]
				f.On = slices.DeleteFunc(f.On, func(w assign.Wanted) bool { return w.Remote == r.Name })
				if w := wantedOn(f, first.Name); w != nil {
					same := *w
					same.Remote = r.Name
					f.On = append(f.On, same)
				}
			}
		} else {
			model[&r.Gestures[0]] = r
		}
	}
}

var faces = []string{"L", "U", "S", "*", "o"}

func randomGestures(r *rand.Rand, s size) []assign.Gesture {
	shapes := r.Perm(len(faces) * len(faces) * 4)
	var out []assign.Gesture
	for _, shape := range shapes {
		if len(out) == s.gestures {
			break
		}
		a, b, kind := shape%5, shape/5%5, shape/25
		if a > b || a != b && kind == 1 {
			continue
		}
		g := assign.Gesture{ID: fmt.Sprint("g", len(out)+1), Presses: 1, Marks: []string{faces[a]}, Ease: 1 + kind}
		if a != b {
			g.Marks = append(g.Marks, faces[b])
			g.Ease += 3
		}
		g.Buttons = g.Marks
		g.Ease += r.IntN(2)
		switch kind {
		case 1:
			g.Presses = 2
		case 2:
			g.HoldSeconds = 1
		case 3:
			g.HoldSeconds = 2.5
		}
		switch {
		case r.IntN(8) == 0:
			g.Channel, g.Taken = 99, "lock"
		case r.IntN(4) == 0:
			g.Channel = 1 + r.IntN(s.channels)
		default:
			for c := range s.channels {
				if r.IntN(2) == 0 {
					g.Teachable = append(g.Teachable, c+1)
				}
			}
		}
		out = append(out, g)
	}
	return out
}

func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

func randomOutput(r *rand.Rand, name string) assign.Output {
	o := assign.Output{Name: name, Level: pick(r, "ground", "ground", "battery"), Milliamps: pick(r, 150, 200, 250, 500, 1000),
		OpenDrain: r.IntN(6) == 0, Fixed: map[string]setting.Value{"count": "1"}}
	var behaviours []map[string]setting.Value
	for _, b := range []setting.Value{"pulse", "latched", "timed", "follows-button"} {
		if r.IntN(3) > 0 {
			behaviours = append(behaviours, map[string]setting.Value{"behaviour": b})
		}
	}
	if len(behaviours) == 0 {
		behaviours = []map[string]setting.Value{{"behaviour": "pulse"}}
	}
	o.Options = append(o.Options, assign.OutputOption{ID: "b" + name, Factory: r.IntN(len(behaviours)), Values: behaviours},
		assign.OutputOption{ID: "s" + name, Values: []map[string]setting.Value{{"seconds": "0.8"}, {"seconds": pick(r, setting.Value("0.5"), "2")}}},
		assign.OutputOption{ID: "w" + name, Values: []map[string]setting.Value{{"when": "none"}, {"when": pick(r, setting.Value("park"), "engine-off", "disarmed+park")}}},
		assign.OutputOption{ID: "d" + name, Factory: r.IntN(2), Values: []map[string]setting.Value{
			{"disarm-first": "off", "unlock-first": "off"}, {"disarm-first": "on", "unlock-first": pick(r, setting.Value("on"), "off")}}})
	return o
}

var dense = 6 // of ten

var odd = 1 // every odd-th wish has a use of its own

// everyday is what one vehicle may have.
var everyday = []string{"boot", "tailgate", "side-door", "side-door", "ramp", "rear-glass", "roof", "window", "fuel-door", "heated-seat",
	"heated-seat", "heated-glass", "cabin-heater", "gate", "gate", "other"}

func randomFunction(r *rand.Rand, name, does string, p *assign.Problem) assign.Function {
	f := assign.Function{Name: name, Words: name, Lines: []string{"c1-" + name}, Active: pick(r, "ground", "ground", "battery", "ladder", "reversal"),
		Amps: pick(r, 0.01, 0.1, 0.18, 2, 6), Does: does,
		Direction: pick(r, "open", "open", "toggle"), Keeps: "pulse", Count: 1}
	if r.IntN(10) == 0 {
		f.Lines = append(f.Lines, "c2-"+name)
	}
	if r.IntN(3) > 0 {
		f.MinSeconds, f.MaxSeconds = 0.3, pick(r, 0.6, 1.0, 3)
	}
	switch f.Does {
	case "side-door", "tailgate":
		f.Moves, f.OutOfSight, f.SelfReverses = r.IntN(2) == 0, r.IntN(2) == 0, true
		f.When = pick(r, []string{"park"}, []string{"park", "disarmed"}, nil)
		f.Joined = pick(r, []string{"park"}, nil)
	case "boot":
		f.When = pick(r, []string{"engine-off"}, nil)
	case "heated-seat", "heated-glass", "cabin-heater":
		f.Keeps, f.MaxSeconds, f.MinSeconds = "maintained", 0, 0
	case "ramp":
		f.Moves, f.Keeps = true, "hold-to-run"
		f.When = []string{"park", "parking-brake", "door-open"}
		f.Joined = f.When
	}
	use := pick(r, "daily", "weekly", "rare")
	for _, m := range p.Remotes {
		if r.IntN(10) < dense {
			w := assign.Wanted{Remote: m.Name, Use: use}
			if r.IntN(odd) == 0 {
				w.Use = pick(r, "daily", "weekly", "rare")
			}
			if r.IntN(30) == 0 {
				w.Gesture = m.Gestures[r.IntN(len(m.Gestures))].ID
			}
			if r.IntN(4) == 0 {
				w.Signed = "M.O."
			}
			f.On = append(f.On, w)
		}
	}
	return f
}

func wantedOn(f *assign.Function, remote string) *assign.Wanted {
	for i := range f.On {
		if f.On[i].Remote == remote {
			return &f.On[i]
		}
	}
	return nil
}
