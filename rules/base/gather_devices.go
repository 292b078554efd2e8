package base

import (
	"slices"

	"asleft/config/profile"
)

// module is the interface module in use and its link in the form in use; nil when there is none.
func (g *gatherer) module() (*Fitted, *profile.Link) {
	for i, d := range g.facts.Devices {
		if d.Profile.Kind == profile.Module {
			return &g.facts.Devices[i], linkOf(d.Profile, d.Link)
		}
	}
	return nil, nil
}

func linkOf(p *profile.Profile, form string) *profile.Link {
	for i, l := range p.Links {
		if l.Form == form {
			return &p.Links[i]
		}
	}
	return nil
}

// both gives the module's and the controller's side of the link in use; nil unless both have its form.
func (g *gatherer) both() (module, controller *profile.Link) {
	m, l := g.module()
	if m == nil || l == nil {
		return nil, nil
	}
	own := linkOf(g.facts.Controller().Profile, m.Link)
	if own == nil {
		return nil, nil
	}
	return l, own
}

// carried reports whether the link in use brings the signal to the controller: the module must send it and
// the controller must take it.
func (g *gatherer) carried(signal string) bool {
	m, c := g.both()
	return m != nil && slices.Contains(m.ToController, signal) && slices.Contains(c.ToController, signal)
}

// commands reports whether the link in use takes the command to the vehicle.
func (g *gatherer) commands(command string) bool {
	m, c := g.both()
	return m != nil && slices.Contains(m.ToVehicle, command) && slices.Contains(c.ToVehicle, command)
}

// links reads what the modules and the link do.
func (g *gatherer) links() {
	m, l := g.module()
	g.yes("devices.modules", m != nil, "device")
	form := "none"
	path := []string{"device"}
	if m != nil {
		path = []string{"device", m.Name, "link"}
		if m.Link != "" {
			form = m.Link
		}
	}
	g.say("link.form", form, path...)
	ours, theirs := g.both()
	g.yes("link.form-fits", form == "none" || (ours != nil && theirs != nil), path...)
	g.yes("link.sleeps", l != nil && l.Sleeps, path...)
	for _, c := range g.facts.Base.Kinds["command"] {
		g.yes("link.commands."+c, g.commands(c), path...)
	}
	for _, r := range g.facts.Base.Kinds["release"] {
		has := false
		for _, d := range g.facts.Devices {
			has = has || slices.Contains(d.Profile.Releases, r)
		}
		g.yes("release."+r, has, path...)
	}
	invented := false
	for _, d := range append(slices.Clone(g.facts.Devices), g.facts.Remotes...) {
		invented = invented || d.Profile.Invented
	}
	g.yes("devices.invented", invented, "device")
	for _, r := range g.facts.Remotes {
		g.facts.Instances["remote"] = append(g.facts.Instances["remote"], r.Name)
		g.yes("remote."+r.Name+".invented", r.Profile.Invented, "remote", r.Name, "profile")
	}
}

// outputs reads which outputs and feedback paths are joined.
func (g *gatherer) outputs() {
	joined := map[string]string{} // output -> name of its join
	switches := map[string]string{}
	for _, o := range g.facts.Job.Outputs {
		joined[o.Output] = o.Name
		if o.Switches != "" {
			switches[o.Output] = o.Switches
		}
	}
	paths := map[string][]string{} // use -> where the job says that it is joined
	for _, d := range g.facts.Job.Devices {
		for _, w := range d.Wired {
			paths[w] = []string{"device", d.Name, "wired"}
		}
	}
	for _, d := range g.facts.Devices {
		for _, o := range d.Profile.Outputs {
			name, ok := joined[o.Name]
			g.say("output."+o.Name+".use", o.Use)
			g.yes("output."+o.Name+".joined", ok, "output", name)
			g.say("output."+o.Name+".switches", switches[o.Name], "output", name, "switches")
			if ok {
				paths[o.Use] = []string{"output", name}
			}
		}
	}
	for _, use := range g.facts.Base.Kinds["use"] {
		path, ok := paths[use]
		if !ok {
			path = []string{"device"}
		}
		g.yes("joined."+use, ok, path...)
	}
}

// functions reads what is wanted at the push of a button.
func (g *gatherer) functions() {
	for _, f := range g.facts.Job.Functions {
		g.facts.Instances["function"] = append(g.facts.Instances["function"], f.Name)
		fact := func(of string) string { return "function." + f.Name + "." + of }
		for _, w := range []struct{ of, value, key string }{
			{"does", f.Does, "does"}, {"direction", f.Direction, "direction"}, {"moves", f.Moves, "moves"},
			{"out-of-sight", f.OutOfSight, "out-of-sight"}, {"self-reverses", f.SelfReverses, "self-reverses"}, {"keeps", f.Keeps, "keeps"},
		} {
			g.say(fact(w.of), w.value, "function", f.Name, w.key)
		}
		all := true
		for _, w := range f.When {
			all = all && slices.Contains(f.Joined, w)
		}
		g.yes(fact("interlocked"), all, "function", f.Name, "joined")
		for _, w := range g.facts.Base.Kinds["interlock"] {
			if w != "running" {
				g.yes(fact("with-"+w), slices.Contains(f.Joined, w), "function", f.Name, "joined")
			}
		}
		signed := false
		for _, w := range f.On {
			signed = signed || w.Signed != ""
		}
		g.yes(fact("signed"), signed, "function", f.Name, "on")
	}
}
