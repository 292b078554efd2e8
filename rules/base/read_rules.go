package base

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
)

// Scopes are what a refusal can take away.
var Scopes = []string{"remote-start", "auto-start", "function", "lock-feature", "job"}

// Cautions are the places where a caution is printed.
var Cautions = []string{"every-card", "this-job"}

func (l *loader) readRule(t *source.Table) {
	r := &Rule{ID: t.Name(), Each: t.Text("each"), Pos: t.Where("")}
	word := t.Word("level", levelWords[:], source.Required(`level = "wiring"`))
	r.Level = Level(max(0, slices.Index(levelWords[:], word)))
	r.When = l.readCondition(t)
	l.readEffects(t, r)
	r.Why = t.Text("why", source.Required(`why = "One sentence a customer could read."`))
	r.Source = t.Text("source", source.Required(`source = "common practice, no source"`))
	r.Cure = t.Text("cure")
	for _, e := range t.Each("example") {
		r.Examples = append(r.Examples, l.readExample(e, r))
		e.Close()
	}
	l.base.Rules = append(l.base.Rules, r)
	l.later = append(l.later, func() { l.checkRule(t, r) })
}

func (l *loader) readCondition(t *source.Table) Condition {
	when := t.Sub("when")
	c := Condition{All: l.lines(when, "all"), Any: l.lines(when, "any"), None: l.lines(when, "none")}
	when.Close()
	return c
}

func (l *loader) readEffects(t *source.Table, r *Rule) {
	for _, verb := range []Verb{Require, Only, Never, AtMost, AtLeast, Prefer} {
		sub := t.Sub(string(verb))
		for _, name := range sub.Keys() {
			r.Effects = append(r.Effects, l.readEffect(sub, verb, name))
		}
		sub.Close()
	}
	r.NotApplicable = t.Texts("not-applicable")
	r.Prove = t.Texts("prove")
	for _, w := range []struct {
		key   string
		words []string
		into  *string
	}{{"refuse", Scopes, &r.Refuse}, {"caution", Cautions, &r.Caution}, {"unmet", Scopes, &r.Unmet}} {
		if t.Has(w.key) {
			*w.into = t.Word(w.key, w.words)
		} else {
			t.Text(w.key)
		}
	}
	if len(r.Effects) == 0 && len(r.NotApplicable) == 0 && len(r.Prove) == 0 && r.Refuse == "" && r.Caution == "" {
		t.Fault("", source.Problem{Message: fmt.Sprintf("the rule %q says nothing", r.ID), Expected: "at least one of require, only, never, at-most, at-least, prefer, not-applicable, refuse, caution, prove"})
	}
	if r.Refuse == "function" && r.Each != "function" {
		t.Fault("refuse", source.Problem{Message: "a rule that refuses a function speaks of one", Example: `each = "function"`})
	}
	if r.Refuse != "" && !r.Level.Hard() {
		t.Fault("refuse", source.Problem{Message: "a refusal stands at policy-limit or above", Found: r.Level.String()})
	}
}

// readEffect reads one setting = value, set of values or bound.
func (l *loader) readEffect(sub *source.Table, verb Verb, name string) Effect {
	e := Effect{Verb: verb, Setting: name, Pos: sub.Where(name)}
	family, ok := setting.Find(Fill(name, "x"))
	if !ok {
		sub.Value(name)
		sub.Fault(name, source.Problem{Message: fmt.Sprintf("there is no setting %q", name), Nearest: setting.Nearest(name)})
		return e
	}
	var texts []string
	switch verb {
	case Require:
		texts = []string{sub.Value(name)}
	case AtMost, AtLeast:
		e.Quantity = sub.Value(name)
		if n, ok := setting.Value(e.Quantity).Number(); ok {
			e.Quantity, e.Number = "", n
		} else {
			l.later = append(l.later, func() { l.checkQuantity(sub, name, e.Quantity) })
		}
		if family.Kind != setting.KindNumber {
			sub.Fault(name, source.Problem{Message: fmt.Sprintf("%q is not a number", name)})
		}
		return e
	default:
		texts = sub.Texts(name)
	}
	for _, text := range texts {
		if verb == Prefer && family.Kind == setting.KindNumber && (text == "largest" || text == "smallest") {
			e.Values = append(e.Values, setting.Value(text))
			continue
		}
		v, err := family.Parse(text)
		if err != nil {
			sub.Fault(name, source.Problem{Message: fmt.Sprintf("%q has no value %q", name, text), Expected: family.Expected(), Found: text})
			continue
		}
		e.Values = append(e.Values, v)
	}
	if len(e.Values) == 0 {
		sub.Fault(name, source.Problem{Message: fmt.Sprintf("no value for %q", name), Expected: family.Expected()})
	}
	return e
}

func (l *loader) readExample(t *source.Table, r *Rule) Example {
	e := Example{Name: t.Name(), Facts: texts(t.Sub("facts")), Settings: texts(t.Sub("settings")), Can: t.Texts("can"), Pos: t.Where("")}
	if !t.Has("fires") {
		t.Fault("", source.Problem{Message: "the example does not say whether the rule fires", Example: "fires = true"})
	}
	e.Fires = t.Flag("fires")
	l.later = append(l.later, func() {
		for _, name := range sortedKeys(e.Facts) {
			l.checkWord(t, "facts", name, []string{e.Facts[name]}, "NAME")
		}
		for _, name := range sortedKeys(e.Settings) {
			l.checkValues(t, "settings", name, []string{e.Settings[name]})
		}
		for _, c := range e.Can {
			name, value, ok := strings.Cut(c, " to ")
			if !ok {
				t.Fault("can", source.Problem{Message: fmt.Sprintf("%q cannot be read", c), Example: `can = ["gearbox.guard to exit-proof"]`})
				continue
			}
			l.checkValues(t, "can", name, []string{value})
		}
	})
	return e
}

func texts(t *source.Table) map[string]string {
	out := map[string]string{}
	for _, k := range t.Keys() {
		out[k] = t.Value(k)
	}
	t.Close()
	return out
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
