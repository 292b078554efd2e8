package assign

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// explainMisses gives every function that is not reached its reason, and the smallest change that
// was found to help: the wish for one gesture dropped, an interlock dropped that is no safety guard,
// another function of that remote dropped (the least used first), and at last another remote.
func (plan *Plan) explainMisses() error {
	for i := range plan.NotReached {
		miss := &plan.NotReached[i]
		if miss.Reason != "" {
			continue
		}
		miss.Reason = plan.reason(miss)
		change, err := plan.smallestChange(miss)
		if err != nil {
			return err
		}
		miss.Change = change
	}
	return nil
}

// item gives the index of a function among the items of the model; -1 when it takes no part.
func (plan *Plan) item(function string) int {
	m := plan.choice.m
	return slices.IndexFunc(m.items, func(fi int) bool { return m.p.Functions[fi].Name == function })
}

func (plan *Plan) boardOf(remote string) int {
	m := plan.choice.m
	return slices.IndexFunc(m.board, func(r int) bool { return r >= 0 && m.p.Remotes[r].Name == remote })
}

// reason looks for what stands in the way, nearest to the vehicle first.
func (plan *Plan) reason(miss *Miss) string {
	m := plan.choice.m
	i := plan.item(miss.Function)
	f := &m.p.Functions[m.items[i]]
	if f.Active == "" && len(f.Lines) > 0 {
		return unmeasured + ": measure it first"
	}
	suited := plan.suited(i)
	if len(suited) == 0 && m.joint.Items[i].Free == 0 {
		return "no output can work it: " + strings.Join(plan.unsuited(i), "; ")
	}
	if miss.Remote == AtStart {
		return "the outputs that can work it at remote start went to other functions"
	}
	b := plan.boardOf(miss.Remote)
	r := &m.p.Remotes[m.board[b]]
	var may, send []string
	for g := range r.Gestures {
		if m.why[b][i][g] == "" {
			may = append(may, r.Gestures[g].ID)
			if m.joint.Boards[b].Slots[g].Ways&m.possible(i) != 0 {
				send = append(send, r.Gestures[g].ID)
			}
		}
	}
	switch {
	case len(may) == 0 && f.wanted(r.Name).Gesture != "":
		return "the wish names " + f.wanted(r.Name).Gesture + ": " + plan.wishBarred(b, i, f.wanted(r.Name).Gesture)
	case len(may) == 0:
		return "no gesture of this remote may work it: " + strings.Join(plan.barred(b, i), "; ")
	case len(send) == 0:
		return fmt.Sprintf("%s may work it, but cannot send the channel of an output that suits (%s)", strings.Join(may, ", "), m.channelsOf(i))
	}
	return fmt.Sprintf("%s could work it, and those gestures or their outputs went to other functions", strings.Join(send, ", "))
}

// wishBarred says why a wished gesture cannot be had.
func (plan *Plan) wishBarred(b, i int, gesture string) string {
	m := plan.choice.m
	r := &m.p.Remotes[m.board[b]]
	f := &m.p.Functions[m.items[i]]
	free := *f.wanted(r.Name)
	free.Gesture = ""
	for g := range r.Gestures {
		if r.Gestures[g].ID == gesture {
			return r.Gestures[g].forbidden(r, f, &free)
		}
	}
	return "the remote has no such gesture"
}

// barred groups the gestures of a board by the reason that keeps item i off them.
func (plan *Plan) barred(b, i int) []string {
	m := plan.choice.m
	var reasons []string
	by := map[string][]string{}
	for g, why := range m.why[b][i] {
		if _, seen := by[why]; !seen {
			reasons = append(reasons, why)
		}
		by[why] = append(by[why], m.p.Remotes[m.board[b]].Gestures[g].ID)
	}
	for k, why := range reasons {
		reasons[k] = strings.Join(by[why], ", ") + ": " + why
	}
	return reasons
}

// suited gives the outputs that could work item i by themselves.
func (plan *Plan) suited(i int) []string {
	var names []string
	for k := range plan.choice.m.p.Outputs {
		if plan.choice.m.setup[i][k].reason == "" {
			names = append(names, plan.choice.m.p.Outputs[k].Name)
		}
	}
	return names
}

func (plan *Plan) unsuited(i int) []string {
	m := plan.choice.m
	var out []string
	for k := range m.p.Outputs {
		out = append(out, "output "+m.p.Outputs[k].Name+": "+m.setup[i][k].reason)
	}
	if len(out) == 0 {
		out = []string{"the controller has no auxiliary output"}
	}
	return out
}

