package keying

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
)

// mealy makes a machine out of a table: for each state and input the next state and the output.
func mealy(next, out [][]int) *Machine {
	inputs := []string{"tap", "brake", "hold-2", "hold-5"}
	m := &Machine{direct: true}
	for s := range next {
		state := State{Name: strconv.Itoa(s), Words: strconv.Itoa(s), Option: -1, Inside: true}
		for i := range next[s] {
			state.Moves = append(state.Moves, Move{On: inputs[i], To: next[s][i], Shows: []Signal{{By: "led", Count: out[s][i] + 1}}, Option: -1})
		}
		m.States = append(m.States, state)
	}
	m.States = append(m.States, State{Name: "outside", Option: -1})
	m.Start = len(m.States) - 1
	return m
}

// uncertainty is what is known of a machine after a fixed row of inputs: sets of states, one for each row of
// outputs that is possible.
type uncertainty [][]int

// after gives the uncertainty after one more input.
func (u uncertainty) after(next, out [][]int, in int) uncertainty {
	var to uncertainty
	for _, set := range u {
		by := map[int][]int{}
		for _, s := range set {
			if o := out[s][in]; !slices.Contains(by[o], next[s][in]) {
				by[o] = append(by[o], next[s][in])
			}
		}
		for o := range 2 {
			if len(by[o]) > 0 {
				slices.Sort(by[o])
				to = append(to, by[o])
			}
		}
	}
	slices.SortFunc(to, slices.Compare)
	return slices.CompactFunc(to, slices.Equal)
}

// shortestPreset is the length of the shortest homing sequence that is fixed beforehand, by exhaustive search
// over uncertainties; -1 when there is none of at most limit inputs.
func shortestPreset(next, out [][]int, limit int) int {
	all := make([]int, len(next))
	for i := range all {
		all[i] = i
	}
	open, seen := []uncertainty{{all}}, map[string]bool{}
	for depth := 0; depth <= limit; depth++ {
		var further []uncertainty
		for _, u := range open {
			if !slices.ContainsFunc(u, func(set []int) bool { return len(set) > 1 }) {
				return depth
			}
			for in := range next[0] {
				to := u.after(next, out, in)
				if key := fmt.Sprint(to); !seen[key] {
					seen[key] = true
					further = append(further, to)
				}
			}
		}
		open = further
	}
	return -1
}

// homesFrom runs our adaptive homing from every state as the true one and returns the longest run.
func homesFrom(t *testing.T, m *Machine, n int) int {
	t.Helper()
	h := hands{fullCircumstances()}
	longest := 0
	for true_ := range n {
		at := Configuration{State: true_}
		var set []Configuration
		for s := range n {
			set = append(set, Configuration{State: s})
		}
		inputs := 0
		for len(set) > 1 {
			in, _, ok := m.next(h, h.c.Wired, set, n*(n-1)/2+1)
			if !ok {
				return -1
			}
			next, answer := m.Step(at, in)
			var left []Configuration
			for _, c := range set {
				if to, a := m.Step(c, in); a.Equal(answer) {
					left = addConfiguration(left, to)
				}
			}
			at, set = next, left
			inputs++
		}
		if set[0].State != at.State {
			t.Fatalf("from state %d: homed to %d, the machine is in %d", true_, set[0].State, at.State)
		}
		longest = max(longest, inputs)
	}
	return longest
}

// TestHomingLectureExample: the machine of Washington University's CSE460, lecture 15 (2006): A: 0->C/0 1->D/1; B: 0->C/0
// 1->A/1; C: 0->A/1 1->B/0; D: 0->B/0 1->C/1. Ours is no longer than the shortest fixed sequence, which is found
// here by exhaustive search.
func TestHomingLectureExample(t *testing.T) {
	next := [][]int{{2, 3}, {2, 0}, {0, 1}, {1, 2}}
	out := [][]int{{0, 1}, {0, 1}, {1, 0}, {0, 1}}
	preset := shortestPreset(next, out, 6)
	ours := homesFrom(t, mealy(next, out), 4)
	t.Logf("ours %d inputs at the most, shortest fixed sequence %d", ours, preset)
	if ours < 0 || ours > preset {
		t.Errorf("ours %d, shortest fixed sequence %d", ours, preset)
	}
}

