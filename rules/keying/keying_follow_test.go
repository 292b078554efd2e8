package keying

import (
	"math/rand/v2"
	"testing"
)

// technician plays somebody at the car: follows every step, and says what the simulated device answers.
// In a few steps the hands slip.
type technician struct {
	t      testing.TB
	f      *Follow
	device *Machine
	at     Configuration
	r      *rand.Rand
	wired  []string
	slips  int // how many are left
	log    []string
}

func (p *technician) say(format string, args ...any) { p.log = append(p.log, sprintf(format, args...)) }

// give gives a row of inputs and returns the last answer as an observation.
func (p *technician) give(row []string) Observation {
	var last Answer
	for _, in := range row {
		p.at, last = p.device.Step(p.at, in)
	}
	var o Observation
	for _, s := range last.Seen(p.wired) {
		o = append(o, Noticed{By: s.By, Colour: s.Colour, Count: s.Count, Steady: s.Steady})
	}
	return o
}

// follow goes on until the card is done; it gives up after far more steps than any card has.
func (p *technician) follow() bool {
	for range 600 {
		if p.f.Finished() {
			return true
		}
		if probe := p.f.Probe(); probe != "" {
			o := p.give([]string{probe})
			a := p.f.Saw(o)
			p.say("probe %s: saw %s -> %s %d, at %s", probe, o, a.As, len(a.Guesses), p.device.States[p.at.State].Words)
			p.leave(a)
			continue
		}
		step, _, _ := p.f.Step()
		row := rowOf(step.Step)
		if told := step.Title == "entry" || step.Expect.Seen && step.Expect.Exact != "nothing"; p.slips > 0 && told && p.r.IntN(6) == 0 {
			choices := p.device.slips(p.at, row)
			s := choices[p.r.IntN(len(choices))]
			if s.why != "" {
				p.slips--
				p.say("slip: %s", s.why)
				row = s.row
			}
		}
		o := p.give(row)
		if !step.Expect.Seen {
			p.f.Done()
			continue
		}
		a := p.f.Saw(o)
		p.say("%s (%s): saw %s -> %s %d, at %s", step.Title, step.Inputs, o, a.As, len(a.Guesses), p.device.States[p.at.State].Words)
		p.leave(a)
	}
	return false
}

func (p *technician) leave(a Advice) {
	if a.As == Reenter {
		for _, in := range a.Left {
			p.at, _ = p.device.Step(p.at, in)
		}
	}
}

// TestFollowFindsTheWayBack: whatever one or two slips do on the way, following the advice lands on the required
// values, and on every value that was to stay.
func TestFollowFindsTheWayBack(t *testing.T) {
	const seed = 11
	runs := counted(120)
	t.Logf("seed %d, %d runs a device", seed, runs)
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		c := fullCircumstances()
		slipped := 0
		for n := range runs {
			r := rand.New(rand.NewPCG(seed, uint64(n)))
			start := randomValues(d.Machine, r)
			known := append([]int8(nil), start...)
			var needs []Need
			for o, v := range randomValues(d.Machine, r) {
				if r.IntN(4) == 0 {
					needs = append(needs, Need{o, []int{int(v)}})
				}
			}
			p := &technician{t: t, f: NewFollow(d, known, needs, c), device: d.Machine, at: d.Machine.At(start), r: r, wired: c.Wired, slips: 1 + n%2}
			ok := p.follow()
			slipped += 1 + n%2 - p.slips
			if !ok {
				t.Fatalf("%s run %d: never done\n%s", id, n, lastLines(p.log, 40))
			}
			want := append([]int8(nil), start...)
			for _, need := range needs {
				want[need.Option] = int8(need.Accept[0])
			}
			for o := range want {
				if p.at.Stored[o] != want[o] {
					t.Fatalf("%s run %d: option %s is %d, want %d\n%s", id, n, d.Machine.Options[o].ID, p.at.Stored[o], want[o], lastLines(p.log, 200))
				}
			}
		}
		t.Logf("%s: %d slips", id, slipped)
	}
}
