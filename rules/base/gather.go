package base

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/config/source"
)

// Facts is what is known about one install: the values of all facts of the catalogue, with the place where
// each was written, the numbers that rules use as bounds, and the devices.
type Facts struct {
	Base      *Base
	Job       *job.Job
	Policy    *job.Policy // nil without one
	Devices   []Fitted    // controllers and modules, in the order of the job
	Remotes   []Fitted
	Instances map[string][]string // by kind, sorted
	Numbers   map[string]Number   // quantities that are known

	said map[string]said // by fact name; only what somebody said
}

// Fitted is a device of the job with its profile.
type Fitted struct {
	Name    string // "controller"
	Profile *profile.Profile
	Link    string // form of the link in use, for a module
	LinkTo  string
	Pos     source.Pos
}

// Number is a quantity of the install.
type Number struct {
	Value float64
	Pos   source.Pos
}

type said struct {
	value string
	pos   source.Pos
	tried bool // from --with
}

// Reading is a fact of an install.
type Reading struct {
	Name  string
	Type  *FactType
	Value string // "" unless the state is Known
	State State
	Pos   source.Pos
	Tried bool // the value was given to try it, not read from a file
}

// Gather reads the facts out of a job, the profiles of its devices and the shop's policy (nil without one), and
// checks what job and profiles say about each other. tries gives facts or quantities other values ("what if"),
// by name. The problems are positioned; with any, the facts must not be used.
func Gather(b *Base, j *job.Job, profiles []*profile.Profile, policy *job.Policy, tries map[string]string) (*Facts, source.Problems) {
	g := &gatherer{
		facts: &Facts{
			Base: b, Job: j, Policy: policy,
			Instances: map[string][]string{}, Numbers: map[string]Number{}, said: map[string]said{},
		},
	}
	g.fit(profiles)
	if g.problems != nil {
		return nil, g.problems
	}
	g.vehicle()
	g.body()
	g.place()
	g.signals()
	g.openings()
	g.conductors()
	g.starting()
	g.links()
	g.outputs()
	g.exitProof()
	g.functions()
	g.words()
	// order-free: each list is sorted by itself
	for _, names := range g.facts.Instances {
		slices.Sort(names) // the order of tables in a job means nothing
	}
	g.try(tries)
	if g.problems != nil {
		return nil, g.problems
	}
	return g.facts, nil
}

type gatherer struct {
	facts    *Facts
	problems source.Problems
}

// say notes a fact; "" is nothing said. path is where the job says it.
func (g *gatherer) say(name, value string, path ...string) {
	if value == "" {
		return
	}
	f, _, ok := g.facts.Base.Fact(name)
	if !ok || !slices.Contains(f.Domain, value) {
		panic(fmt.Sprintf("rules/base: a reader says %s = %q, which the catalogue does not know", name, value))
	}
	g.facts.said[name] = said{value: value, pos: g.facts.Job.Doc.Where(path...)}
}

// yes notes a fact that is yes or no.
func (g *gatherer) yes(name string, holds bool, path ...string) {
	g.say(name, map[bool]string{true: "yes", false: "no"}[holds], path...)
}

// number notes a quantity; zero is nothing said.
func (g *gatherer) number(name string, value float64, path ...string) {
	if value == 0 {
		return
	}
	if _, ok := g.facts.Base.Quantity(name); !ok {
		panic("rules/base: a reader gives the quantity " + name + ", which the catalogue does not know")
	}
	g.facts.Numbers[name] = Number{Value: value, Pos: g.facts.Job.Doc.Where(path...)}
}

func (g *gatherer) fault(p source.Problem, path ...string) {
	g.problems = append(g.problems, g.facts.Job.Doc.Problem(p, path...))
}

// words notes the wishes, limits and defaults that rules may read.
func (g *gatherer) words() {
	for _, w := range g.facts.Job.Wishes {
		family, ok := setting.Find(w.Setting)
		if !ok {
			continue
		}
		value := Given
		if family.Kind == setting.KindWord {
			value = w.Value
		} else if w.Value == "off" || w.Value == "none" {
			continue // it asks for nothing
		}
		g.say("wish."+w.Setting, value, "wish", w.Name, "value")
	}
	if g.facts.Policy == nil {
		return
	}
	// order-free: each line of policy has a name of its own
	for kind, bounds := range map[string][]job.Bound{"limit": g.facts.Policy.Limits, "default": g.facts.Policy.Defaults} {
		for _, b := range bounds {
			g.facts.said[kind+"."+b.Setting] = said{value: Given, pos: g.facts.Policy.Doc.Where(kind, b.Name)}
		}
	}
}