// TestHomingBound: on random minimal machines ours homes from every state, is never longer than the shortest fixed
// sequence, and keeps the bound n(n-1)/2 for fixed sequences (Moore 1956, Hibbard 1961; from memory).
func TestHomingBound(t *testing.T) {
	const seed, machines = 19, 400
	r := rand.New(rand.NewPCG(seed, 1))
	minimal := 0
	for range machines {
		n := 2 + r.IntN(4)
		next, out := make([][]int, n), make([][]int, n)
		for s := range n {
			for range 2 {
				next[s] = append(next[s], r.IntN(n))
				out[s] = append(out[s], r.IntN(2))
			}
		}
		if !isMinimal(next, out) {
			continue
		}
		minimal++
		bound := n * (n - 1) / 2
		preset := shortestPreset(next, out, bound)
		ours := homesFrom(t, mealy(next, out), n)
		if preset < 0 {
			t.Fatalf("no fixed sequence within the bound %d: %v %v", bound, next, out)
		}
		if ours < 0 || ours > preset || ours > bound {
			t.Fatalf("ours %d, shortest fixed sequence %d, bound %d: %v %v", ours, preset, bound, next, out)
		}
	}
	t.Logf("seed %d: %d of %d machines minimal", seed, minimal, machines)
	if minimal < machines/4 {
		t.Errorf("only %d of %d machines are minimal", minimal, machines)
	}
}

// isMinimal tells whether no two states answer every row of inputs alike.
func isMinimal(next, out [][]int) bool {
	n := len(next)
	differ := make([][]bool, n)
	for a := range n {
		differ[a] = make([]bool, n)
		for b := range n {
			differ[a][b] = !slices.Equal(out[a], out[b])
		}
	}
	for range n {
		for a := range n {
			for b := range n {
				for in := range next[a] {
					differ[a][b] = differ[a][b] || differ[next[a][in]][next[b][in]]
				}
			}
		}
	}
	for a := range n {
		for b := range a {
			if !differ[a][b] {
				return false
			}
		}
	}
	return true
}

// wayBack is lost at a state, and follows the advice until it is known where the device is or it is left.
func wayBack(d *Device, s int) (a Advice, f *Follow, at Configuration) {
	m := d.Machine
	f = NewFollow(d, m.Factory(), []Need{{0, []int{1}}}, fullCircumstances())
	at = m.At(m.Factory())
	at.State = s
	a = f.Lost()
	if c := (checking{m: m}); c.counting(s) && a.HandsOff > 0 {
		at, _ = m.Step(at, "silence")
	}
	for range 20 {
		if a.As == Known || a.As == Reenter {
			break
		}
		var answer Answer
		at, answer = m.Step(at, f.Probe())
		var o Observation
		for _, x := range answer {
			o = append(o, Noticed{By: x.By, Colour: x.Colour, Count: x.Count, Steady: x.Steady})
		}
		a = f.Saw(o)
	}
	for _, in := range a.Left {
		at, _ = m.Step(at, in)
	}
	return a, f, at
}

// TestHomingOnDemoDevices: from every place in the menus of every demo device the way back is found or the device is
// left and entered again.
func TestHomingOnDemoDevices(t *testing.T) {
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		m := d.Machine
		homed, left := 0, 0
		for s := range m.States {
			if !m.States[s].Inside {
				continue
			}
			a, f, at := wayBack(d, s)
			switch {
			case a.As == Known && f.At().State == at.State:
				homed++
			case a.As == Reenter && at.State == m.Start:
				left++
			default:
				t.Fatalf("%s: from %s: %s, thought to be %s, is %s", id, m.States[s].Name, a.As, m.States[f.At().State].Name, m.States[at.State].Name)
			}
		}
		t.Logf("%s: %d places homed, %d left and entered again", id, homed, left)
	}
}
