package derive

import (
	"cmp"
	"container/heap"
	"slices"
	"strings"

	"asleft/config/source"
)

// Repair is a smallest set of changes that makes a refused scope work. It was derived again to show that it does. It
// names work to do: what then has to be measured and proven stands in Measure and Proof.
type Repair struct {
	Changes []RepairChange
	Start   Outcome  // of remote start after the changes
	Measure []string // facts to find out after the changes
}

// RepairChange is one change.
type RepairChange struct {
	Kind RepairKind
	Says string     // what to do, one sentence
	Pos  source.Pos // of the line of the job that changes, if there is one
}

// RepairKind weighs changes; the first is the dearest.
type RepairKind int

// The kinds of change in the order in which repairs are compared (left to right).
const (
	SwapDevice RepairKind = iota
	AddPart
	JoinWire
	SetMode
	DropWish
	ChangeWish
	repairKinds = int(ChangeWish) + 1
)

// String is the word for listings.
func (k RepairKind) String() string {
	return [...]string{"device", "part", "wire", "mode", "wish dropped", "wish changed"}[k]
}

// Bounds of the search for repairs: changes at once, and derivations in all.
const (
	maxChanges     = 3
	maxDerivations = 1500
)

// cost is how often each kind of change is used; repairs are compared from the left.
type cost [repairKinds]int

func compareCost(a, b cost) int {
	for i := range a {
		if c := cmp.Compare(a[i], b[i]); c != 0 {
			return c
		}
	}
	return 0
}

// change is something that can be done to an input.
type change struct {
	id    string // tells changes apart and breaks ties
	about string // two changes of the same thing exclude each other
	says  RepairChange
	apply func(*Input)
}

// plan is a set of changes that is looked at.
type plan struct {
	changes []change
	cost    cost
	key     string
}

func (p plan) with(c change) plan {
	out := plan{changes: append(slices.Clone(p.changes), c), cost: p.cost}
	slices.SortFunc(out.changes, func(a, b change) int { return cmp.Compare(a.id, b.id) })
	out.cost[c.says.Kind]++
	var ids []string
	for _, c := range out.changes {
		ids = append(ids, c.id)
	}
	out.key = strings.Join(ids, "\n")
	return out
}

func (p plan) input(in Input) Input {
	j := *in.Job
	in.Job = &j
	with := map[string]string{}
	for k, v := range in.With {
		with[k] = v
	}
	in.With = with
	for _, c := range p.changes {
		c.apply(&in)
	}
	return in
}

// Repairs finds the cheapest sets of at most three changes after which the scope is no longer refused, and nothing
// contradicts itself; at most limit of them (0 is five), cheapest first. None is a part of another. whole tells whether
// the search came to its end: a repair that is not found then does not exist.
//
// The search walks sets of changes in the order of their cost. A set that does not help leaves a failure, and whatever
// helps must change something that this failure rests on: a fact that a rule read, a wish, or the device. So each set is
// extended by exactly those changes.
func Repairs(in Input, scope Scope, limit int) (repairs []Repair, whole bool, err error) {
	if limit <= 0 {
		limit = 5
	}
	first, r, err := derived(in)
	if err != nil {
		return nil, false, err
	}
	if !fails(r, scope) {
		return nil, true, nil
	}
	queue := &plans{{}}
	seen := map[string]bool{"": true}
	var done []plan
	for tried := 0; queue.Len() > 0 && len(done) < limit; tried++ {
		if tried >= maxDerivations {
			return repairs, false, nil
		}
		p := heap.Pop(queue).(plan)
		if slices.ContainsFunc(done, func(o plan) bool { return contains(p, o) }) {
			continue
		}
		d := first
		if len(p.changes) > 0 {
			if d, r, err = derived(p.input(in)); err != nil {
				continue // the changes do not fit together
			}
		}
		if !fails(r, scope) {
			done = append(done, p)
			repairs = append(repairs, repairOf(p, r))
			continue
		}
		if len(p.changes) < maxChanges {
			queue.extend(p, d.remedies(r, scope), seen)
		}
	}
	return repairs, true, nil
}

// extend adds the plan with each of the changes; two changes of one thing exclude each other.
func (q *plans) extend(p plan, changes []change, seen map[string]bool) {
	for _, c := range changes {
		next := p.with(c)
		clash := slices.ContainsFunc(p.changes, func(o change) bool { return o.about == c.about })
		if !clash && !seen[next.key] {
			seen[next.key] = true
			heap.Push(q, next)
		}
	}
}

func repairOf(p plan, r *Result) Repair {
	out := Repair{Start: r.Start, Measure: r.Measure}
	for _, c := range p.changes {
		out.Changes = append(out.Changes, c.says)
	}
	slices.SortStableFunc(out.Changes, func(a, b RepairChange) int { return cmp.Compare(a.Kind, b.Kind) })
	return out
}

// contains reports whether every change of the other plan is in this one.
func contains(p, other plan) bool {
	for _, c := range other.changes {
		if !slices.ContainsFunc(p.changes, func(o change) bool { return o.id == c.id }) {
			return false
		}
	}
	return true
}

// failing are the refusals that stand for sure in the way of a scope, and all contradictions.
func failing(r *Result, scope Scope) []Finding {
	out := slices.Clone(r.Contradictions)
	for _, f := range r.Refusals {
		if !f.Open && (f.Scope == scope || f.Scope.What == "job") {
			out = append(out, f)
		}
	}
	return out
}

func fails(r *Result, scope Scope) bool { return len(failing(r, scope)) > 0 }

// plans is a heap of plans: cheapest first, then fewest changes, then by name.
type plans []plan

// Len is for container/heap.
func (q plans) Len() int { return len(q) }

// Swap is for container/heap.
func (q plans) Swap(i, j int) { q[i], q[j] = q[j], q[i] }

// Less is for container/heap: cheaper plans come first.
func (q plans) Less(i, j int) bool {
	if c := compareCost(q[i].cost, q[j].cost); c != 0 {
		return c < 0
	}
	if a, b := len(q[i].changes), len(q[j].changes); a != b {
		return a < b
	}
	return q[i].key < q[j].key
}

// Push is for container/heap.
func (q *plans) Push(x any) { *q = append(*q, x.(plan)) }

// Pop is for container/heap.
func (q *plans) Pop() any {
	old := *q
	last := old[len(old)-1]
	*q = old[:len(old)-1]
	return last
}
