package base

import (
	"asleft/config/pressed"
	"asleft/config/setting"
)

// walkBase carries a whole rule base, in the order of its fields.
func walkBase(c *pressed.Codec, b *Base) {
	pressed.Pointers(c, &b.Facts, walkFactType)
	pressed.Pointers(c, &b.Quantities, func(c *pressed.Codec, q *Quantity) {
		pressed.Text(c, &q.Name)
		pressed.Text(c, &q.Title)
		pressed.Text(c, &q.Unit)
		c.Pos(&q.Pos)
	})
	pressed.Map(c, &b.Kinds, (*pressed.Codec).Texts)
	pressed.Pointers(c, &b.Constraints, func(c *pressed.Codec, x *Constraint) {
		pressed.Text(c, &x.ID)
		pressed.Text(c, &x.Each)
		pressed.Pointers(c, &x.Never, walkLine)
		pressed.Text(c, &x.Why)
		c.Pos(&x.Pos)
	})
	pressed.Pointers(c, &b.Rules, walkRule)
	pressed.Pointers(c, &b.Tests, walkTest)
	pressed.Pointers(c, &b.Order, walkRank)
	pressed.Pointers(c, &b.Changes, walkChange)
	pressed.Pointers(c, &b.Unsafe, func(c *pressed.Codec, u *Unsafe) {
		pressed.Text(c, &u.ID)
		pressed.Text(c, &u.Each)
		walkCondition(c, &u.When)
		pressed.Text(c, &u.Scope)
		pressed.Text(c, &u.Why)
		pressed.Text(c, &u.Source)
		c.Pos(&u.Pos)
	})
}

func walkFactType(c *pressed.Codec, f *FactType) {
	pressed.Text(c, &f.Pattern)
	pressed.Text(c, &f.Title)
	c.Texts(&f.Domain)
	pressed.Text(c, &f.KnownBy)
	pressed.Text(c, &f.Measure)
	pressed.Text(c, &f.Worst)
	pressed.Text(c, &f.Absent)
	c.Flag(&f.Always)
	pressed.Pointers(c, &f.Applies, walkLine)
	pressed.Text(c, &f.Each)
	c.Pos(&f.Pos)
}

// walkRule carries everything but the examples, which only checking reads.
func walkRule(c *pressed.Codec, r *Rule) {
	pressed.Text(c, &r.ID)
	level := int(r.Level)
	c.Number(&level)
	r.Level = Level(level)
	pressed.Text(c, &r.Each)
	walkCondition(c, &r.When)
	pressed.List(c, &r.Effects, func(c *pressed.Codec, e *Effect) {
		pressed.Text(c, &e.Verb)
		pressed.Text(c, &e.Setting)
		pressed.List(c, &e.Values, pressed.Text[setting.Value])
		pressed.Text(c, &e.Quantity)
		c.Real(&e.Number)
		c.Pos(&e.Pos)
	})
	c.Texts(&r.NotApplicable)
	pressed.Text(c, &r.Refuse)
	pressed.Text(c, &r.Caution)
	c.Texts(&r.Prove)
	pressed.Text(c, &r.Unmet)
	pressed.Text(c, &r.Why)
	pressed.Text(c, &r.Source)
	pressed.Text(c, &r.Cure)
	c.Pos(&r.Pos)
}

func walkTest(c *pressed.Codec, t *Test) {
	pressed.Text(c, &t.ID)
	pressed.Text(c, &t.Title)
	pressed.Text(c, &t.Each)
	walkCondition(c, &t.When)
	pressed.Text(c, &t.Phase)
	pressed.Text(c, &t.How)
	pressed.Text(c, &t.Expected)
	c.Flag(&t.Critical)
	pressed.Text(c, &t.SetsOff)
	pressed.Text(c, &t.Reading)
	pressed.Text(c, &t.Source)
	c.Pos(&t.Pos)
}

func walkRank(c *pressed.Codec, r *Rank) {
	pressed.Text(c, &r.ID)
	pressed.Text(c, &r.Setting)
	pressed.Text(c, &r.Part)
	pressed.List(c, &r.SafestFirst, (*pressed.Codec).Texts)
	pressed.Text(c, &r.Safer)
	pressed.Text(c, &r.Why)
	c.Pos(&r.Pos)
}

func walkChange(c *pressed.Codec, x *Change) {
	pressed.Text(c, &x.ID)
	pressed.Text(c, &x.Each)
	pressed.Text(c, &x.Fact)
	pressed.Text(c, &x.To)
	pressed.Text(c, &x.Kind)
	pressed.Pointers(c, &x.Needs, walkLine)
	pressed.Text(c, &x.Says)
	c.Pos(&x.Pos)
}

func walkLine(c *pressed.Codec, l *Line) {
	pressed.Text(c, &l.Text)
	pressed.Text(c, &l.Subject)
	pressed.Text(c, &l.Name)
	c.Flag(&l.Not)
	c.Texts(&l.Values)
	pressed.Text(c, &l.Over)
	pressed.Text(c, &l.Kind)
	pressed.Pointers(c, &l.Inner, walkLine)
	c.Pos(&l.Pos)
}

func walkCondition(c *pressed.Codec, w *Condition) {
	pressed.Pointers(c, &w.All, walkLine)
	pressed.Pointers(c, &w.Any, walkLine)
	pressed.Pointers(c, &w.None, walkLine)
}