// possible gives the channels that could work item i if it had the first choice.
func (m *model) possible(i int) uint64 {
	var mine uint64
	for k := range m.p.Outputs {
		if m.setup[i][k].reason == "" {
			mine |= 1 << k
		}
	}
	set := m.joint.Items[i].Free
	for w := range m.p.Channels {
		if m.joint.Ways[w]&mine != 0 {
			set |= 1 << w
		}
	}
	return set
}

func (m *model) channelsOf(i int) string {
	var numbers []int
	for c := range m.p.Channels {
		if m.possible(i)>>c&1 == 1 {
			numbers = append(numbers, m.p.Channels[c].Number)
		}
	}
	if len(numbers) == 0 {
		return "none fires one"
	}
	return "channel " + inARow(numbers)
}

// smallestChange tries changes from the smallest on, each by solving again, and names the first
// with which this function is reached there and nothing else is lost.
func (plan *Plan) smallestChange(miss *Miss) (string, error) {
	for _, try := range plan.changes(miss) {
		p := plan.problem.clone()
		try.apply(p)
		other, err := solve(p, nil)
		if err != nil {
			return "", err
		}
		if len(other.NotReached) < len(plan.NotReached) && !slices.ContainsFunc(other.NotReached, miss.same) {
			return try.words, nil
		}
	}
	i := plan.item(miss.Function)
	if miss.Remote == AtStart || len(plan.suited(i)) == 0 {
		return "", nil
	}
	guard := ""
	if f := &plan.choice.m.p.Functions[plan.choice.m.items[i]]; f.safety() {
		guard = "guarded "
	}
	return fmt.Sprintf("another remote for %s, with a %sgesture that can send %s", miss.Remote, guard, plan.choice.m.channelsOf(i)), nil
}

func (miss *Miss) same(other Miss) bool {
	return miss.Function == other.Function && miss.Remote == other.Remote
}

type change struct {
	words string
	apply func(*Problem)
}

func (plan *Plan) changes(miss *Miss) []change {
	p := plan.problem
	fi := slices.IndexFunc(p.Functions, func(f Function) bool { return f.Name == miss.Function })
	f := &p.Functions[fi]
	var out []change
	if w := f.wanted(miss.Remote); w != nil && w.Gesture != "" {
		out = append(out, change{"drop the wish for " + w.Gesture + " on " + miss.Remote,
			func(p *Problem) { p.Functions[fi].wanted(miss.Remote).Gesture = "" }})
	}
	for _, c := range f.When {
		if !f.safety() && !slices.Contains(f.Joined, c) {
			out = append(out, change{"join the interlock by wire: " + plain(c),
				func(p *Problem) { p.Functions[fi].Joined = append(slices.Clone(p.Functions[fi].Joined), c) }})
		}
	}
	for k := range p.Functions {
		if g := &p.Functions[k]; k != fi && g.Output != "" {
			out = append(out, change{"move " + g.Words + " to another output",
				func(p *Problem) { p.Functions[k].Output = "" }})
		}
	}
	for _, row := range plan.leastUsed(miss.Remote) {
		if row.Function != miss.Function {
			out = append(out, change{"do without " + row.Words + " on " + miss.Remote, func(p *Problem) { p.drop(row.Function, miss.Remote) }})
		}
	}
	return out
}

// leastUsed gives the rows of a remote, the least used first.
func (plan *Plan) leastUsed(remote string) []Row {
	var rows []Row
	for _, r := range plan.Rows {
		if r.Remote == remote {
			rows = append(rows, r)
		}
	}
	slices.SortStableFunc(rows, func(a, b Row) int { return cmp.Compare(presses[a.Use], presses[b.Use]) })
	return rows
}

// clone copies the problem as far as changes and wishes reach.
func (p *Problem) clone() *Problem {
	c := *p
	c.Functions = slices.Clone(p.Functions)
	for i := range c.Functions {
		c.Functions[i].On = slices.Clone(c.Functions[i].On)
	}
	return &c
}

func (p *Problem) drop(function, remote string) {
	for i := range p.Functions {
		if p.Functions[i].Name == function {
			p.Functions[i].On = slices.DeleteFunc(p.Functions[i].On, func(w Wanted) bool { return w.Remote == remote })
		}
	}
}
