package derive

import (
	"cmp"
	"math/bits"
	"slices"

	"asleft/config/job"
	"asleft/config/setting"
	"asleft/rules/base"
)

// report turns a run into a result with reasons.
func (d *derivation) report() *Result {
	r := d.draft()
	c := d.complete(r)
	refused := d.settle(r, c)
	if c != nil && c.ends != nil {
		r = d.draft() // some of what was open is settled now
		c = d.complete(r)
	}
	r.Measure = c.fewest()
	r.Start = d.outcome(r, refused)
	return r
}

// draft is the result as the run left it.
func (d *derivation) draft() *Result {
	r := &Result{}
	for _, g := range d.program.groups {
		for at, name := range g.settings {
			if d.in.skips(name) {
				continue
			}
			s := d.setting(g, at)
			if g.virtual && len(s.Rules) == 0 {
				continue // no device has it and no rule asks for it here
			}
			r.Settings = append(r.Settings, s)
		}
		d.failures(r, g)
	}
	d.homeless(r)
	d.findings(r)
	r.Tests = d.testNeeds()
	r.Missing = d.missing(r)
	r.sort()
	d.settledBy(r)
	for _, s := range r.Settings {
		for _, n := range s.NotMet {
			if n.Level == base.Wish {
				r.NotMet = append(r.NotMet, n)
			}
		}
	}
	return r
}

func (r *Result) sort() {
	slices.SortStableFunc(r.Settings, func(a, b Setting) int {
		return cmp.Or(compareSettings(a.Key.Setting, b.Key.Setting), cmp.Compare(a.Key.Device, b.Key.Device))
	})
	byRule := func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Scope.String(), b.Scope.String()), compareFlags(a.Unmet, b.Unmet), cmp.Compare(a.Rule, b.Rule))
	}
	slices.SortStableFunc(r.Refusals, byRule)
	slices.SortStableFunc(r.Cautions, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Where, b.Where), cmp.Compare(a.Rule, b.Rule))
	})
	slices.SortStableFunc(r.Missing, func(a, b Missing) int { return cmp.Compare(a.Fact, b.Fact) })
}

