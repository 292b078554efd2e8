package assign

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"asleft/config/source"
)

// Explanation tells about one function why the plan is as it is.
type Explanation struct {
	Function, Words string
	Rows            []Row
	Misses          []Miss
	Refused         *Refusal // nil when it is not refused
	Outputs         []View   // every auxiliary output: taken, or what it would take, or why not
	Gestures        []View   // every gesture of every remote it is wanted on: taken, free, or why not
	Wishes          []string // what each wish of the customer forbids
	Next            Alternative
}

// View is one thing that was looked at.
type View struct {
	Remote string // of a gesture
	Name   string // of the output or gesture
	Press  string // of a gesture, in plain words
	Taken  bool   // by this function
	Text   string
}

// Why explains the place of one function. The error names the nearest function there is.
func Why(plan Plan, function string) (Explanation, error) {
	p := plan.problem
	e := Explanation{Function: function}
	var names []string
	known := false
	for i := range p.Functions {
		names = append(names, p.Functions[i].Name)
		if f := &p.Functions[i]; f.Name == function {
			e.Words, known = f.Words, true
		}
	}
	if !known {
		return e, notAWord("function", function, names)
	}
	for i := range plan.Refused {
		if plan.Refused[i].Function == function {
			e.Refused = &plan.Refused[i]
			return e, nil
		}
	}
	for _, r := range plan.Rows {
		if r.Function == function {
			e.Rows = append(e.Rows, r)
		}
	}
	for _, m := range plan.NotReached {
		if m.Function == function {
			e.Misses = append(e.Misses, m)
		}
	}
	e.Outputs = plan.outputViews(plan.item(function))
	e.Gestures = plan.gestureViews(plan.item(function))
	var err error
	if e.Wishes, err = plan.wishCosts(function); err != nil {
		return e, err
	}
	e.Next, err = plan.next(function)
	return e, err
}

func notAWord(kind, word string, words []string) error {
	text := fmt.Sprintf("there is no %s %q", kind, source.Visible(word))
	if near := source.Nearest(word, words); near != "" {
		text += fmt.Sprintf("; nearest is %q", near)
	} else if len(words) > 0 {
		text += "; there are " + strings.Join(words, ", ")
	}
	return fmt.Errorf("%s", text)
}

func (plan *Plan) outputViews(i int) []View {
	c := &plan.choice
	m := c.m
	var views []View
	for k := range m.p.Outputs {
		v := View{Name: m.p.Outputs[k].Name, Taken: c.placing.Tools[i]>>k&1 == 1}
		switch s := &m.setup[i][k]; {
		case s.reason != "":
			v.Text = s.reason
		case v.Taken && bits.OnesCount64(c.placing.Tools[i]) > 1:
			v.Text = takes(&m.more[i][k], s)
		default:
			v.Text = takes(&m.alone[i][k], s)
			for g, set := range c.placing.Tools {
				if g != i && set>>k&1 == 1 {
					v.Text += "; it went to " + m.p.Functions[m.items[g]].Words
				}
			}
		}
		views = append(views, v)
	}
	return views
}

// takes says what a setup of an output costs.
func takes(h *hardware, s *setup) string {
	var parts []string
	for _, n := range []struct {
		count     int
		one, many string
	}{{h.relays, "relay", "relays"}, {h.diodes, "diode", "diodes"}, {len(s.changed), "option to key", "options to key"}} {
		switch {
		case n.count == 1:
			parts = append(parts, "1 "+n.one)
		case n.count > 1:
			parts = append(parts, fmt.Sprint(n.count, " ", n.many))
		}
	}
	text := "takes nothing"
	if len(parts) > 0 {
		text = "takes " + strings.Join(parts, ", ")
	}
	for _, lack := range s.lacks {
		text += "; " + lack
	}
	return text
}

func (plan *Plan) gestureViews(i int) []View {
	c := &plan.choice
	m := c.m
	var views []View
	for b, r := range m.board {
		if r < 0 || m.joint.Boards[b].Cost[i] == nil {
			continue
		}
		for g := range m.p.Remotes[r].Gestures {
			gesture := &m.p.Remotes[r].Gestures[g]
			v := View{Remote: m.p.Remotes[r].Name, Name: gesture.ID, Press: gesture.press(m.p.Functions[m.items[i]].heldBy()),
				Taken: c.placing.Slot[b][i] == g, Text: m.why[b][i][g]}
			switch ways := m.joint.Boards[b].Slots[g].Ways; {
			case v.Text != "":
			case v.Taken:
				v.Text = "chosen"
			case ways&m.possible(i) == 0:
				v.Text = "it cannot send " + m.channelsOf(i)
			case ways&c.served(i) == 0:
				v.Text = "it could, over another output than the plan gives"
			default:
				v.Text = "it could"
			}
			if f := &m.p.Functions[m.items[i]]; !v.Taken && m.why[b][i][g] == "" && f.nuisance() && gesture.tap() && f.wanted(v.Remote).Signed == "" {
				v.Text += ", with a signature"
			}
			for other, slot := range c.placing.Slot[b] {
				if other != i && slot == g {
					v.Text += "; it went to " + m.p.Functions[m.items[other]].Words
				}
			}
			views = append(views, v)
		}
	}
	return views
}

