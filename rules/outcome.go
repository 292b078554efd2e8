// Package rules is the pipeline: from a described install to everything that follows from it.
//
//	job + profiles + policy -> facts -> settings, pass 1 -> button plan -> settings, pass 2 -> cards
//
// Resolve runs the stages in that order and holds the one gate that says whether a keying card may
// exist. It has no side effects: the same job, profiles, policy and rule base give the same Outcome.
package rules

import (
	"asleft/config/job"
	"asleft/config/profile"
	"asleft/rules/assign"
	"asleft/rules/derive"
	"asleft/rules/keying"
)

// Outcome is everything that follows from one job.
type Outcome struct {
	Job      *job.Job
	Policy   *job.Policy // nil when the shop named none
	Devices  []Device    // controllers and modules of the job, then its remotes, in the job's order
	Derived  derive.Result
	Plan     assign.Plan
	Cards    []Card   // in the order of work; none when the gate is shut
	Work     []string // order of the work after wiring, with the state of the car each step needs
	Gate     Gate
	RuleBase string // digest of the rule base, in hexadecimal

	options Options
	input   derive.Input
}

// Device is a device of the job with what it can do.
type Device struct {
	Name    string // the name that the job gives it
	Profile *profile.Profile
}

// Card is a keying card with its place in the work.
type Card struct {
	keying.Card
	Purpose string // what a card is for that does not itself bring the required settings; "" otherwise
	Later   string // when it is keyed, where that is not at once: a linked start waits for the proof of the inputs

	leg leg
}

// Gate says whether keying cards may exist, and if not why. A card that may exist can still be
// not for handover: then tests are left to be passed.
type Gate struct {
	Open        bool
	Because     []string // what shuts it, in plain words; empty when open
	NotHandover bool     // the cards carry "not for handover": tests are left
}

// Invented names the invented devices of the job: sheets made from them say so.
func (o *Outcome) Invented() []string {
	var names []string
	for _, d := range o.Devices {
		if d.Profile.Invented {
			names = append(names, d.Profile.Label)
		}
	}
	return names
}

// Refused reports whether the job or its remote start is refused, or its wishes contradict each other.
func (o *Outcome) Refused() bool {
	return o.Derived.JobRefused || o.Derived.Start == derive.Refused
}

// Open reports whether a fact that safety needs is missing, so that no card can exist yet.
func (o *Outcome) Open() bool { return !o.Refused() && o.Derived.Start == derive.OutOpen }
