package bench

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/cel-go/cel"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/rules/base"
	"asleft/rules/derive"
)

// rule is one rule for one instance, as an expression of the common expression language.
type rule struct {
	name    string
	program cel.Program
}

// install is what both sides look at.
type install struct {
	facts    *base.Facts
	settings map[string]string
	vars     map[string]any // what the expressions see
}

func readInstall(tb testing.TB) (derive.Input, *install) {
	tb.Helper()
	folder := filepath.Join("..", "jobs")
	data, err := os.ReadFile(filepath.Join(folder, "minibus.toml"))
	if err != nil {
		tb.Fatal(err)
	}
	j, err := job.Read("minibus.toml", data)
	if err != nil {
		tb.Fatal(err)
	}
	in := derive.Input{Base: base.Shipped(), Job: j, Profiles: profile.Demo().All()}
	facts, problems := base.Gather(in.Base, j, in.Profiles, nil, nil)
	if problems != nil {
		tb.Fatal(problems)
	}
	r, err := derive.Derive(in)
	if err != nil {
		tb.Fatal(err)
	}
	x := &install{facts: facts, settings: map[string]string{}, vars: map[string]any{}}
	for _, s := range r.Settings {
		if _, ok := x.settings[s.Key.Setting]; !ok {
			x.settings[s.Key.Setting] = string(s.Value)
		}
	}
	return in, x
}

// variable gives a fact or setting its name in expressions, and its value. Unknown is "?", without meaning is "".
func (x *install) variable(kind, name, value string) string {
	id := kind + strings.NewReplacer(".", "_", "-", "_").Replace(name)
	x.vars[id] = value
	return id
}

func (x *install) fact(name string, safety bool) string {
	r := x.facts.Read(name)
	value := r.Value
	switch {
	case r.State == base.NotKnown && safety && r.Type.Assumes():
		return x.variable("worst_", name, r.Type.Worst)
	case r.State == base.NotKnown:
		value = "?"
	}
	return x.variable("fact_", name, value)
}

func (x *install) condition(c base.Condition, instance string, safety bool) string {
	parts := []string{"true"}
	for _, l := range c.All {
		parts = append(parts, x.line(l, instance, safety))
	}
	var some []string
	for _, l := range c.Any {
		some = append(some, x.line(l, instance, safety))
	}
	if some != nil {
		parts = append(parts, "("+strings.Join(some, " || ")+")")
	}
	for _, l := range c.None {
		parts = append(parts, "!("+x.line(l, instance, safety)+")")
	}
	return strings.Join(parts, " && ")
}

func (x *install) line(l *base.Line, instance string, safety bool) string {
	name := base.Fill(l.Name, instance)
	switch l.Subject {
	case base.OfKind:
		return x.over(l, safety)
	case base.OfCan:
		return fmt.Sprint(x.can(name, l.Values) != l.Not)
	case base.OfSetting:
		return is(x.variable("setting_", name, x.settings[name]), l)
	}
	return is(x.fact(name, safety), l)
}

func is(id string, l *base.Line) string {
	var some []string
	for _, v := range l.Values {
		some = append(some, fmt.Sprintf("%s == %q", id, v))
	}
	text := "(" + strings.Join(some, " || ") + ")"
	if l.Not {
		return fmt.Sprintf("(%s != \"?\" && !%s)", id, text)
	}
	return text
}

func (x *install) over(l *base.Line, safety bool) string {
	var each []string
	for _, instance := range x.facts.InstancesOf(l.Kind) {
		var all []string
		for _, in := range l.Inner {
			all = append(all, x.line(in, instance, safety))
		}
		each = append(each, "("+strings.Join(all, " && ")+")")
	}
	switch l.Over {
	case base.Every:
		return "(true && " + strings.Join(append(each, "true"), " && ") + ")"
	case base.Some:
		return "(false || " + strings.Join(append(each, "false"), " || ") + ")"
	case base.No:
		return "!(false || " + strings.Join(append(each, "false"), " || ") + ")"
	}
	pairs := []string{"true"}
	for i := range each {
		for j := range i {
			pairs = append(pairs, "!("+each[i]+" && "+each[j]+")")
		}
	}
	return "(" + strings.Join(pairs, " && ") + ")"
}

