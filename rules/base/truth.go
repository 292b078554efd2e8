package base

// Truth is a value of strong Kleene logic: false below unknown below true.
type Truth int8

// The three values. The order makes "and" the minimum and "or" the maximum.
const (
	False Truth = iota
	Unknown
	True
)

// Not is the opposite; the opposite of unknown is unknown.
func (t Truth) Not() Truth { return True - t }

// If is True or False.
func If(b bool) Truth {
	if b {
		return True
	}
	return False
}

// State says whether a fact has a value.
type State int8

// A fact is known, unknown, or has no meaning in this install.
const (
	Known State = iota
	NotKnown
	NoMeaning
)

// Install answers the questions of lines. Package derive has its own compiled form of it; this one is the
// plain meaning, for examples and for checks of the compiled form.
type Install interface {
	Fact(name string) (value string, state State)
	Setting(name string) []string // what it may still be; "" without a device that has it, nothing where nobody says
	Can(setting, value string) Truth
	Instances(kind string) []string
}

// Eval gives the truth of the condition for an instance ("" for none).
func (c Condition) Eval(in Install, instance string) Truth {
	t := True
	for _, l := range c.All {
		t = min(t, l.Eval(in, instance))
	}
	if len(c.Any) > 0 {
		some := False
		for _, l := range c.Any {
			some = max(some, l.Eval(in, instance))
		}
		t = min(t, some)
	}
	for _, l := range c.None {
		t = min(t, l.Eval(in, instance).Not())
	}
	return t
}

// Eval gives the truth of the line; NAME in it stands for the instance.
func (l *Line) Eval(in Install, instance string) Truth {
	switch l.Subject {
	case OfKind:
		return l.over(in)
	case OfCan:
		t := False
		for _, v := range l.Values {
			t = max(t, in.Can(Fill(l.Name, instance), v))
		}
		if l.Not {
			return t.Not()
		}
		return t
	case OfSetting:
		return l.amongAll(in.Setting(Fill(l.Name, instance)))
	}
	value, state := in.Fact(Fill(l.Name, instance))
	switch state {
	case NotKnown:
		return Unknown
	case NoMeaning:
		return If(l.Not)
	}
	return l.is(value)
}

// amongAll is known when all that is possible says the same.
func (l *Line) amongAll(possible []string) Truth {
	if len(possible) == 0 {
		return Unknown
	}
	t := l.is(possible[0])
	for _, v := range possible[1:] {
		if l.is(v) != t {
			return Unknown
		}
	}
	return t
}

func (l *Line) is(value string) Truth {
	for _, v := range l.Values {
		if v == value {
			return If(!l.Not)
		}
	}
	return If(l.Not)
}

// over gives the truth of a quantified line.
func (l *Line) over(in Install) Truth {
	every, some := True, False
	yes, maybe := 0, 0
	for _, instance := range in.Instances(l.Kind) {
		t := True
		for _, leaf := range l.Inner {
			t = min(t, leaf.Eval(in, instance))
		}
		every, some = min(every, t), max(some, t)
		yes += b2i(t == True)
		maybe += b2i(t == Unknown)
	}
	switch l.Over {
	case Every:
		return every
	case Some:
		return some
	case No:
		return some.Not()
	}
	switch {
	case yes > 1:
		return False
	case yes+maybe > 1:
		return Unknown
	}
	return True
}
