package base

import (
	"fmt"
	"slices"

	"asleft/config/source"
)

// CheckExamples runs the examples of all rules and gives those that do not come out as written.
func (b *Base) CheckExamples() source.Problems {
	var problems source.Problems
	for _, r := range b.Rules {
		for _, e := range r.Examples {
			if got := b.Fires(r, e); got != e.Fires {
				problems = append(problems, source.Problem{
					Pos:      e.Pos,
					Message:  fmt.Sprintf("the example %q of the rule %q comes out the other way", e.Name, r.ID),
					Expected: fmt.Sprintf("fires = %v", e.Fires), Found: fmt.Sprintf("fires = %v", got),
				})
			}
		}
	}
	return problems
}

// Fires reports whether the rule fires in the example, in at least one of its instances.
func (b *Base) Fires(r *Rule, e Example) bool {
	in := imagined{base: b, example: e, worst: r.Level == Safety}
	if r.Each == "" {
		return r.When.Eval(in, "") == True
	}
	for _, instance := range in.Instances(r.Each) {
		if r.When.Eval(in, instance) == True {
			return true
		}
	}
	return false
}

// imagined is the install that an example describes.
type imagined struct {
	base    *Base
	example Example
	worst   bool // what is unknown is the worst
}

// Fact gives the word of the example, or what holds when the example does not say.
func (in imagined) Fact(name string) (string, State) {
	f, instance, ok := in.base.Fact(name)
	if !ok {
		return "", NotKnown
	}
	if v, given := in.example.Facts[name]; given {
		return v, Known
	}
	applies := True
	for _, l := range f.Applies {
		applies = min(applies, l.Eval(in, instance))
	}
	switch {
	case applies == False:
		return "", NoMeaning
	case f.Absent != "":
		return f.Absent, Known
	case in.worst && f.Assumes():
		return f.Worst, Known
	}
	return "", NotKnown
}

// Setting gives the value that the example takes for granted.
func (in imagined) Setting(name string) []string {
	if v, ok := in.example.Settings[name]; ok {
		return []string{v}
	}
	return nil
}

// Can reports what the imagined devices can do.
func (in imagined) Can(setting, value string) Truth {
	return If(slices.Contains(in.example.Can, setting+" to "+value))
}

// Instances exist when a fact of the example names them.
func (in imagined) Instances(kind string) []string {
	if words, fixed := in.base.Kinds[kind]; fixed {
		return words
	}
	var out []string
	for _, name := range sortedKeys(in.example.Facts) {
		f, instance, ok := in.base.Fact(name)
		if ok && f.Each == kind && !slices.Contains(out, instance) {
			out = append(out, instance)
		}
	}
	return out
}