// can reports whether a device has one of the values.
func (x *install) can(name string, values []string) bool {
	for _, d := range x.facts.Devices {
		if v, ok := d.Profile.Fixed[name]; ok && slices.Contains(values, v) {
			return true
		}
		for _, o := range d.Profile.Options {
			for _, v := range o.Values {
				if slices.Contains(values, v.Is[name]) {
					return true
				}
			}
		}
	}
	return false
}

// rules compiles every rule for every instance.
func (x *install) rules(tb testing.TB) []rule {
	tb.Helper()
	var names, texts []string
	for _, r := range x.facts.Base.Rules {
		instances := []string{""}
		if r.Each != "" {
			instances = x.facts.InstancesOf(r.Each)
		}
		for _, instance := range instances {
			names = append(names, strings.TrimSpace(r.ID+" "+instance))
			texts = append(texts, x.condition(r.When, instance, r.Level == base.Safety))
		}
	}
	var options []cel.EnvOption
	for id := range x.vars {
		options = append(options, cel.Variable(id, cel.StringType))
	}
	env, err := cel.NewEnv(options...)
	if err != nil {
		tb.Fatal(err)
	}
	var out []rule
	for i, text := range texts {
		ast, issues := env.Compile(text)
		if issues.Err() != nil {
			tb.Fatalf("%s: %v", text, issues.Err())
		}
		p, err := env.Program(ast, cel.EvalOptions(cel.OptOptimize))
		if err != nil {
			tb.Fatal(err)
		}
		out = append(out, rule{names[i], p})
	}
	return out
}

// fired evaluates all rules and appends the names of those that fire.
func fired(tb testing.TB, rules []rule, vars map[string]any, dst []string) []string {
	for i := range rules {
		v, _, err := rules[i].program.Eval(vars)
		if err != nil {
			tb.Fatal(err)
		}
		if v.Value() == true {
			dst = append(dst, rules[i].name)
		}
	}
	return dst
}

// Both sides find the same rules to fire: the reasons of the derivation.
func TestSameReasonsAsCEL(t *testing.T) {
	in, x := readInstall(t)
	theirs := fired(t, x.rules(t), x.vars, nil)
	s, err := derive.NewSweep(in)
	if err != nil {
		t.Fatal(err)
	}
	v, err := s.Vector(in)
	if err != nil {
		t.Fatal(err)
	}
	single := s.Single()
	single.Derive(v)
	ours := single.Fired(nil)
	slices.Sort(ours)
	slices.Sort(theirs)
	if !slices.Equal(ours, theirs) {
		for _, n := range ours {
			if !slices.Contains(theirs, n) {
				t.Error("only ours:", n)
			}
		}
		for _, n := range theirs {
			if !slices.Contains(ours, n) {
				t.Error("only CEL's:", n)
			}
		}
	}
	t.Logf("%d rules fire on both sides", len(ours))
}

// BenchmarkDerivation derives one install with its reasons, ours beside the common expression language (cel-go) that evaluates
// the same conditions and lists the same rules; the settings themselves, which it is given, cost it nothing.
func BenchmarkDerivation(b *testing.B) {
	in, x := readInstall(b)
	rules := x.rules(b)
	s, err := derive.NewSweep(in)
	if err != nil {
		b.Fatal(err)
	}
	v, err := s.Vector(in)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		single, names := s.Single(), make([]string, 0, 1024)
		for b.Loop() {
			single.Derive(v)
			names = single.Fired(names[:0])
		}
		b.ReportMetric(float64(len(names)), "reasons")
	})
	b.Run("cel", func(b *testing.B) {
		b.ReportAllocs()
		names := make([]string, 0, 1024)
		for b.Loop() {
			names = fired(b, rules, x.vars, names[:0])
		}
		b.ReportMetric(float64(len(names)), "reasons")
	})
	b.Run("ours, sixty-four at once", func(b *testing.B) {
		fleet := make([]derive.Vector, 640)
		for i := range fleet {
			fleet[i] = v
		}
		for b.Loop() {
			s.Verdicts(fleet)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(fleet)), "ns/install")
	})
}