// try puts the values of a what-if over those of the files.
func (g *gatherer) try(tries map[string]string) {
	for _, name := range sortedKeys(tries) {
		value := tries[name]
		if _, ok := g.facts.Base.Quantity(name); ok {
			n, ok := setting.Value(value).Number()
			if !ok {
				g.problems = append(g.problems, source.Problem{Message: fmt.Sprintf("%s is a number, not %q", name, value), Found: value})
				continue
			}
			g.facts.Numbers[name] = Number{Value: n}
			continue
		}
		f, instance, ok := g.facts.Base.Fact(name)
		if !ok || (f.Each != "" && !slices.Contains(g.facts.InstancesOf(f.Each), instance)) {
			g.problems = append(g.problems, source.Problem{Message: fmt.Sprintf("there is no fact %q in this job", name), Nearest: source.Nearest(name, g.facts.Names())})
			continue
		}
		if !slices.Contains(f.Domain, value) {
			g.problems = append(g.problems, source.Problem{Message: fmt.Sprintf("%s is never %q", name, value), Expected: "one of " + strings.Join(f.Domain, ", "), Nearest: source.Nearest(value, f.Domain)})
			continue
		}
		g.facts.said[name] = said{value: value, tried: true}
	}
}

// InstancesOf are the instances of a kind, fixed or not.
func (f *Facts) InstancesOf(kind string) []string {
	if words, fixed := f.Base.Kinds[kind]; fixed {
		return words
	}
	return f.Instances[kind]
}

// Names are the names of all facts of this install, sorted.
func (f *Facts) Names() []string {
	var names []string
	for _, t := range f.Base.Facts {
		if t.Each == "" {
			names = append(names, t.Pattern)
			continue
		}
		for _, instance := range f.InstancesOf(t.Each) {
			names = append(names, Fill(t.Pattern, instance))
		}
	}
	slices.Sort(names)
	return names
}

// Read gives a fact of the install. A name that is no fact is a mistake of the caller and panics.
func (f *Facts) Read(name string) Reading {
	t, instance, ok := f.Base.Fact(name)
	if !ok {
		panic("rules/base: there is no fact " + name)
	}
	r := Reading{Name: name, Type: t, State: Known}
	s := f.said[name]
	value, given := f.Said(name)
	r.Pos, r.Tried = s.pos, s.tried
	applies := True
	for _, l := range t.Applies {
		applies = min(applies, l.Eval(installOfFacts{f}, instance))
	}
	switch {
	case applies == False:
		r.State = NoMeaning
	case given:
		r.Value = value
	case t.Absent != "":
		r.Value = t.Absent
	default:
		r.State = NotKnown
	}
	if r.Pos == (source.Pos{}) && !r.Tried {
		r.Pos = source.Pos{File: f.Job.Doc.Name()}
	}
	return r
}

// Fact serves the lines that say when a fact applies.
func (f *Facts) Fact(name string) (string, State) {
	r := f.Read(name)
	return r.Value, r.State
}

// Setting is never known here: facts do not wait for settings.
func (f *Facts) Setting(string) []string { return nil }

// Can is never asked here.
func (f *Facts) Can(string, string) Truth { return Unknown }

var _ Install = (*installOfFacts)(nil)

type installOfFacts struct{ *Facts }

// Instances are those of a kind.
func (f installOfFacts) Instances(kind string) []string { return f.InstancesOf(kind) }

// Controller is the first controller of the job; Gather made sure that there is one.
func (f *Facts) Controller() Fitted {
	i := slices.IndexFunc(f.Devices, func(d Fitted) bool { return d.Profile.Kind == profile.Controller })
	return f.Devices[i]
}

// sortFitted keeps devices in the order of their names, so that the order of tables in a job means nothing.
func sortFitted(list []Fitted) {
	slices.SortFunc(list, func(a, b Fitted) int { return cmp.Compare(a.Name, b.Name) })
}

// Said gives the value that somebody gave to a fact, if anybody did.
func (f *Facts) Said(name string) (string, bool) {
	if q, asks := strings.CutPrefix(name, "known."); asks {
		_, known := f.Numbers[q]
		return map[bool]string{true: "yes", false: "no"}[known], true
	}
	s, ok := f.said[name]
	return s.value, ok
}
