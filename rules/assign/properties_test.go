package assign

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// installs draws installs of middling size; the seed is what rapid prints and shrinks.
func installs(t *rapid.T) Problem {
	seed := rapid.Uint64Range(0, 1<<20).Draw(t, "seed")
	s := size{
		remotes: rapid.IntRange(1, 3).Draw(t, "remotes"), models: 2, gestures: rapid.IntRange(2, 9).Draw(t, "gestures"),
		outputs: rapid.IntRange(1, 6).Draw(t, "outputs"), functions: rapid.IntRange(1, 6).Draw(t, "functions"),
	}
	s.channels = s.outputs + 1 + rapid.IntRange(0, 3).Draw(t, "more channels")
	return randomProblem(rand.New(rand.NewPCG(seed, 9)), s)
}

func TestPlansKeepTheRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := installs(t)
		plan, err := Optimum(p)
		if err != nil {
			t.Fatal(err)
		}
		everyWishOnce(t, &p, &plan)
		gesturesAreFree(t, &p, &plan)
		guardsHold(t, &p, &plan)
		outputsCarryTheirLoad(t, &p, &plan)
		linesAreIsolated(t, &p, &plan)
		channelsWorkOneFunction(t, &p, &plan)
	})
}

func everyWishOnce(t *rapid.T, p *Problem, plan *Plan) {
	seen := map[[2]string]int{}
	for _, r := range plan.Rows {
		seen[[2]string{r.Function, r.Remote}]++
	}
	for _, m := range plan.NotReached {
		seen[[2]string{m.Function, m.Remote}]++
	}
	refused := map[string]bool{}
	for _, r := range plan.Refused {
		refused[r.Function] = true
	}
	for _, f := range p.Functions {
		for _, w := range f.On {
			want := 1
			if refused[f.Name] {
				want = 0
			}
			if n := seen[[2]string{f.Name, w.Remote}]; n != want {
				t.Fatalf("%s on %s stands %d times in the plan", f.Name, w.Remote, n)
			}
		}
	}
	if len(plan.NotReached) != plan.Cost.NotReached {
		t.Fatalf("%d not reached, cost says %d", len(plan.NotReached), plan.Cost.NotReached)
	}
}

func (p *Problem) gesture(remote, id string) *Gesture {
	r := &p.Remotes[p.remote(remote)]
	for i := range r.Gestures {
		if r.Gestures[i].ID == id {
			return &r.Gestures[i]
		}
	}
	return nil
}

func gesturesAreFree(t *rapid.T, p *Problem, plan *Plan) {
	used := map[[2]string]bool{}
	for _, r := range plan.Rows {
		key := [2]string{r.Remote, r.Gesture}
		g := p.gesture(r.Remote, r.Gesture)
		switch {
		case used[key]:
			t.Fatalf("%v is used twice", key)
		case g.Taken != "":
			t.Fatalf("%v is taken for %s and used for %s", key, g.Taken, r.Function)
		case g.Channel != r.Channel && !slices.Contains(g.Teachable, r.Channel):
			t.Fatalf("%v cannot send channel %d", key, r.Channel)
		}
		used[key] = true
		for _, k := range p.Remotes[p.remote(r.Remote)].Without {
			if slices.Contains(g.kinds(), k) {
				t.Fatalf("%v is a %s, which its user cannot make", key, k)
			}
		}
	}
}

func guardsHold(t *rapid.T, p *Problem, plan *Plan) {
	for _, r := range plan.Rows {
		f := p.function(r.Function)
		g := p.gesture(r.Remote, r.Gesture)
		if f.Does == "platform-lift" || f.glass() && f.closes() && !f.SelfReverses {
			t.Fatalf("%s (%s) has a button", f.Name, f.Does)
		}
		if f.Moves && g.tap() {
			t.Fatalf("%s moves and sits on a tap", f.Name)
		}
		if f.Does == "ramp" && (!r.Hold || g.HoldSeconds == 0) {
			t.Fatalf("ramp %s is not hold-to-run", f.Name)
		}
		if f.Moves && !f.SelfReverses && (!r.Hold || g.HoldSeconds == 0) {
			t.Fatalf("%s moves with nothing to supervise it and is not hold-to-run", f.Name)
		}
		if r.Hold {
			stopsWithTheButton(t, p, plan, r)
		}
		if f.safety() && g.HoldSeconds < 2 && !(len(g.Buttons) > 1 && g.HoldSeconds > 0) {
			t.Fatalf("%s is under the safety guard and sits on %s", f.Name, g.press(false))
		}
	}
}

