package derive

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/base"
)

// remedies are the changes that touch what the first failure of a scope rests on.
func (d *derivation) remedies(r *Result, scope Scope) []change {
	f := failing(r, scope)[0]
	out := d.factChanges(f)
	out = append(out, d.wishChanges(f)...)
	out = append(out, d.dropChanges(f, scope)...)
	if len(f.Facts) > 0 || f.Scope.What != "job" {
		out = append(out, d.deviceChanges()...)
	}
	return out
}

// factChanges are the changes of the rule base that touch a fact of the failure, where their needs are met.
func (d *derivation) factChanges(f Finding) []change {
	names := map[string]bool{}
	for _, fact := range d.ground(f) {
		names[fact.Name] = true
	}
	var out []change
	v := view{p: d.program, st: d.state}
	for _, c := range d.program.facts.Base.Changes {
		for _, instance := range d.program.instances(c.Each) {
			name := base.Fill(c.Fact, instance)
			if !names[name] || !d.possible(v, c, instance) {
				continue
			}
			kind := map[base.ChangeKind]RepairKind{base.AddPart: AddPart, base.JoinWire: JoinWire, base.ChangeMode: SetMode}[c.Kind]
			to := c.To
			out = append(out, change{
				id: "fact " + name + " " + to, about: "fact " + name,
				says:  RepairChange{Kind: kind, Says: strings.ReplaceAll(c.Says, "NAME", instance), Pos: d.program.facts.Read(name).Pos},
				apply: func(in *Input) { in.With[name] = to },
			})
		}
	}
	return out
}

// possible reports whether the needs of a change are met by known facts.
func (d *derivation) possible(v view, c *base.Change, instance string) bool {
	d.program.ensure(c, instance, d.state)
	for _, l := range c.Needs {
		if l.Eval(v, instance) != base.True {
			return false
		}
	}
	return true
}

// ensure loads facts that no rule reads and that a change asks about.
func (p *program) ensure(c *base.Change, instance string, st *state) {
	for _, l := range c.Needs {
		l.Leaves(func(leaf *base.Line, _ string) {
			name := base.Fill(leaf.Name, instance)
			if _, known := p.byName[name]; known || leaf.Subject != base.OfFact {
				return
			}
			v := p.fact(name)
			bits := p.said(&p.vars[v])
			st.raw, st.seen, st.assumed = append(st.raw, bits), append(st.seen, bits), append(st.assumed, bits)
		})
	}
}

// ground are the facts of a failure, down through the settings that its rules read.
func (d *derivation) ground(f Finding) []FactRef {
	out := slices.Clone(f.Facts)
	for _, ref := range f.Rules {
		for i := range d.program.rules {
			if d.program.rules[i].rule.ID == ref.Rule && d.state.truth[i] == base.True {
				out = d.deep(out, int32(i), nil)
			}
		}
	}
	return out
}

// wishChanges drop a wish that the failure rests on, or turn it into another value that its device has.
func (d *derivation) wishChanges(f Finding) []change {
	var out []change
	for i, w := range d.in.Job.Wishes {
		pos := d.in.Job.Doc.Where("wish", w.Name, "value")
		if !slices.ContainsFunc(f.Rules, func(r RuleRef) bool { return r.Pos == pos }) {
			continue
		}
		out = append(out, change{
			id: "wish " + w.Name, about: "wish " + w.Name,
			says:  RepairChange{Kind: DropWish, Says: fmt.Sprintf("Leave out the wish %s = %s (%s).", w.Setting, w.Value, w.Name), Pos: pos},
			apply: func(in *Input) { in.Job.Wishes = slices.DeleteFunc(slices.Clone(in.Job.Wishes), named(w.Name)) },
		})
		for _, v := range d.otherValues(w) {
			out = append(out, change{
				id: "wish " + w.Name + " = " + string(v), about: "wish " + w.Name,
				says: RepairChange{Kind: ChangeWish, Says: fmt.Sprintf("Wish %s = %s instead of %s (%s).", w.Setting, v, w.Value, w.Name), Pos: pos},
				apply: func(in *Input) {
					in.Job.Wishes = slices.Clone(in.Job.Wishes)
					in.Job.Wishes[i].Value = string(v)
				},
			})
		}
	}
	return out
}

func named(name string) func(job.Wish) bool {
	return func(w job.Wish) bool { return w.Name == name }
}

// otherValues are the values of a wish's setting on its device, beside the one wished for.
func (d *derivation) otherValues(w job.Wish) []setting.Value {
	var out []setting.Value
	for _, i := range d.program.bySet[w.Setting] {
		g := d.program.groups[i]
		if g.virtual || (w.Device != "" && g.device.Name != w.Device) {
			continue
		}
		for _, c := range g.choices {
			v := c.values[g.place(w.Setting)]
			if v != "" && string(v) != w.Value && !slices.Contains(out, v) {
				out = append(out, v)
			}
		}
	}
	return out
}

