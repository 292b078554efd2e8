package derive

import (
	"math/bits"
	"slices"

	"asleft/rules/base"
)

// maxCompletions bounds how many ways to complete the missing facts are derived.
const maxCompletions = 4096

// completions is the table of all ways in which missing facts can turn out, and what each leads to.
type completions struct {
	facts []string   // names, sorted
	ways  [][]uint64 // one value bit for each fact
	ends  [][]uint64 // what was open, decided: picks of groups, then one word of refused scopes
	open  []bool     // something is still open in this completion
}

// complete derives every completion of the facts that are missing and that something open depends on. It returns nil when
// nothing is open, and a table without rows when there are too many.
func (d *derivation) complete(r *Result) *completions {
	groups := d.openGroups()
	c := &completions{}
	total := 1
	for _, m := range r.Missing {
		if !d.matters(r, m) {
			continue
		}
		c.facts = append(c.facts, m.Fact)
		total = min(total*len(m.Values), maxCompletions+1)
	}
	if len(c.facts) == 0 {
		return nil
	}
	slices.Sort(c.facts)
	if total > maxCompletions {
		return c
	}
	trial := d.program.newState()
	copy(trial.raw, d.state.raw)
	d.each(c, trial, 0, make([]uint64, len(c.facts)), func() {
		d.program.run(trial)
		end := make([]uint64, 0, len(groups)+1)
		open := false
		for _, g := range groups {
			got := &trial.groups[g]
			end = append(end, got.pick)
			if got.emptied || got.clash {
				end[len(end)-1] = 0
			}
			open = open || got.open
		}
		refused, unsure := d.refusedStart(trial)
		c.ends = append(c.ends, append(end, refused))
		c.open = append(c.open, open || unsure)
	})
	return c
}

// openGroups are the groups that a missing fact can change.
func (d *derivation) openGroups() []int32 {
	var out []int32
	for g := range d.state.groups {
		if d.state.groups[g].open {
			out = append(out, int32(g))
		}
	}
	return out
}

// matters reports whether something open depends on a missing fact: an open setting or an open refusal.
func (d *derivation) matters(r *Result, m Missing) bool {
	for _, what := range m.Settles {
		for _, s := range r.Settings {
			if s.Kind == Open && s.Key.String() == what {
				return true
			}
		}
		for _, f := range r.Refusals {
			if f.Open && f.Scope.String() == what {
				return true
			}
		}
	}
	return false
}

// each calls visit for every completion that no constraint of the catalogue rules out.
func (d *derivation) each(c *completions, trial *state, i int, way []uint64, visit func()) {
	if i == len(c.facts) {
		if d.program.describable(trial) {
			c.ways = append(c.ways, slices.Clone(way))
			visit()
		}
		return
	}
	v := d.program.byName[c.facts[i]]
	before := trial.raw[v]
	for m := before; m != 0; m &= m - 1 {
		way[i] = m & -m
		trial.raw[v] = way[i]
		d.each(c, trial, i+1, way, visit)
	}
	trial.raw[v] = before
}

// refusedStart gives a word that is not 0 when remote start is refused for sure, and whether a refusal is in doubt.
func (d *derivation) refusedStart(st *state) (refused uint64, unsure bool) {
	for i := range d.program.rules {
		code := &d.program.rules[i]
		if code.rule.Refuse != "remote-start" && code.rule.Refuse != "job" {
			continue
		}
		sure := st.truth[i]
		if code.rule.Level == base.Safety {
			sure = st.sure[i]
		}
		if sure == base.True {
			refused = 1
		}
		unsure = unsure || sure == base.Unknown
	}
	return refused, unsure && refused == 0
}

// describable reports whether the facts break no constraint of the catalogue.
func (p *program) describable(st *state) bool {
	for _, c := range p.nogoods {
		if p.eval(c.when, c.never, st.raw) == base.True {
			return false
		}
	}
	return true
}

// settle takes what comes out the same in every completion for decided.
func (d *derivation) settle(r *Result, c *completions) (startRefused bool) {
	if c == nil || len(c.ends) == 0 {
		return false
	}
	for k, g := range d.openGroups() {
		same := true
		for i := range c.ends {
			same = same && !c.open[i] && c.ends[i][k] == c.ends[0][k]
		}
		if same && c.ends[0][k] != 0 {
			d.state.groups[g].open = false
			d.state.groups[g].pick = c.ends[0][k]
		}
	}
	startRefused = true
	for i := range c.ends {
		startRefused = startRefused && c.ends[i][len(c.ends[i])-1] != 0
	}
	return startRefused
}

// maxExact bounds the number of facts for which every subset is tried.
const maxExact = 8

// fewest finds a smallest set of facts that settles everything open, whatever they turn out to be: completions that
// agree on these facts must lead to the same end. Of several the first by name is taken. Beyond maxExact facts it is a set of
// which none can be left out, which need not be the smallest; beyond maxCompletions it is every fact that matters.
func (c *completions) fewest() []string {
	switch {
	case c == nil:
		return nil
	case c.ends == nil:
		return c.facts
	}
	n := len(c.facts)
	all := uint64(1)<<n - 1
	if n > maxExact {
		for i := range n {
			if c.settles(all &^ (1 << i)) {
				all &^= 1 << i
			}
		}
		return c.names(all)
	}
	best := all
	for set := range all {
		if bits.OnesCount64(set) < bits.OnesCount64(best) && c.settles(set) {
			best = set
		}
	}
	return c.names(best)
}

func (c *completions) names(set uint64) []string {
	var out []string
	for i, f := range c.facts {
		if set&(1<<i) != 0 {
			out = append(out, f)
		}
	}
	return out
}

// settles reports whether knowing the facts of the set leaves one end.
func (c *completions) settles(set uint64) bool {
	ends := map[string][]uint64{}
	for w, way := range c.ways {
		var key []byte
		for i, v := range way {
			if set&(1<<i) != 0 {
				key = append(key, byte(bits.TrailingZeros64(v)))
			}
		}
		have, ok := ends[string(key)]
		if !ok {
			ends[string(key)] = c.ends[w]
		} else if !slices.Equal(have, c.ends[w]) {
			return false
		}
	}
	return true
}
