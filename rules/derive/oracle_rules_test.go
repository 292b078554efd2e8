package derive_test

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"asleft/config/setting"
)

// rulebook is the rule base as the oracle reads it out of the TOML files.
type rulebook struct {
	kinds       map[string][]string // instances that are the same everywhere
	facts       map[string]factText // by pattern
	quantities  []string
	rules       []ruleText
	tests       []testText
	constraints []ruleText // all lines together are impossible
}

type factText struct {
	each, absent, worst string
	domain, applies     []string
}

type ruleText struct {
	id, each, level, refuse, unmet string
	all, any, none                 []string
	caution                        bool
	effects                        []effectText
	notApplicable, prove           []string
}

type effectText struct {
	verb, setting string
	values        []string // of at-most and at-least one: a number or the name of a quantity
}

type testText struct {
	ruleText
	critical bool
	setsOff  string
}

// levels, highest first.
var levels = []string{"safety", "wiring", "device", "place", "policy-limit", "wish", "policy-default", "trade-default", "factory"}

const (
	wiring        = 1
	policyLimit   = 4
	wish          = 5
	policyDefault = 6
)

func readRulebook(t *testing.T) *rulebook {
	t.Helper()
	b := &rulebook{kinds: map[string][]string{}, facts: map[string]factText{}}
	names, err := filepath.Glob("../base/*.toml")
	if err != nil || len(names) == 0 {
		t.Fatal("no rule files beside this package", err)
	}
	for _, name := range names {
		file := parseFile(t, name)
		for _, k := range file.keys("kind") {
			b.kinds[k] = file.words("kind", k, "words")
		}
		for _, k := range file.keys("fact") {
			x := file.get("fact", k)
			b.facts[k] = factText{each: x.str("each"), absent: x.str("absent"), worst: x.str("worst"), domain: x.words("domain"), applies: x.words("applies")}
		}
		b.quantities = append(b.quantities, file.keys("quantity")...)
		for _, k := range file.keys("rule") {
			b.rules = append(b.rules, readRule(k, file.get("rule", k)))
		}
		for _, k := range file.keys("constraint") {
			x := file.get("constraint", k)
			b.constraints = append(b.constraints, ruleText{id: k, each: x.str("each"), all: x.words("never")})
		}
		for _, k := range file.keys("test") {
			x := file.get("test", k)
			b.tests = append(b.tests, testText{ruleText: readRule(k, x), critical: x.str("critical") == "on", setsOff: x.str("sets-off")})
		}
	}
	slices.SortFunc(b.rules, func(x, y ruleText) int {
		return cmp.Or(cmp.Compare(slices.Index(levels, x.level), slices.Index(levels, y.level)), cmp.Compare(x.id, y.id))
	})
	return b
}

func readRule(id string, x *tree) ruleText {
	r := ruleText{
		id: id, each: x.str("each"), level: x.str("level"), refuse: x.str("refuse"), unmet: x.str("unmet"),
		all: x.words("when", "all"), any: x.words("when", "any"), none: x.words("when", "none"),
		notApplicable: x.words("not-applicable"), prove: x.words("prove"), caution: x.str("caution") != "",
	}
	for _, verb := range []string{"require", "only", "never", "at-most", "at-least", "prefer"} {
		for _, s := range x.keys(verb) {
			values := x.words(verb, s)
			if values == nil {
				values = []string{x.str(verb, s)}
			}
			for i := range values {
				values[i] = canonical(s, values[i])
			}
			r.effects = append(r.effects, effectText{verb: verb, setting: s, values: values})
		}
	}
	return r
}

// fill puts an instance in the place of the part NAME.
func fill(text, instance string) string {
	parts := strings.Split(text, ".")
	for i, p := range parts {
		if p == "NAME" && instance != "" {
			parts[i] = instance
		}
	}
	return strings.Join(parts, ".")
}

// family is what the vocabulary says about a setting; a name with the part NAME stands for any of its instances.
func family(name string) (setting.Family, bool) { return setting.Find(fill(name, "x")) }

// canonical is a value as settings hold it.
func canonical(name, text string) string {
	f, ok := family(name)
	switch {
	case !ok:
		return text
	case f.Kind == setting.KindSet:
		words := strings.Split(text, "+")
		slices.Sort(words)
		return strings.Join(words, "+")
	}
	if v, ok := number(text); ok && f.Kind == setting.KindNumber {
		return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.3f", v), "0"), ".")
	}
	return text
}

// factNamed finds the pattern and the instance of a full fact name, and what the catalogue says about it.
func (b *rulebook) factNamed(name string) (pattern, instance string, f factText) {
	if f, ok := b.facts[name]; ok && f.each == "" {
		return name, "", f
	}
	parts := strings.Split(name, ".")
	for i := 1; i < len(parts); i++ {
		tried := slices.Clone(parts)
		tried[i] = "NAME"
		p := strings.Join(tried, ".")
		if f, ok := b.facts[p]; ok && (b.kinds[f.each] == nil || slices.Contains(b.kinds[f.each], parts[i])) {
			return p, parts[i], f
		}
	}
	subject, rest, _ := strings.Cut(name, ".")
	if subject == "known" {
		return name, "", factText{domain: []string{"yes", "no"}}
	}
	x, ok := family(rest)
	if !ok || subject != "wish" && subject != "limit" && subject != "default" {
		panic("oracle: no fact " + name)
	}
	domain := []string{"given", "unsaid"}
	if subject == "wish" && x.Kind == setting.KindWord {
		domain = append(slices.Clone(x.Words), "unsaid")
	}
	return name, "", factText{domain: domain, absent: "unsaid"}
}