// compareFlags puts false first.
func compareFlags(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// setting reports one setting of a group.
func (d *derivation) setting(g *group, at int) Setting {
	name, got := g.settings[at], &d.state.groups[g.index]
	pick := bits.TrailingZeros64(got.pick)
	s := Setting{
		Key:   setting.Key{Device: g.device.Name, Setting: name},
		Value: g.choices[pick].values[at],
		InUse: d.inUse(g, name),
	}
	if g.factory != 0 {
		s.Factory = g.choices[bits.TrailingZeros64(g.factory)].values[at]
	}
	s.Kind, s.Level = d.kind(g, at)
	if keep := d.meanwhile(g); keep != 0 {
		pick = bits.TrailingZeros64(keep)
		if value := g.choices[pick].values[at]; value != s.Value && s.Kind != Impossible && s.Kind != NotApplicable {
			s.Kind, s.Level = Open, base.Factory
		}
		s.Value = g.choices[pick].values[at]
	} else if s.Kind == Open || s.Kind == Impossible {
		pick, s.Value = -1, ""
	}
	if g.virtual && s.Level > base.Wish {
		s.InUse = false // a default for what no device of the job has
	}
	d.action(&s, g, at, pick)
	d.because(&s, g, at)
	s.Otherwise = d.otherwise(&s, g, at)
	return s
}

// inUse reports whether a feed is joined, and whether an output has a demand.
func (d *derivation) inUse(g *group, name string) bool {
	f, _, ok := familyOf(name)
	feed := f.Pattern == "feed.NAME.role"
	if !ok || !feed && !base.OfPlan(name) {
		return true
	}
	parts, _ := f.Parts(name)
	if feed {
		return slices.ContainsFunc(d.in.Job.Feeds, func(join job.FeedJoin) bool { return join.Feed == parts[0] })
	}
	for _, demand := range d.in.Demands {
		their := demand.Key.Setting
		if demand.Key.Device != g.device.Name {
			continue
		}
		if their == name {
			return true
		}
		if f.Pattern == "remote.R.gesture.G" {
			continue
		}
		df, _, ok := familyOf(their)
		if !ok || df.Pattern == "remote.R.gesture.G" {
			continue
		}
		if of, _ := df.Parts(their); of[0] == parts[0] {
			return true
		}
	}
	return false
}

// mayBeBarred reports whether a hard rule that nobody knows to hold or not would bar the value that is left.
func (d *derivation) mayBeBarred(g *group, at int) bool {
	got := &d.state.groups[g.index]
	for i := range g.constraints {
		c := &g.constraints[i]
		if c.at == at && c.rule >= 0 && !c.none && c.level.Hard() && c.prefer == nil && c.mask&got.pick == 0 && d.program.holds(d.state, c) == base.Unknown {
			return true
		}
	}
	return false
}

// kind says how free the setting was left, and which level made one value of several.
func (d *derivation) kind(g *group, at int) (Kind, base.Level) {
	got := &d.state.groups[g.index]
	switch {
	case got.none&(1<<at) != 0:
		return NotApplicable, d.noneLevel(g, at)
	case got.emptied || got.clash:
		return Impossible, got.at
	case got.open && (count(g, at, got.after[base.PolicyLimit]) > 1 || d.mayBeBarred(g, at)):
		return Open, base.Factory
	case g.choices[bits.TrailingZeros64(got.pick)].values[at] == "":
		return NotApplicable, base.DeviceLimit
	case count(g, at, g.full) == 1 && !g.virtual:
		return Forced, base.DeviceLimit
	}
	for level := base.Safety; level <= base.TradeDefault; level++ {
		if count(g, at, got.after[level]) == 1 {
			if level.Hard() {
				return Forced, level
			}
			return Chosen, level
		}
	}
	return Chosen, base.Factory
}

// noneLevel is the level of the first rule that says that the setting has no meaning.
func (d *derivation) noneLevel(g *group, at int) base.Level {
	for i := range g.constraints {
		if c := &g.constraints[i]; c.none && c.at == at && d.program.holds(d.state, c) == base.True {
			return c.level
		}
	}
	return base.DeviceLimit
}

// count is the number of different values that a setting has in the choices.
func count(g *group, at int, choices uint64) int {
	n := 0
	for m := choices; m != 0; m &= m - 1 {
		i := bits.TrailingZeros64(m)
		first := true
		for e := choices & (1<<i - 1); e != 0 && first; e &= e - 1 {
			first = g.choices[bits.TrailingZeros64(e)].values[at] != g.choices[i].values[at]
		}
		if first {
			n++
		}
	}
	return n
}

// action says what has to be done to come to a choice; a pick below 0 is none.
func (d *derivation) action(s *Setting, g *group, at, pick int) {
	switch {
	case g.virtual:
		s.Action = Absent
		return
	case len(g.options) == 0:
		s.Action = Fixed
		if teachable(g) {
			s.Action = Learned
			if s.Value == setting.None { // it is left untaught
				s.Action = Leave
			}
		}
		return
	}
	for i, o := range g.options {
		if !slices.Contains(settingsOf(g.options[i:i+1]), s.Key.Setting) {
			continue
		}
		s.Option, s.Action = o.ID, Leave
		if pick < 0 { // nothing to set
			break
		}
		s.Position = g.choices[pick].positions[i]
		if s.Position != o.Factory {
			s.Action = map[string]Action{"strap": Strap, "dial": Dial, "cable": Cable, "learned": Learned}[o.How]
			if s.Action == "" {
				s.Action = Set
			}
		}
		break
	}
}

// teachable tells a gesture that is taught its channel from settings that are fixed.
func teachable(g *group) bool {
	return len(g.choices) > 1
}
