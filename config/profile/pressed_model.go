package profile

import "asleft/config/pressed"

// walk carries everything of a profile but Doc, in the order of the fields.
func walk(c *pressed.Codec, p *Profile) {
	pressed.Text(c, &p.ID)
	pressed.Text(c, &p.Label)
	pressed.Text(c, &p.Kind)
	c.Flag(&p.Invented)
	pressed.Text(c, &p.Papers.Title)
	pressed.Text(c, &p.Papers.Revision)
	pressed.Text(c, &p.Papers.CopiedBy)
	pressed.Text(c, &p.Papers.SecondReader)
	c.Number(&p.NominalVolts)
	c.Texts(&p.Keeps)
	pressed.List(c, &p.Feeds, walkFeed)
	pressed.List(c, &p.Inputs, walkInput)
	pressed.List(c, &p.Outputs, walkOutput)
	pressed.List(c, &p.Channels, walkChannel)
	pressed.List(c, &p.Options, walkOption)
	pressed.Map(c, &p.Fixed, pressed.Text[string])
	pressed.List(c, &p.Links, walkLink)
	c.Texts(&p.Releases)
	pressed.Pointer(c, &p.Exit, walkExit)
	pressed.Pointer(c, &p.Keying, walkKeying)
	pressed.List(c, &p.Buttons, walkButton)
	pressed.List(c, &p.Gestures, walkGesture)
	pressed.Text(c, &p.Cell)
	pressed.Text(c, &p.WeakSign)
	pressed.Text(c, &p.Teach)
}

func walkFeed(c *pressed.Codec, f *Feed) {
	pressed.Text(c, &f.Name)
	c.Real(&f.Amps)
	c.Texts(&f.Roles)
	pressed.Text(c, &f.Level)
}

func walkInput(c *pressed.Codec, i *Input) {
	pressed.Text(c, &i.Name)
	pressed.Text(c, &i.Signal)
	c.Texts(&i.Actives)
}

func walkOutput(c *pressed.Codec, o *Output) {
	pressed.Text(c, &o.Name)
	pressed.Text(c, &o.Use)
	pressed.Text(c, &o.Level)
	c.Number(&o.Milliamps)
	c.Flag(&o.Contact)
	c.Texts(&o.Behaviours)
	c.Reals(&o.Seconds)
	c.Numbers(&o.Counts)
	c.Flag(&o.OpenDrain)
	c.Texts(&o.States)
}

func walkChannel(c *pressed.Codec, h *Channel) {
	c.Number(&h.Number)
	c.Texts(&h.Fires)
	pressed.Text(c, &h.Does)
}

func walkOption(c *pressed.Codec, o *Option) {
	pressed.Text(c, &o.ID)
	pressed.Text(c, &o.Title)
	pressed.Text(c, &o.How)
	c.Number(&o.Bank)
	c.Number(&o.Item)
	pressed.List(c, &o.Values, func(c *pressed.Codec, v *OptionValue) {
		pressed.Text(c, &v.Name)
		pressed.Map(c, &v.Is, pressed.Text[string])
		pressed.Map(c, &v.Moves, pressed.Text[string])
		c.Texts(&v.Silences)
	})
	pressed.Text(c, &o.Factory)
	c.Flag(&o.PowerUp)
	c.Flag(&o.Written)
}

func walkLink(c *pressed.Codec, l *Link) {
	pressed.Text(c, &l.Form)
	c.Texts(&l.ToController)
	c.Texts(&l.ToVehicle)
	c.Number(&l.RefreshMillis)
	c.Flag(&l.Sleeps)
}

func walkExit(c *pressed.Codec, e *ExitProof) {
	c.Texts(&e.Inputs)
	pressed.Text(c, &e.Start)
	pressed.Text(c, &e.Vacated)
	c.Texts(&e.Running)
	pressed.List(c, &e.Steps, func(c *pressed.Codec, s *ExitStep) {
		pressed.Text(c, &s.Name)
		pressed.Text(c, &s.From)
		pressed.Text(c, &s.To)
		pressed.Text(c, &s.On)
		c.Texts(&s.While)
		c.Flag(&s.Stops)
	})
	c.Number(&e.Within)
	c.Flag(&e.Stored)
	pressed.Map(c, &e.Shows, pressed.Text[string])
}

func walkButton(c *pressed.Codec, b *Button) {
	pressed.Text(c, &b.Name)
	pressed.Text(c, &b.Mark)
	c.Number(&b.Row)
	c.Number(&b.Col)
}

func walkGesture(c *pressed.Codec, g *Gesture) {
	pressed.Text(c, &g.ID)
	c.Texts(&g.Buttons)
	c.Number(&g.Presses)
	c.Real(&g.HoldSeconds)
	c.Number(&g.Ease)
	c.Number(&g.Channel)
	c.Numbers(&g.Teachable)
	pressed.Text(c, &g.Taken)
}

func walkKeying(c *pressed.Codec, k *Keying) {
	c.Texts(&k.Needs)
	c.Texts(&k.Blocked)
	c.Real(&k.Volts)
	c.Flag(&k.PairedRemote)
	c.Numbers(&k.Sizes)
	walkSequence(c, &k.Enter)
	pressed.Text(c, &k.Levels)
	walkLevel(c, &k.Bank)
	walkLevel(c, &k.Option)
	walkLevel(c, &k.Value)
	pressed.Text(c, &k.Up)
	pressed.Text(c, &k.Cursor)
	pressed.Text(c, &k.Store)
	walkSequence(c, &k.Leave)
	c.Real(&k.TimeOut.Seconds)
	pressed.Text(c, &k.TimeOut.Pending)
	c.Texts(&k.TimeOut.Shows)
	c.Flag(&k.Answer.Acknowledge)
	c.Real(&k.Answer.On)
	c.Real(&k.Answer.Off)
	c.Real(&k.Answer.Gap)
	c.Real(&k.Answer.Long)
	walkSequence(c, &k.Reset)
	c.Texts(&k.Erases)
	pressed.Text(c, &k.Begin)
	pressed.List(c, &k.States, walkKeyingState)
}

func walkSequence(c *pressed.Codec, s *Sequence) {
	c.Texts(&s.Steps)
	c.Real(&s.Within)
	c.Texts(&s.Shows)
}

func walkLevel(c *pressed.Codec, l *Level) {
	pressed.Text(c, &l.Way)
	pressed.Text(c, &l.Input)
	pressed.Text(c, &l.Back)
	c.Texts(&l.Inputs)
	c.Real(&l.Gap)
	c.Texts(&l.Shows)
}

func walkKeyingState(c *pressed.Codec, s *KeyingState) {
	pressed.Text(c, &s.Name)
	pressed.Text(c, &s.Words)
	pressed.Text(c, &s.Option)
	c.Flag(&s.Outside)
	c.Real(&s.Limit)
	pressed.List(c, &s.Moves, func(c *pressed.Codec, m *KeyingMove) {
		pressed.Text(c, &m.On)
		pressed.Text(c, &m.To)
		c.Texts(&m.Shows)
		pressed.Text(c, &m.Does)
	})
}
