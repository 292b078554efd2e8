package rules

import (
	"slices"

	"asleft/rules/assign"
	"asleft/rules/derive"
)

// Own is a gesture that a remote has for itself, in this install.
type Own struct {
	assign.Own
	Why string // why it does nothing here, in plain words; empty when it works
}

// Own lists the gestures by which the remotes lock, unlock, start, stop and call for help, as their
// profiles tell them. Whole is the outcome of the same job with its remote start, where this one is
// derived without: it knows why the start was left out.
func (o *Outcome) Own(whole *Outcome) []Own {
	noStart := o.NoStart(whole)
	why := map[string]string{"start": noStart, "stop": noStart, "panic": "nothing that sounds is joined"}
	if o.joinedTo("horn", "siren") {
		delete(why, "panic")
	}
	if !o.joinedTo("lock") && o.Job.Lock.Kind != "link" {
		why["lock"] = "the locks are not joined to the controller"
	}
	if !o.joinedTo("unlock", "unlock-driver") && o.Job.Lock.Kind != "link" {
		why["unlock"] = "the locks are not joined to the controller"
	}
	var out []Own
	for _, own := range o.Plan.Own() {
		out = append(out, Own{own, why[own.Does]})
	}
	return out
}

// joinedTo reports whether an output of one of the uses is joined to a line of the vehicle.
func (o *Outcome) joinedTo(uses ...string) bool {
	for _, d := range o.Devices {
		for _, out := range d.Profile.Outputs {
			for _, join := range o.Job.Outputs {
				if join.Output == out.Name && slices.Contains(uses, out.Use) {
					return true
				}
			}
		}
	}
	return false
}

// NoStart says why no remote starts this vehicle; empty when one does, proven or still to be proven. Whole is
// the outcome with remote start, where this one is derived without.
func (o *Outcome) NoStart(whole *Outcome) string {
	if !o.Job.Start {
		return "remote start is no part of this install"
	}
	for _, f := range whole.Derived.Refusals {
		if f.Scope.What == "remote-start" || f.Scope.What == "job" {
			return "remote start is refused: " + f.Why
		}
	}
	switch {
	case len(whole.Derived.Contradictions) > 0:
		return "the job contradicts itself: " + whole.Derived.Contradictions[0].Why
	case whole.Derived.Start == derive.OutOpen:
		return "a fact that safety needs is missing"
	case o.Derived.Start == derive.NotWanted:
		return "remote start was left off"
	}
	return ""
}
