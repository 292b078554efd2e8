package rules

import (
	"errors"
	"fmt"
	"slices"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules/assign"
	"asleft/rules/base"
	"asleft/rules/derive"
)

// Options are the choices of one run that the job file does not hold.
type Options struct {
	Found        *job.Found          // where keying starts; nil = factory settings
	With         map[string]string   // facts tried without editing the file: such an outcome has no card
	WithoutStart bool                // derive the rest with remote start keyed off
	Prefer       []assign.Preference // gestures tried without editing the file: no card either
}

// Resolve runs the pipeline. The problems are positioned mistakes between the files: a device that
// does not exist, an output that its controller does not have, an as-found value that it cannot hold.
func Resolve(b *base.Base, j *job.Job, devices *profile.Catalogue, policy *job.Policy, o Options) (*Outcome, error) {
	in := derive.Input{Base: b, Job: j, Profiles: named(j, devices), Policy: policy, With: o.With, Without: o.WithoutStart}
	install, err := derive.Prepare(in)
	if err != nil {
		return nil, err
	}
	out := &Outcome{Job: j, Policy: policy, RuleBase: b.Digest, options: o, input: in}
	if err := out.fit(devices); err != nil {
		return nil, err
	}
	refused, err := install.Refused()
	if err != nil {
		return nil, err
	}
	if err := out.assign(refused, devices); err != nil {
		return nil, err
	}
	out.input.Demands = out.demands()
	out.Derived = *install.Derive(out.input.Demands)
	out.gate()
	if err := out.key(); err != nil {
		return nil, err
	}
	return out, nil
}

// named are the profiles that the job names; all of the catalogue when one is missing, so that the
// message can offer the nearest.
func named(j *job.Job, devices *profile.Catalogue) []*profile.Profile {
	var ids []string
	for _, d := range j.Devices {
		ids = append(ids, d.Profile)
	}
	for _, r := range j.Remotes {
		ids = append(ids, r.Profile)
	}
	var out []*profile.Profile
	for _, id := range ids {
		p, ok := devices.Find(id)
		if !ok {
			return devices.All()
		}
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}

// fit pairs the devices and remotes of the job with their profiles.
func (o *Outcome) fit(devices *profile.Catalogue) error {
	add := func(name, id string) error {
		p, ok := devices.Find(id)
		if !ok { // the facts were gathered from it before
			return fmt.Errorf("no profile %q for %s", id, name)
		}
		o.Devices = append(o.Devices, Device{Name: name, Profile: p})
		return nil
	}
	var errs []error
	for _, d := range o.Job.Devices {
		errs = append(errs, add(d.Name, d.Profile))
	}
	for _, r := range o.Job.Remotes {
		errs = append(errs, add(r.Name, r.Profile))
	}
	return errors.Join(errs...)
}

// demands are the plan's settings as the second pass takes them. They are wiring truth: what is
// joined works only so.
func (o *Outcome) demands() []derive.Demand {
	out := []derive.Demand{} // not nil: pass 2, even with nothing to demand
	for _, d := range o.Plan.Demands {
		out = append(out, derive.Demand{Key: d.Key, Value: d.Value, Level: base.Wiring, Why: d.Why, Pos: o.functionPlace(d.Function)})
	}
	return out
}

func (o *Outcome) functionPlace(name string) source.Pos {
	if name == "" {
		return source.Pos{}
	}
	return o.Job.Doc.Where("function", name)
}

// gate is the one place that says whether a keying card may exist.
func (o *Outcome) gate() {
	d := &o.Derived
	shut := func(text string) { o.Gate.Because = append(o.Gate.Because, text) }
	if len(d.Contradictions) > 0 {
		shut("the job contradicts itself")
	}
	for _, f := range d.Refusals {
		switch f.Scope.What {
		case "job":
			shut("the job is refused: " + f.Why)
		case "remote-start":
			shut("remote start is refused: " + f.Why)
		}
	}
	if d.Start == derive.Refused && len(o.Gate.Because) == 0 {
		shut("remote start is refused")
	}
	if d.JobRefused && len(o.Gate.Because) == 0 {
		shut("the job is refused")
	}
	if d.Start == derive.OutOpen {
		shut("a fact that safety needs is missing: see what is missing, and how to find it out")
	}
	if len(o.options.With) > 0 || len(o.options.Prefer) > 0 {
		shut("facts or wishes were only tried; write them into the job to get a card")
	}
	o.Gate.Open = len(o.Gate.Because) == 0
	o.Gate.NotHandover = o.Gate.Open && d.Start == derive.ToBeProven
}

// Required is what the job requires, as a snapshot: the values of all settings that a device has.
func (o *Outcome) Required() setting.Snapshot {
	return o.snapshot(func(derive.Setting) setting.Origin { return setting.OriginKeyed })
}

// Leaves is what the devices hold after the cards: keyed where the card set it, factory where it was left.
func (o *Outcome) Leaves() setting.Snapshot {
	return o.snapshot(func(s derive.Setting) setting.Origin {
		if s.Action == derive.Leave || s.Action == derive.Fixed {
			return setting.OriginFactory
		}
		return setting.OriginKeyed
	})
}

func (o *Outcome) snapshot(origin func(derive.Setting) setting.Origin) setting.Snapshot {
	var readings []setting.Reading
	for _, s := range o.Derived.Settings {
		r := setting.Reading{Key: s.Key, Value: s.Value, Status: setting.StatusKnown, Origin: origin(s)}
		switch {
		case s.Action == derive.Absent:
			continue
		case s.Kind == derive.NotApplicable:
			r = setting.Reading{Key: s.Key, Status: setting.StatusNotApplicable}
		case s.Value == "":
			r = setting.Reading{Key: s.Key, Status: setting.StatusUnknown}
		}
		readings = append(readings, r)
	}
	snap, err := setting.NewSnapshot(readings, nil)
	if err != nil {
		panic(fmt.Sprintf("derived settings are well formed and each stands once: %v", err))
	}
	return snap
}

// Off names what the job leaves off: remote start when it is refused or left out, functions that are refused.
func (o *Outcome) Off() []string {
	var off []string
	if o.Job.Start && (o.Derived.Start == derive.Refused || o.Derived.Start == derive.NotWanted) {
		off = append(off, "remote-start")
	}
	for _, r := range o.Plan.Refused {
		off = append(off, "function:"+r.Function)
	}
	return off
}

// Shows says what is seen or heard when a command arrives, as this job is wired and set.
func (o *Outcome) Shows() string {
	for _, s := range o.Derived.Settings {
		if s.Key.Setting == "confirm.lamps" && s.Value == "on" {
			return "the lamps flash"
		}
	}
	return ""
}