// dropChanges give up what was refused: remote start, or a function.
func (d *derivation) dropChanges(f Finding, scope Scope) []change {
	var out []change
	if f.Scope.What == "remote-start" && d.wanted() {
		out = append(out, change{
			id: "start", about: "start",
			says:  RepairChange{Kind: DropWish, Says: "Leave remote start out.", Pos: d.in.Job.Doc.Where("start")},
			apply: func(in *Input) { in.Without = true },
		})
	}
	if scope.What == "function" {
		out = append(out, change{
			id: "function " + scope.Name, about: "function " + scope.Name,
			says: RepairChange{Kind: DropWish, Says: fmt.Sprintf("Leave the function %s out.", scope.Name), Pos: d.in.Job.Doc.Where("function", scope.Name)},
			apply: func(in *Input) {
				in.Job.Functions = slices.DeleteFunc(slices.Clone(in.Job.Functions), func(f job.Function) bool { return f.Name == scope.Name })
			},
		})
	}
	return out
}

// deviceChanges put another controller or module in the place of one.
func (d *derivation) deviceChanges() []change {
	var out []change
	for _, have := range d.program.facts.Devices {
		for _, p := range d.in.Profiles {
			if p.Kind != have.Profile.Kind || p.ID == have.Profile.ID {
				continue
			}
			out = append(out, change{
				id: "device " + have.Name + " " + p.ID, about: "device " + have.Name,
				says:  RepairChange{Kind: SwapDevice, Says: fmt.Sprintf("Fit %s in place of %s as %s, joined in the same way.", p.ID, have.Profile.ID, have.Name), Pos: have.Pos},
				apply: func(in *Input) { in.Job = swapped(in.Job, have.Name, have.Profile, p) },
			})
		}
	}
	return out
}

// swapped is the job with another device: each conductor moves to a terminal of the new device that does the same. What
// finds no such terminal keeps its name, and then the job does not fit the profile: no repair.
func swapped(j *job.Job, name string, from, to *profile.Profile) *job.Job {
	out := *j
	out.Devices = slices.Clone(j.Devices)
	for i := range out.Devices {
		if out.Devices[i].Name == name {
			out.Devices[i].Profile, out.Devices[i].Straps = to.ID, nil
		}
	}
	if to.Kind != profile.Controller {
		return &out
	}
	out.Signals = slices.Clone(j.Signals)
	for i := range out.Signals {
		out.Signals[i].Input = ""
	}
	out.Feeds = moveFeeds(j, to)
	out.Outputs = moveOutputs(j, from, to)
	out.Functions = slices.Clone(j.Functions)
	for i := range out.Functions {
		out.Functions[i].Output = ""
	}
	return &out
}

// moveFeeds gives each joined conductor a feed of the new device with the conductor's role, the closest in rating.
func moveFeeds(j *job.Job, to *profile.Profile) []job.FeedJoin {
	roles := map[string]string{}
	for _, c := range j.Circuits {
		roles[c.Name] = c.Role
	}
	taken := map[string]bool{}
	out := slices.Clone(j.Feeds)
	for _, selectable := range []bool{false, true} { // fixed feeds first, so that selectable ones are left for the rest
		for i := range out {
			if taken[j.Feeds[i].Name+" moved"] {
				continue
			}
			for _, f := range to.Feeds {
				if !taken[f.Name] && slices.Contains(f.Roles, roles[out[i].Circuit]) && (len(f.Roles) > 1) == selectable {
					taken[f.Name], taken[j.Feeds[i].Name+" moved"] = true, true
					out[i].Feed = f.Name
					break
				}
			}
		}
	}
	for i := range out {
		if !taken[j.Feeds[i].Name+" moved"] {
			out[i].Feed = "none-left"
		}
	}
	return out
}

// moveOutputs gives each joined line an output of the new device with the same use; lines without one are left off.
func moveOutputs(j *job.Job, from, to *profile.Profile) []job.OutputJoin {
	uses := map[string]string{}
	for _, o := range from.Outputs {
		uses[o.Name] = o.Use
	}
	taken := map[string]bool{}
	var out []job.OutputJoin
	for _, o := range j.Outputs {
		for _, n := range to.Outputs {
			if !taken[n.Name] && n.Use == uses[o.Output] {
				taken[n.Name] = true
				o.Output = n.Name
				out = append(out, o)
				break
			}
		}
	}
	return out
}
