package base

import "asleft/config/setting"

// base carries a whole rule base, in the order of its fields.
func (c *codec) base(b *Base) {
	pointers(c, &b.Facts, c.factType)
	pointers(c, &b.Quantities, func(q *Quantity) {
		text(c, &q.Name)
		text(c, &q.Title)
		text(c, &q.Unit)
		c.pos(&q.Pos)
	})
	kinds := sortedKeys(b.Kinds)
	c.texts(&kinds)
	for _, k := range kinds {
		words := b.Kinds[k]
		c.texts(&words)
		b.Kinds[k] = words
	}
	pointers(c, &b.Constraints, func(x *Constraint) {
		text(c, &x.ID)
		text(c, &x.Each)
		c.lines(&x.Never)
		text(c, &x.Why)
		c.pos(&x.Pos)
	})
	pointers(c, &b.Rules, c.rule)
	pointers(c, &b.Tests, c.test)
	pointers(c, &b.Order, c.rank)
	pointers(c, &b.Changes, c.change)
	pointers(c, &b.Unsafe, func(u *Unsafe) {
		text(c, &u.ID)
		text(c, &u.Each)
		c.condition(&u.When)
		text(c, &u.Scope)
		text(c, &u.Why)
		text(c, &u.Source)
		c.pos(&u.Pos)
	})
}

func (c *codec) factType(f *FactType) {
	text(c, &f.Pattern)
	text(c, &f.Title)
	c.texts(&f.Domain)
	text(c, &f.KnownBy)
	text(c, &f.Measure)
	text(c, &f.Worst)
	text(c, &f.Absent)
	c.flag(&f.Always)
	c.lines(&f.Applies)
	text(c, &f.Each)
	c.pos(&f.Pos)
}

// rule carries everything but the examples, which only checking reads.
func (c *codec) rule(r *Rule) {
	text(c, &r.ID)
	level := int(r.Level)
	c.number(&level)
	r.Level = Level(level)
	text(c, &r.Each)
	c.condition(&r.When)
	list(c, &r.Effects, func(e *Effect) {
		text(c, &e.Verb)
		text(c, &e.Setting)
		list(c, &e.Values, func(v *setting.Value) { text(c, v) })
		text(c, &e.Quantity)
		c.real(&e.Number)
		c.pos(&e.Pos)
	})
	c.texts(&r.NotApplicable)
	text(c, &r.Refuse)
	text(c, &r.Caution)
	c.texts(&r.Prove)
	text(c, &r.Unmet)
	text(c, &r.Why)
	text(c, &r.Source)
	text(c, &r.Cure)
	c.pos(&r.Pos)
}

func (c *codec) test(t *Test) {
	text(c, &t.ID)
	text(c, &t.Title)
	text(c, &t.Each)
	c.condition(&t.When)
	text(c, &t.Phase)
	text(c, &t.How)
	text(c, &t.Expected)
	c.flag(&t.Critical)
	text(c, &t.SetsOff)
	text(c, &t.Reading)
	text(c, &t.Source)
	c.pos(&t.Pos)
}

func (c *codec) rank(r *Rank) {
	text(c, &r.ID)
	text(c, &r.Setting)
	text(c, &r.Part)
	list(c, &r.SafestFirst, c.texts)
	text(c, &r.Safer)
	text(c, &r.Why)
	c.pos(&r.Pos)
}

func (c *codec) change(x *Change) {
	text(c, &x.ID)
	text(c, &x.Each)
	text(c, &x.Fact)
	text(c, &x.To)
	text(c, &x.Kind)
	c.lines(&x.Needs)
	text(c, &x.Says)
	c.pos(&x.Pos)
}
