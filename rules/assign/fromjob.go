package assign

import (
	"slices"
	"strings"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/config/source"
)

// Profiles finds a device's profile by id.
type Profiles func(id string) (*profile.Profile, bool)

// FromJob makes the problem of a job. The error is source.Problems: a function without a line, a
// wish for a gesture that the remote does not have, an output that the controller does not have, a
// device without a profile, each at its place in the job's file.
func FromJob(j *job.Job, profiles Profiles) (Problem, error) {
	r := reader{job: j, profiles: profiles}
	r.p = Problem{Volts: j.Vehicle.NominalVolts, Cold: j.Vehicle.Works == "below-minus-20"}
	r.controller()
	for i := range j.Remotes {
		r.remote(&j.Remotes[i])
	}
	for i := range j.Functions {
		r.function(&j.Functions[i])
	}
	r.joins()
	if len(r.faults) > 0 {
		return Problem{}, r.faults
	}
	return r.p, nil
}

type reader struct {
	job      *job.Job
	profiles Profiles
	device   *profile.Profile // the controller
	p        Problem
	faults   source.Problems
}

func (r *reader) fault(p source.Problem, path ...string) {
	r.faults = append(r.faults, r.job.Doc.Problem(p, path...))
}

func (r *reader) profile(id string, path ...string) *profile.Profile {
	p, ok := r.profiles(id)
	if !ok {
		r.fault(source.Problem{Message: "there is no profile of this device", Found: id}, path...)
		return nil
	}
	return p
}

func (r *reader) controller() {
	for _, d := range r.job.Devices {
		p := r.profile(d.Profile, "device", d.Name, "profile")
		if p == nil || p.Kind != profile.Controller || r.device != nil {
			continue
		}
		r.device, r.p.Controller = p, d.Name
		for _, c := range p.Channels {
			r.p.Channels = append(r.p.Channels, Channel{Number: c.Number, Fires: c.Fires, Does: c.Does})
		}
		for i := range p.Outputs {
			if p.Outputs[i].Use == "aux" {
				r.p.Outputs = append(r.p.Outputs, outputOf(p, &p.Outputs[i]))
			}
		}
	}
}

// outputOf collects what the device can set on one output. A property without an option that the
// profile lists with several values is taken as an option of its own, the first value as factory.
func outputOf(p *profile.Profile, o *profile.Output) Output {
	out := Output{Name: o.Name, Level: o.Level, Milliamps: o.Milliamps, Contact: o.Contact, OpenDrain: o.OpenDrain, Fixed: map[string]setting.Value{}}
	known, names := map[string]bool{}, map[string]string{}
	for _, property := range properties {
		names[property] = setting.Instance("aux.N."+property, o.Name)
		if v, ok := p.Fixed[names[property]]; ok {
			out.Fixed[property], known[property] = setting.Value(v), true
		}
	}
	for _, option := range p.Options {
		one := OutputOption{ID: option.ID}
		for i, v := range option.Values {
			values := map[string]setting.Value{}
			for _, property := range properties {
				if is, ok := v.Is[names[property]]; ok {
					values[property], known[property] = setting.Value(is), true
				}
			}
			if v.Name == option.Factory {
				one.Factory = i
			}
			if len(values) > 0 {
				one.Values = append(one.Values, values)
			}
		}
		if len(one.Values) == len(option.Values) && len(one.Values) > 0 {
			out.Options = append(out.Options, one)
		}
	}
	lists := listsOf(o)
	for _, property := range properties {
		switch list := lists[property]; {
		case known[property] || len(list) == 0:
		case len(list) == 1:
			out.Fixed[property] = list[0]
		default:
			out.Options = append(out.Options, listed(o.Name, property, list))
		}
	}
	return out
}

// listsOf gives what the profile lists for properties of an output.
func listsOf(o *profile.Output) map[string][]setting.Value {
	lists := map[string][]setting.Value{}
	for _, b := range o.Behaviours {
		lists["behaviour"] = append(lists["behaviour"], setting.Value(b))
	}
	for _, s := range o.Seconds {
		lists["seconds"] = append(lists["seconds"], setting.Number(s))
	}
	for _, n := range o.Counts {
		lists["count"] = append(lists["count"], setting.Number(float64(n)))
	}
	return lists
}

func listed(output, property string, values []setting.Value) OutputOption {
	option := OutputOption{ID: setting.Instance("aux.N."+property, output)}
	for _, v := range values {
		option.Values = append(option.Values, map[string]setting.Value{property: v})
	}
	return option
}

func (r *reader) remote(m *job.Remote) {
	p := r.profile(m.Profile, "remote", m.Name, "profile")
	if p == nil {
		return
	}
	remote := Remote{Name: m.Name, For: m.For, Without: m.Without}
	for _, g := range p.Gestures {
		gesture := Gesture{ID: g.ID, Buttons: g.Buttons, Presses: g.Presses, HoldSeconds: g.HoldSeconds, Ease: g.Ease,
			Channel: g.Channel, Teachable: g.Teachable, Taken: g.Taken}
		for _, name := range g.Buttons {
			mark := name
			for _, b := range p.Buttons {
				if b.Name == name {
					mark = b.Mark
				}
			}
			gesture.Marks = append(gesture.Marks, mark)
		}
		remote.Gestures = append(remote.Gestures, gesture)
	}
	if r.device != nil {
		r.channels(&remote, p)
	}
	r.p.Remotes = append(r.p.Remotes, remote)
}

func (r *reader) function(f *job.Function) {
	out := Function{Name: f.Name, Words: f.OwnersWords(), Does: f.Does, Direction: f.Direction, Active: f.Active, Amps: f.Amps,
		MinSeconds: f.MinSeconds, MaxSeconds: f.MaxSeconds, Count: f.Count, Moves: f.Moves == "yes", OutOfSight: f.OutOfSight == "yes",
		SelfReverses: f.SelfReverses == "yes", Keeps: f.Keeps, When: f.When, Joined: f.Joined, AtStart: f.AtStart == "on", Below: f.Below, HasBelow: f.HasBelow, Output: f.Output}
	if f.Line != "" {
		out.Lines = []string{f.Line}
	}
	if f.Line == "" && f.Does != "panic" {
		r.fault(source.Problem{Message: "a function without a line cannot be worked", Expected: "the conductor, by connector and cavity",
			Example: `line = "c7-04"`}, "function", f.Name)
	}
	for _, w := range f.On {
		r.wish(f.Name, &w)
		out.On = append(out.On, Wanted{Remote: w.Remote, Gesture: w.Gesture, Use: w.Use, Signed: w.Signed})
	}
	r.p.Functions = append(r.p.Functions, out)
}

// wish checks that a wished gesture is one of the remote's.
func (r *reader) wish(function string, w *job.FunctionWish) {
	i := r.p.remote(w.Remote)
	if w.Gesture == "" || i < 0 {
		return
	}
	var ids []string
	for _, g := range r.p.Remotes[i].Gestures {
		ids = append(ids, g.ID)
	}
	if !slices.Contains(ids, w.Gesture) {
		r.fault(source.Problem{Message: "remote " + w.Remote + " has no such gesture", Found: w.Gesture,
			Expected: "one of " + strings.Join(ids, ", "), Nearest: source.Nearest(w.Gesture, ids)}, "function", function, "on", w.Remote, "gesture")
	}
}
