package base

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/source"
)

// fit joins the devices and remotes of the job to their profiles and checks what they say about each other.
func (g *gatherer) fit(profiles []*profile.Profile) {
	byID := map[string]*profile.Profile{}
	var ids []string
	for _, p := range profiles {
		byID[p.ID] = p
		ids = append(ids, p.ID)
	}
	slices.Sort(ids)
	j := g.facts.Job
	for _, d := range j.Devices {
		p, ok := byID[d.Profile]
		if !ok || p.Kind == profile.Remote {
			g.fault(noProfile(d.Profile, "controller or module", ok, ids), "device", d.Name, "profile")
			continue
		}
		g.facts.Devices = append(g.facts.Devices, Fitted{Name: d.Name, Profile: p, Link: d.Link, LinkTo: d.LinkTo, Pos: j.Doc.Where("device", d.Name, "profile")})
		g.straps(d, p)
	}
	for _, r := range j.Remotes {
		p, ok := byID[r.Profile]
		if !ok || p.Kind != profile.Remote {
			g.fault(noProfile(r.Profile, "remote", ok, ids), "remote", r.Name, "profile")
			continue
		}
		g.facts.Remotes = append(g.facts.Remotes, Fitted{Name: r.Name, Profile: p, Pos: j.Doc.Where("remote", r.Name, "profile")})
	}
	sortFitted(g.facts.Devices)
	sortFitted(g.facts.Remotes)
	if !slices.ContainsFunc(g.facts.Devices, func(d Fitted) bool { return d.Profile.Kind == profile.Controller }) {
		g.fault(source.Problem{Message: "the job has no controller", Example: "[device.controller]"}, "device")
		return
	}
	g.joins()
	g.gestures()
}

func noProfile(id, kind string, known bool, ids []string) source.Problem {
	if known {
		return source.Problem{Message: fmt.Sprintf("the profile %q is no %s", id, kind)}
	}
	return source.Problem{Message: fmt.Sprintf("there is no profile %q", id), Expected: "one of " + strings.Join(ids, ", "), Nearest: source.Nearest(id, ids)}
}

// straps checks that the straps and dials named in the job exist and have that position.
func (g *gatherer) straps(d job.Device, p *profile.Profile) {
	for _, id := range sortedKeys(d.Straps) {
		i := slices.IndexFunc(p.Options, func(o profile.Option) bool { return o.ID == id && (o.How == "strap" || o.How == "dial") })
		if i < 0 {
			var ids []string
			for _, o := range p.Options {
				if o.How == "strap" || o.How == "dial" {
					ids = append(ids, o.ID)
				}
			}
			g.fault(source.Problem{Message: fmt.Sprintf("%s has no strap or dial %q", p.ID, id), Nearest: source.Nearest(id, ids)}, "device", d.Name, "straps", id)
			continue
		}
		var names []string
		for _, v := range p.Options[i].Values {
			names = append(names, v.Name)
		}
		if !slices.Contains(names, d.Straps[id]) {
			g.fault(source.Problem{Message: fmt.Sprintf("%s has no position %q", id, d.Straps[id]), Expected: "one of " + strings.Join(names, ", ")}, "device", d.Name, "straps", id)
		}
	}
}

// joins checks that every joined feed, output and input exists on a device.
func (g *gatherer) joins() {
	var feeds, outputs, inputs []string
	for _, d := range g.facts.Devices {
		for _, f := range d.Profile.Feeds {
			feeds = append(feeds, f.Name)
		}
		for _, o := range d.Profile.Outputs {
			outputs = append(outputs, o.Name)
		}
		for _, in := range d.Profile.Inputs {
			inputs = append(inputs, in.Name)
		}
	}
	j := g.facts.Job
	for _, f := range j.Feeds {
		g.terminal("feed", f.Feed, feeds, "feed", f.Name)
	}
	for _, o := range j.Outputs {
		g.terminal("output", o.Output, outputs, "output", o.Name)
	}
	for _, s := range j.Signals {
		if s.Input != "" {
			g.terminal("input", s.Input, inputs, "signal", s.Name, "input")
		}
	}
	for _, f := range j.Functions {
		if f.Output != "" {
			g.terminal("output", f.Output, outputs, "function", f.Name, "output")
		}
	}
	g.facts.Instances["feed"] = unique(feeds)
	g.facts.Instances["output"] = unique(outputs)
}

func (g *gatherer) terminal(what, name string, names []string, path ...string) {
	if slices.Contains(names, name) {
		return
	}
	g.fault(source.Problem{
		Message: fmt.Sprintf("no device of the job has the %s %q", what, name), Expected: "one of " + strings.Join(unique(names), ", "), Nearest: source.Nearest(name, names),
	}, path...)
}

// gestures checks that the gestures wished for exist on the remotes.
func (g *gatherer) gestures() {
	for _, f := range g.facts.Job.Functions {
		for _, w := range f.On {
			i := slices.IndexFunc(g.facts.Remotes, func(r Fitted) bool { return r.Name == w.Remote })
			if w.Gesture == "" || i < 0 {
				continue
			}
			var ids []string
			for _, gesture := range g.facts.Remotes[i].Profile.Gestures {
				ids = append(ids, gesture.ID)
			}
			if !slices.Contains(ids, w.Gesture) {
				g.fault(source.Problem{
					Message:  fmt.Sprintf("the remote %s has no gesture %q", w.Remote, w.Gesture),
					Expected: "one of " + strings.Join(ids, ", "), Nearest: source.Nearest(w.Gesture, ids),
				}, "function", f.Name, "on", w.Remote, "gesture")
			}
		}
	}
}

func unique(names []string) []string {
	out := slices.Clone(names)
	slices.Sort(out)
	return slices.Compact(out)
}
