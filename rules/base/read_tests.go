package base

import (
	"fmt"
	"slices"

	"asleft/config/setting"
	"asleft/config/source"
)

var phases = []string{string(Still), string(ByKey), string(Refusals), string(Live), string(Handover)}

func (p Phase) rank() int { return slices.Index(phases, string(p)) }

func (l *loader) readTest(t *source.Table) {
	test := &Test{
		ID:       t.Name(),
		Title:    t.Text("title", source.Required(`title = "foot brake stops the engine"`)),
		Each:     t.Text("each"),
		When:     l.readCondition(t),
		Phase:    Phase(t.Word("phase", phases, source.Required(`phase = "live"`))),
		How:      t.Text("how", source.Required(`how = "Start by remote; press the foot brake."`)),
		Expected: t.Text("expected", source.Required(`expected = "The engine stops within 1 s."`)),
		Critical: t.Flag("critical"),
		Reading:  t.Text("reading"),
		Source:   t.Text("source", source.Required(`source = "common practice, no source"`)),
		Pos:      t.Where(""),
	}
	if t.Has("sets-off") {
		test.SetsOff = t.Word("sets-off", Scopes)
	} else {
		t.Text("sets-off")
	}
	if test.Critical != (test.SetsOff != "") {
		t.Fault("", source.Problem{Message: fmt.Sprintf("the test %q names what its failure sets off exactly if it is critical", test.ID), Example: `critical = true and sets-off = "remote-start"`})
	}
	l.base.Tests = append(l.base.Tests, test)
	l.later = append(l.later, func() {
		l.checkKind(t, test.Each)
		l.checkCondition(t, test.When, test.Each)
	})
}

func (l *loader) readUnsafe(t *source.Table) {
	u := &Unsafe{
		ID:     t.Name(),
		Each:   t.Text("each"),
		When:   l.readCondition(t),
		Scope:  t.Word("scope", []string{"remote-start", "function"}, source.Required(`scope = "remote-start"`)),
		Why:    t.Text("why", source.Required(`why = "..."`)),
		Source: t.Text("source", source.Required(`source = "common practice, no source"`)),
		Pos:    t.Where(""),
	}
	if len(u.When.Lines()) == 0 {
		t.Fault("", source.Problem{Message: "nothing is said to be unsafe", Example: `when.all = ["vehicle.parked is closed-space"]`})
	}
	l.base.Unsafe = append(l.base.Unsafe, u)
	l.later = append(l.later, func() {
		l.checkKind(t, u.Each)
		l.checkCondition(t, u.When, u.Each)
	})
}

func (l *loader) readRank(t *source.Table) {
	r := &Rank{
		ID:      t.Name(),
		Setting: t.Text("setting", source.Required(`setting = "hood.source"`)),
		Part:    t.Word("part", []string{"guard", "permission"}, source.Required(`part = "guard"`)),
		Why:     t.Text("why", source.Required(`why = "..."`)),
		Pos:     t.Where(""),
	}
	if t.Has("safer") {
		r.Safer = t.Word("safer", []string{"smaller", "larger", "required"})
	} else {
		t.Text("safer")
	}
	classes := t.Sub("safest-first")
	for i := 1; classes.Has(fmt.Sprint(i)); i++ {
		r.SafestFirst = append(r.SafestFirst, classes.Texts(fmt.Sprint(i)))
	}
	classes.Close()
	if (r.Safer == "") == (r.SafestFirst == nil) {
		t.Fault("", source.Problem{Message: "an order has either safer or safest-first", Example: `safest-first = { 1 = ["wire", "link"], 2 = ["none"] }`})
	}
	if _, ok := setting.Find(Fill(r.Setting, "x")); !ok && t.Has("setting") {
		t.Fault("setting", source.Problem{Message: fmt.Sprintf("there is no setting %q", r.Setting), Nearest: setting.Nearest(r.Setting)})
	} else {
		for _, class := range r.SafestFirst {
			l.checkValues(t, "safest-first", r.Setting, class)
		}
	}
	r.Setting = pattern(r.Setting)
	l.base.Order = append(l.base.Order, r)
}