// stopsWithTheButton: every output that works a part which must stop with the button follows it, by demand or because
// the output can do nothing else.
func stopsWithTheButton(t *rapid.T, p *Problem, plan *Plan, r Row) {
	for _, name := range r.Outputs {
		at := slices.IndexFunc(plan.Demands, func(d Demand) bool { return d.Setting == "aux."+name+".behaviour" })
		fixed := p.Outputs[p.output(name)].Fixed["behaviour"]
		if fixed != "follows-button" && (at < 0 || plan.Demands[at].Value != "follows-button") {
			t.Fatalf("%s must stop with the button, and output %s does not follow it", r.Function, name)
		}
	}
}

func (p *Problem) function(name string) *Function {
	for i := range p.Functions {
		if p.Functions[i].Name == name {
			return &p.Functions[i]
		}
	}
	return nil
}

// outputsCarryTheirLoad adds up coils and direct lines on each output and holds it against the rating.
func outputsCarryTheirLoad(t *rapid.T, p *Problem, plan *Plan) {
	for _, o := range p.Outputs {
		coils := 0.0
		for _, part := range plan.Parts {
			if part.Kind != "relay" || !slices.ContainsFunc(part.Terminals, func(end Terminal) bool {
				return (end.Mark == "85" || end.Mark == "86") && end.To == "controller output "+o.Name
			}) {
				continue
			}
			volts, share := 15.0, 0.9
			if p.Cold {
				share = 0.69
			}
			coils += 1000 * volts / (share * part.Coil.Ohms)
		}
		if coils > float64(o.Milliamps) {
			t.Fatalf("output %s may carry %d mA, its coils draw %.0f", o.Name, o.Milliamps, coils)
		}
	}
}

// linesAreIsolated looks at every line worked by several outputs and every output on several lines:
// each such join has a diode or a relay, unless the output is open-drain and has one line only.
func linesAreIsolated(t *rapid.T, p *Problem, plan *Plan) {
	outputs, lines := map[string][]string{}, map[string][]string{}
	for _, r := range plan.Rows {
		for _, o := range r.Outputs {
			for _, l := range r.Lines {
				outputs[l], lines[o] = appendOnce(outputs[l], o), appendOnce(lines[o], l)
			}
		}
	}
	for line, of := range outputs {
		for _, o := range of {
			free := p.Outputs[p.output(o)].OpenDrain && len(lines[o]) == 1
			if len(of) < 2 && len(lines[o]) < 2 || free {
				continue
			}
			if !slices.ContainsFunc(plan.Parts, func(part Part) bool { return part.Output == o && part.Line == line }) {
				t.Fatalf("output %s works line %s (of %d outputs, %d lines) and nothing isolates it", o, line, len(of), len(lines[o]))
			}
		}
	}
}

func channelsWorkOneFunction(t *rapid.T, p *Problem, plan *Plan) {
	owner := map[string]string{}
	for _, r := range plan.Rows {
		for _, o := range r.Outputs {
			if owner[o] != "" && owner[o] != r.Function {
				t.Fatalf("output %s works %s and %s", o, owner[o], r.Function)
			}
			owner[o] = r.Function
		}
	}
	for _, r := range plan.Rows {
		for _, c := range p.Channels {
			if c.Number != r.Channel {
				continue
			}
			for _, o := range c.Fires {
				if owner[o] != "" && owner[o] != r.Function {
					t.Fatalf("channel %d works %s and %s", c.Number, r.Function, owner[o])
				}
			}
		}
	}
}

// The order of remotes and functions in the file changes no number of the plan that is proven best; some random installs are too hard
// to be proven in all.
func TestOrderDoesNotChangeTheCost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := installs(t)
		plan, err := Optimum(p)
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(p.Functions)
		slices.Reverse(p.Remotes)
		slices.Reverse(p.Outputs)
		slices.Reverse(p.Channels)
		other, err := Optimum(p)
		if err != nil {
			t.Fatal(err)
		}
		proven := min(plan.Proven, other.Proven)
		one, turned := plan.Cost.Vector(), other.Cost.Vector()
		if !slices.Equal(one[:proven], turned[:proven]) {
			t.Fatalf("%v turned round is %v", plan.Cost, other.Cost)
		}
	})
}

// Drawings stay within a terminal and a printed column, with plain characters.
func TestPartsAreDrawnWithin72Columns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := installs(t)
		plan, err := Optimum(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range plan.Parts {
			for _, line := range part.Text() {
				if len(line) > 72 || strings.ContainsFunc(line, func(r rune) bool { return r < ' ' || r > '~' }) {
					t.Fatalf("%q", line)
				}
			}
			for _, end := range part.Terminals {
				if end.To == "" {
					t.Fatalf("terminal %s of %s hangs in the air", end.Mark, part.ID)
				}
			}
		}
	})
}
