package base

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/source"
)

// DynamicKinds are the kinds whose instances come from the job and the profiles.
var DynamicKinds = []string{"circuit", "feed", "opening", "output", "remote", "function"}

func (l *loader) readKind(t *source.Table) {
	words := t.Texts("words", source.Required(`words = ["lock", "unlock"]`))
	for _, w := range words {
		if !source.IsWord(w) {
			t.Fault("words", source.Problem{Message: fmt.Sprintf("%q is not a word", w), Expected: "small letters and digits, joined by hyphens"})
		}
	}
	if slices.Contains(DynamicKinds, t.Name()) {
		t.Fault("", source.Problem{Message: "the instances of kind " + t.Name() + " come from the job"})
	}
	l.base.Kinds[t.Name()] = words
}

func (l *loader) readFact(t *source.Table) {
	f := &FactType{
		Pattern: t.Name(),
		Title:   t.Text("title", source.Required(`title = "where it is parked"`)),
		Domain:  t.Texts("domain", source.Required(`domain = ["yes", "no"]`)),
		KnownBy: t.Text("known-by", source.Required(`known-by = "the owner"`)),
		Measure: t.Text("measure", source.Required(`measure = "look"`)),
		Each:    t.Text("each"),
		Pos:     t.Where(""),
	}
	if len(f.Domain) > maxWords {
		t.Fault("domain", source.Problem{Message: "the domain is too large", Expected: fmt.Sprintf("at most %d words", maxWords)})
	}
	f.Worst = l.domainWord(t, "worst", f, Any)
	f.Absent = l.domainWord(t, "absent", f)
	f.Always = t.Flag("always")
	f.Applies = l.lines(t, "applies")
	if given := b2i(f.Worst != "") + b2i(f.Absent != "") + b2i(f.Always); given != 1 {
		t.Fault("", source.Problem{
			Message:  fmt.Sprintf("the fact %q says %d times what holds when it is unknown", f.Pattern, given),
			Expected: "exactly one of worst, absent and always", Example: `worst = "yes"`,
		})
	}
	if hasName := slices.Contains(strings.Split(f.Pattern, "."), "NAME"); hasName != (f.Each != "") {
		t.Fault("", source.Problem{Message: "a fact has the part NAME in its name exactly if it has each", Example: `[fact."opening.NAME.seen"] with each = "opening"`})
	}
	l.base.Facts = append(l.base.Facts, f)
	l.base.facts[f.Pattern] = f
	each := f.Each
	l.later = append(l.later, func() {
		l.checkKind(t, each)
		l.checkLines(t, "applies", f.Applies, each)
	})
}

// maxWords bounds a domain: a set of values is one machine word.
const maxWords = 62

func (l *loader) domainWord(t *source.Table, key string, f *FactType, more ...string) string {
	if !t.Has(key) {
		t.Text(key)
		return ""
	}
	return t.Word(key, append(slices.Clone(f.Domain), more...))
}

func (l *loader) readQuantity(t *source.Table) {
	l.base.Quantities = append(l.base.Quantities, &Quantity{
		Name:  t.Name(),
		Title: t.Text("title", source.Required(`title = "idling allowed by the place"`)),
		Unit:  t.Text("unit"),
		Pos:   t.Where(""),
	})
}

func (l *loader) readConstraint(t *source.Table) {
	c := &Constraint{ID: t.Name(), Each: t.Text("each"), Never: l.lines(t, "never"), Why: t.Text("why", source.Required(`why = "..."`)), Pos: t.Where("")}
	if len(c.Never) < 2 {
		t.Fault("never", source.Problem{Message: "a constraint needs at least two lines", Example: `never = ["vehicle.fuel is electric", "vehicle.idle-stop is yes"]`})
	}
	l.base.Constraints = append(l.base.Constraints, c)
	l.later = append(l.later, func() {
		l.checkKind(t, c.Each)
		l.checkLines(t, "never", c.Never, c.Each)
	})
}

func (l *loader) readChange(t *source.Table) {
	kinds := []string{string(AddPart), string(JoinWire), string(ChangeMode)}
	c := &Change{
		ID:    t.Name(),
		Each:  t.Text("each"),
		Fact:  t.Text("fact", source.Required(`fact = "signal.NAME.source"`)),
		To:    t.Text("to", source.Required(`to = "wire"`)),
		Kind:  ChangeKind(t.Word("kind", kinds, source.Required(`kind = "wire"`))),
		Needs: l.lines(t, "needs"),
		Says:  t.Text("says", source.Required(`says = "Join the NAME signal to its terminal."`)),
		Pos:   t.Where(""),
	}
	l.base.Changes = append(l.base.Changes, c)
	l.later = append(l.later, func() {
		l.checkKind(t, c.Each)
		l.checkWord(t, "to", c.Fact, []string{c.To}, c.Each)
		l.checkLines(t, "needs", c.Needs, c.Each)
	})
}

// lines parses the sentences of a list; mistakes are shown at the list.
func (l *loader) lines(t *source.Table, key string) []*Line {
	var out []*Line
	for _, text := range t.Texts(key) {
		line, err := ParseLine(text)
		if err != nil {
			t.Fault(key, source.Problem{Message: fmt.Sprintf("the line %q cannot be read", text), Expected: err.Error(), Example: `"vehicle.fuel is diesel"`})
			continue
		}
		line.Pos = t.Where(key)
		out = append(out, line)
	}
	return out
}

func (l *loader) checkKind(t *source.Table, kind string) {
	if kind == "" || slices.Contains(DynamicKinds, kind) || l.base.Kinds[kind] != nil {
		return
	}
	kinds := slices.Clone(DynamicKinds)
	for k := range l.base.Kinds {
		kinds = append(kinds, k)
	}
	slices.Sort(kinds)
	t.Fault("each", source.Problem{
		Message: fmt.Sprintf("there is no kind %q", kind), Expected: "one of " + strings.Join(kinds, ", "), Nearest: source.Nearest(kind, kinds),
	})
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