// wishCosts says what each wish for a gesture of this function forbids.
func (plan *Plan) wishCosts(function string) ([]string, error) {
	var out []string
	for i := range plan.problem.Functions {
		f := &plan.problem.Functions[i]
		for k := range f.On {
			if f.Name != function || f.On[k].Gesture == "" {
				continue
			}
			p := plan.problem.clone()
			p.Functions[i].On[k].Gesture = ""
			free, err := solve(p, nil)
			if err != nil {
				return nil, err
			}
			out = append(out, plan.wishSays(f, &f.On[k], &free))
		}
	}
	return out, nil
}

// wishSays says what one wish comes to: what forbids it, or what it costs and what it forbids to others.
func (plan *Plan) wishSays(f *Function, w *Wanted, free *Plan) string {
	head := fmt.Sprintf("the wish for %s on %s ", w.Gesture, w.Remote)
	for _, miss := range plan.NotReached {
		if b := plan.boardOf(w.Remote); miss.Function == f.Name && miss.Remote == w.Remote && b >= 0 {
			why := plan.wishBarred(b, plan.item(f.Name), w.Gesture)
			if why == "" {
				why = miss.Reason
			}
			return head + "cannot be met: " + why
		}
	}
	if free.Cost.Compare(plan.Cost) >= 0 {
		return head + "costs nothing"
	}
	text := head + "costs " + free.Cost.Worse(plan.Cost) + " than the best plan without it"
	for _, r := range free.Rows {
		same := func(now Row) bool {
			return now.Function == r.Function && now.Remote == r.Remote && now.Gesture == r.Gesture
		}
		if r.Function != f.Name && !slices.ContainsFunc(plan.Rows, same) {
			text += fmt.Sprintf("; without it %s would be: %s on %s", r.Words, r.Press, r.Remote)
		}
	}
	return text
}

// next finds the best plan in which the function does not sit where it sits now: on some remote it
// has another gesture, or the same with nothing.
func (plan *Plan) next(function string) (Alternative, error) {
	m := plan.choice.m
	i := plan.item(function)
	best, proven := Alternative{None: true}, len(aimNames)
	for b, r := range m.board {
		g := plan.choice.placing.Slot[b][i]
		if r < 0 || g < 0 {
			continue
		}
		bans := map[place]bool{{r, m.items[i], g}: true}
		other, err := solve(plan.problem, bans)
		if err != nil {
			return best, err
		}
		proven = min(proven, other.Proven)
		if !best.None && other.Cost.Compare(best.Cost) >= 0 {
			continue
		}
		best = Alternative{Cost: other.Cost, Worse: plan.Cost.Worse(other.Cost)}
		for _, row := range other.Rows {
			if row.Function == function {
				best.Rows = append(best.Rows, row)
			}
		}
	}
	best.Doubt = doubtful(proven)
	return best, nil
}

// Preference is a wish tried on top of the job: this function on this gesture of this remote.
type Preference struct{ Remote, Function, Gesture string }

// Prefer solves again with further wishes. The error names the first word that the job does not
// have, with the nearest one.
func Prefer(plan Plan, wishes ...Preference) (Plan, error) {
	p := plan.problem.clone()
	for _, w := range wishes {
		if err := p.prefer(w); err != nil {
			return Plan{}, err
		}
	}
	return Solve(*p)
}

func (p *Problem) prefer(w Preference) error {
	var functions, remotes, gestures []string
	for i := range p.Remotes {
		remotes = append(remotes, p.Remotes[i].Name)
		for g := range p.Remotes[i].Gestures {
			if p.Remotes[i].Name == w.Remote {
				gestures = append(gestures, p.Remotes[i].Gestures[g].ID)
			}
		}
	}
	for i := range p.Functions {
		functions = append(functions, p.Functions[i].Name)
	}
	for _, check := range []struct {
		kind, word string
		words      []string
	}{{"remote", w.Remote, remotes}, {"function", w.Function, functions}, {"gesture of " + w.Remote, w.Gesture, gestures}} {
		if !slices.Contains(check.words, check.word) {
			return notAWord(check.kind, check.word, check.words)
		}
	}
	for i := range p.Functions {
		f := &p.Functions[i]
		if f.Name != w.Function {
			continue
		}
		if on := f.wanted(w.Remote); on != nil {
			on.Gesture = w.Gesture
		} else {
			f.On = append(f.On, Wanted{Remote: w.Remote, Gesture: w.Gesture})
		}
	}
	return nil
}
