package derive

import (
	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules/base"
)

// Kind says how far a setting was left free. See the package comment.
type Kind string

// The kinds of a derived setting. Open means that a missing fact decides it: it has no value yet. Impossible
// means that hard rules, or two wishes, leave no value: a refusal or contradiction says which.
const (
	Forced        Kind = "forced"
	Chosen        Kind = "chosen"
	NotApplicable Kind = "not-applicable"
	Open          Kind = "open"
	Impossible    Kind = "impossible"
)

// Action says what a technician has to do about a setting.
type Action string

// Actions. Strap, Dial, Cable and Learned are done by hand and listed apart on the card; Fixed is a
// setting by which the device works without any option; Absent is one that no device of the job has.
const (
	Set     Action = "set"     // keyed: differs from the factory value
	Leave   Action = "leave"   // the factory value is right
	Strap   Action = "strap"   // by hand
	Dial    Action = "dial"    // by hand
	Cable   Action = "cable"   // entered by cable
	Learned Action = "learned" // learned by the device
	Fixed   Action = "fixed"   // the device knows no other value
	Absent  Action = "absent"  // not on this device
)

// Setting is one derived setting with everything that stands behind it.
type Setting struct {
	Key       setting.Key
	Value     setting.Value // "" when Kind is Open or Impossible, or NotApplicable without an option to leave
	Kind      Kind
	Action    Action
	Level     base.Level    // the level that made one value of several
	Option    string        // id of the device's option, "" when there is none
	Position  string        // name of the option value to choose, "2"
	Factory   setting.Value // "" when the device has no option for it
	Rules     []RuleRef     // what decided, highest level first
	Facts     []FactRef     // what those rules read
	NotMet    []NotMet      // what lost, and to what
	Otherwise string        // what would have to change for another value; one sentence
	InUse     bool          // false for feeds and outputs joined to nothing, and for defaults of what no device has: listings leave them out
}

// RuleRef names a rule, a wish or a line of policy that had a say. A rule of the base has its id as
// Rule; a wish or policy line has "wish", "policy limit" or "policy default".
type RuleRef struct {
	Rule   string
	Level  base.Level
	Says   string // "lock.count = 1", "run.minutes at most 5"
	Why    string // one sentence a customer can read
	Source string
	Pos    source.Pos // in the job or policy for wishes and policy lines, else in the rule file
}

// FactRef is a fact as a rule read it.
type FactRef struct {
	Name    string
	Value   string // the word, or "" when unknown
	Assumed bool   // unknown in the job: Value is the worst, which safety assumes
	Title   string
	Pos     source.Pos
}

// NotMet is a wish or rule that could not have its way, and the reason.
type NotMet struct {
	RuleRef
	Because string // one sentence: which rules or options left no room
	By      []RuleRef
}

// Scope is what a refusal takes away.
type Scope struct {
	What string // remote-start, auto-start, function, lock-feature, job
	Name string // of the function, "" otherwise
}

// String is "remote-start" or "function ramp".
func (s Scope) String() string {
	if s.Name == "" {
		return s.What
	}
	return s.What + " " + s.Name
}

// Finding is a refusal, a caution or a contradiction.
type Finding struct {
	Rule   string // id of the rule; "" for a contradiction
	Scope  Scope
	Where  string // cautions: every-card or this-job
	Why    string
	Source string
	Cure   string
	Facts  []FactRef
	Rules  []RuleRef // contradictions: all that cannot hold together, each with its place
	Open   bool      // rests on a fact that is missing and was assumed the worst
	Unmet  bool      // no rule refuses by itself: what rules require leaves the device nothing
}

// Missing is a fact that is not known and that something depends on.
type Missing struct {
	Fact    string
	Title   string
	KnownBy string
	Measure string   // how to find out
	Values  []string // what it can be
	Assumed string   // what safety rules assumed meanwhile
	Settles []string // settings and scopes that depend on it, in listing order
	Safety  bool     // a safety rule reads it
	Pos     source.Pos
}

// TestNeed is a commissioning test that applies to this install.
type TestNeed struct {
	Test     *base.Test
	Instance string // function, opening, remote or signal for tests with each, else ""
	Done     bool   // listed in the job as passed
	Required bool   // must pass before handover: critical, asked for by a rule, or by the shop
	Because  []string
}

// ID is the test's id, with the instance behind a colon where it has one.
func (t TestNeed) ID() string {
	if t.Instance == "" {
		return t.Test.ID
	}
	return t.Test.ID + ":" + t.Instance
}

// Outcome is what the derivation says about remote start (decision: refused, open, to be proven, proven).
type Outcome string

// Outcomes, from bad to good. NotWanted stands for a job without remote start, or one derived without.
const (
	Refused    Outcome = "refused"
	OutOpen    Outcome = "open"
	ToBeProven Outcome = "to-be-proven"
	Proven     Outcome = "proven"
	NotWanted  Outcome = "not-wanted"
)

// Result is everything that follows from a job. All lists are sorted: settings by setting.Less and device, refusals by
// scope, those of a rule before those of a device that cannot, and then by rule; tests in the order of work.
type Result struct {
	Settings       []Setting
	Refusals       []Finding
	Cautions       []Finding
	Contradictions []Finding
	NotMet         []NotMet // wishes and rules below policy limits that lost, gathered from all settings
	Missing        []Missing
	Measure        []string // a smallest set of facts that settles everything open, whatever they turn out to be
	Tests          []TestNeed
	Start          Outcome
	JobRefused     bool // nothing of the job may go on: a refusal of scope job, or a contradiction
}

// Get finds a derived setting.
func (r *Result) Get(key setting.Key) (Setting, bool) {
	for _, s := range r.Settings {
		if s.Key == key {
			return s, true
		}
	}
	return Setting{}, false
}

// Refused reports whether the scope, or the whole job, is refused.
func (r *Result) Refused(scope Scope) bool {
	if r.JobRefused {
		return true
	}
	for _, f := range r.Refusals {
		if f.Scope == scope {
			return true
		}
	}
	return false
}

// Demand is a value that the button plan needs: pass 2 derives aux.*, state-output.* and remote.* from
// demands. A demand may not change what pass 1 decided.
type Demand struct {
	Key   setting.Key
	Value setting.Value
	Level base.Level
	Why   string
	Pos   source.Pos
}
