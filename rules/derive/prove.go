package derive

import (
	"fmt"
	"slices"
	"strconv"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// Gap is an install that is unsafe and that the rules give a keying card: a counterexample.
type Gap struct {
	Unsafe   *base.Unsafe
	Instance string
	Device   string            // id of the controller's profile, "free" for a device whose abilities are left open
	Facts    map[string]string // facts that are known; the rest is not known or has no meaning
	Settings map[string]string // choices that the hard levels leave
	Job      string            // the install as a job file, "" for the free device and where no job says it
	Ran      bool              // the job was derived, and nothing in it is refused or open
}

// Proof says what was looked at.
type Proof struct {
	Gaps     []Gap
	Cases    int // unsafe conditions and instances, over all devices
	Devices  int
	Openings int
	GaveUp   []string // cases that were not decided within the limit
}

// Bounds of the proof: so many instances of each kind. An install with fewer openings is covered, too: the proof runs for
// every number of them from none up.
const (
	proofOpenings  = 6
	proofCircuits  = 8
	proofOutputs   = 4
	proofFunctions = 1 // rules about functions speak of one at a time
	proofDecisions = 200000
)

// Prove shows that no install which is unsafe gets a keying card, or gives the installs that do. It looks at every
// assignment of every fact, known or not known, under the constraints of the catalogue, for the devices given and for one
// whose abilities are all left open. The method is a complete search (see search.Solve) over the world of package comment
// and world.go: what has no solution there does not exist. The unsafe conditions are those of the rule base's own tables,
// which read no rule.
func Prove(b *base.Base, controllers []*profile.Profile, modules []*profile.Profile) (Proof, error) {
	out := Proof{Openings: proofOpenings}
	for n := 0; n <= proofOpenings; n++ {
		for _, c := range controllers {
			for _, m := range append([]*profile.Profile{nil}, modules...) {
				if n != proofOpenings && m != nil {
					continue // openings and modules have no rule in common
				}
				p, err := imagine(b, c, m, n, false)
				if err != nil {
					return out, err
				}
				out.device(p, &shape{base: b, controller: c, module: m})
			}
		}
		p, err := imagine(b, freeDevice(b), nil, n, true)
		if err != nil {
			return out, err
		}
		out.device(p, &shape{base: b})
	}
	return out, nil
}

// shape is what a proof is about: the free device has no controller.
type shape struct {
	base               *base.Base
	controller, module *profile.Profile
}

func (s *shape) name() string {
	if s.controller == nil {
		return "free"
	}
	return s.controller.ID
}

// device proves everything for one device.
func (out *Proof) device(p *program, s *shape) {
	out.Devices++
	w := newWorld(p)
	for _, u := range p.facts.Base.Unsafe {
		for _, instance := range p.instances(u.Each) {
			out.Cases++
			problem := w.unsafe(u, instance)
			values, end := search.Solve(problem, proofDecisions)
			switch end {
			case search.Found:
				g := Gap{Unsafe: u, Instance: instance, Device: s.name(), Facts: w.install(values), Settings: w.settings(values)}
				s.run(&g, w, problem)
				out.Gaps = append(out.Gaps, g)
			case search.GaveUp:
				out.GaveUp = append(out.GaveUp, fmt.Sprintf("%s %s on %s", u.ID, instance, s.name()))
			}
		}
	}
}

// unsafe is the problem of an install that is unsafe and gets a card.
func (w *world) unsafe(u *base.Unsafe, instance string) search.Problem {
	scope := Scope{What: u.Scope}
	if u.Scope == "function" {
		scope.Name = instance
	}
	c := w.p.condition(u.When, instance)
	at := len(w.p.tests)
	s := w.p.emit(c)
	problem := w.with(func(w *world) {
		w.demand(s, c.impossible(), false)
		w.carded(scope)
	})
	w.p.tests = w.p.tests[:at]
	return problem
}

// settings are the choices of a solution.
func (w *world) settings(values []uint64) map[string]string {
	out := map[string]string{}
	for _, g := range w.p.groups {
		for i, c := range g.choices {
			if values[g.v] == 1<<i {
				for at, s := range g.settings {
					out[s] = string(c.values[at])
				}
			}
		}
	}
	return out
}

// imagine compiles the shape of every install with a controller, perhaps a module, and so many openings.
func imagine(b *base.Base, controller, module *profile.Profile, openings int, free bool) (*program, error) {
	devices := []base.Fitted{{Name: "controller", Profile: controller}}
	if module != nil {
		devices = append(devices, base.Fitted{Name: "link", Profile: module, Link: "serial", LinkTo: "controller"})
	}
	instances := map[string][]string{
		"opening": numbered("o", openings), "circuit": numbered("c", proofCircuits), "function": numbered("f", proofFunctions), "remote": numbered("r", 1),
	}
	for _, f := range controller.Feeds {
		instances["feed"] = append(instances["feed"], f.Name)
	}
	for _, o := range controller.Outputs {
		instances["output"] = append(instances["output"], o.Name)
	}
	facts := base.Imagine(b, devices, instances)
	p := &program{facts: facts, byName: map[string]int32{}, bySet: map[string][]int32{}, free: free, abilities: map[ability]int32{}}
	return compileAs(p, Input{Base: b, Job: &job.Job{}, Demands: []Demand{}})
}

func numbered(prefix string, n int) []string {
	var out []string
	for i := 1; i <= n; i++ {
		out = append(out, prefix+strconv.Itoa(i))
	}
	return out
}

// freeDevice is a controller that has every setting of the vocabulary with every value that the rules speak of.
func freeDevice(b *base.Base) *profile.Profile {
	p := &profile.Profile{ID: "free", Label: "a device whose abilities are left open", Kind: profile.Controller, NominalVolts: 12}
	for _, n := range numbered("f", 3) {
		p.Feeds = append(p.Feeds, profile.Feed{Name: n, Roles: []string{"held", "dropped", "starter", "key-in", "off"}})
	}
	for _, n := range numbered("", proofOutputs) {
		p.Outputs = append(p.Outputs, profile.Output{Name: n, Use: "aux"})
	}
	spoken := spokenValues(b)
	for _, f := range setting.Families() {
		for _, name := range freeNames(p, f) {
			values := slices.Clone(f.Words)
			if f.Kind != setting.KindWord {
				values = append(values, spoken[f.Pattern]...)
			}
			if f.Kind == setting.KindSet {
				values = append(spoken[f.Pattern], string(setting.None))
			}
			slices.Sort(values)
			values = slices.Compact(values)
			o := profile.Option{ID: name, How: "keyed"}
			for _, v := range values {
				o.Values = append(o.Values, profile.OptionValue{Name: v, Is: map[string]string{name: v}})
			}
			if len(o.Values) > 0 && len(o.Values) <= maxChoices {
				p.Options = append(p.Options, o)
			}
		}
	}
	return p
}

// freeNames are the settings of a family that the free device has.
func freeNames(p *profile.Profile, f setting.Family) []string {
	switch f.Pattern {
	case "feed.NAME.role":
		var out []string
		for _, feed := range p.Feeds {
			out = append(out, setting.Instance(f.Pattern, feed.Name))
		}
		return out
	}
	if base.OfPlan(f.Pattern) {
		return nil
	}
	return []string{f.Pattern}
}

// spokenValues are the values that rules give to settings, by pattern.
func spokenValues(b *base.Base) map[string][]string {
	out := map[string][]string{}
	for _, r := range b.Rules {
		for _, e := range r.Effects {
			f, _, ok := familyOf(base.Fill(e.Setting, "x"))
			if !ok {
				continue
			}
			for _, v := range e.Values {
				if v != "largest" && v != "smallest" {
					out[f.Pattern] = append(out[f.Pattern], string(v))
				}
			}
		}
	}
	return out
}
