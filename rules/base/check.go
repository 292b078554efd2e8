package base

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
)

// check does what needs all files: names, words, kinds, tests, and the graph of settings.
func (l *loader) check() {
	for _, f := range l.later {
		f()
	}
	l.checkGraph()
	l.checkPasses()
}

func (l *loader) checkRule(t *source.Table, r *Rule) {
	l.checkKind(t, r.Each)
	l.checkCondition(t, r.When, r.Each)
	for _, name := range r.NotApplicable {
		l.checkValues(t, "not-applicable", name, nil)
	}
	for _, id := range r.Prove {
		if !slices.ContainsFunc(l.base.Tests, func(t *Test) bool { return t.ID == id }) {
			var ids []string
			for _, t := range l.base.Tests {
				ids = append(ids, t.ID)
			}
			t.Fault("prove", source.Problem{Message: fmt.Sprintf("there is no test %q", id), Nearest: source.Nearest(id, ids)})
		}
	}
	fires, silent := 0, 0
	for _, e := range r.Examples {
		if e.Fires {
			fires++
		} else {
			silent++
		}
	}
	unconditional := len(r.When.Lines()) == 0
	if fires == 0 || (silent == 0 && !unconditional) {
		t.Fault("", source.Problem{Message: fmt.Sprintf("the rule %q lacks an example that fires it, or one that does not", r.ID), Example: "[rule." + r.ID + ".example.plain]"})
	}
}

func (l *loader) checkCondition(t *source.Table, c Condition, each string) {
	when := t.Sub("when")
	l.checkLines(when, "all", c.All, each)
	l.checkLines(when, "any", c.Any, each)
	l.checkLines(when, "none", c.None, each)
}

func (l *loader) checkLines(t *source.Table, key string, lines []*Line, each string) {
	for _, line := range lines {
		if line.Subject == OfKind {
			l.checkOver(t, key, line)
		}
		line.Leaves(func(leaf *Line, kind string) {
			if kind == "" {
				kind = each
			}
			switch leaf.Subject {
			case OfFact:
				l.checkWord(t, key, leaf.Name, leaf.Values, kind)
			default:
				l.checkValues(t, key, leaf.Name, leaf.Values)
			}
		})
	}
}

func (l *loader) checkOver(t *source.Table, key string, line *Line) {
	if slices.Contains(DynamicKinds, line.Kind) || l.base.Kinds[line.Kind] != nil {
		return
	}
	t.Fault(key, source.Problem{Message: fmt.Sprintf("the line %q names no kind", line.Text), Found: line.Kind, Nearest: source.Nearest(line.Kind, DynamicKinds)})
}

// checkWord checks a fact's name and words. kind is what NAME stands for here; "NAME" as kind lets
// instances be named, as examples do.
func (l *loader) checkWord(t *source.Table, key, name string, words []string, kind string) {
	f, instance, ok := l.base.Fact(name)
	if !ok {
		t.Fault(key, source.Problem{Message: fmt.Sprintf("there is no fact %q", name), Nearest: source.Nearest(name, l.base.FactNames())})
		return
	}
	_, fixed := l.base.Kinds[f.Each]
	switch {
	case f.Each == "" || kind == "NAME":
	case instance == "NAME" && f.Each != kind:
		t.Fault(key, source.Problem{Message: fmt.Sprintf("%q speaks of each %s, and NAME is none here", name, f.Each), Example: fmt.Sprintf("every %s: %s is %s", f.Each, f.Pattern, f.Domain[0])})
	case instance != "NAME" && !fixed:
		t.Fault(key, source.Problem{Message: fmt.Sprintf("%q names a %s that only some installs have", name, f.Each), Example: f.Pattern})
	}
	for _, w := range words {
		if !slices.Contains(f.Domain, w) {
			t.Fault(key, source.Problem{Message: fmt.Sprintf("%q is never %q", name, w), Expected: "one of " + strings.Join(f.Domain, ", "), Found: w, Nearest: source.Nearest(w, f.Domain)})
		}
	}
}

func (l *loader) checkValues(t *source.Table, key, name string, values []string) {
	family, ok := setting.Find(Fill(name, "x"))
	if !ok {
		t.Fault(key, source.Problem{Message: fmt.Sprintf("there is no setting %q", name), Nearest: setting.Nearest(name)})
		return
	}
	for _, v := range values {
		if got, err := family.Parse(v); err != nil || string(got) != v {
			t.Fault(key, source.Problem{Message: fmt.Sprintf("%q has no value %q", name, v), Expected: family.Expected(), Found: v, Nearest: source.Nearest(v, family.Words)})
		}
	}
}

func (l *loader) checkQuantity(t *source.Table, key, name string) {
	if _, ok := l.base.Quantity(name); ok {
		return
	}
	var names []string
	for _, q := range l.base.Quantities {
		names = append(names, q.Name)
	}
	t.Fault(key, source.Problem{Message: fmt.Sprintf("%q is neither a number nor a quantity", name), Nearest: source.Nearest(name, names)})
}
