package base

import (
	"asleft/config/setting"
	"asleft/config/source"
)

// Level is the weight of a rule, a wish or a line of policy. Lower numbers overrule higher ones.
type Level int

// The nine levels, highest first. Up to PolicyLimit a level is hard: what empties a setting there is a
// refusal or a contradiction, never a compromise.
const (
	Safety Level = iota
	Wiring
	DeviceLimit
	Place
	PolicyLimit
	Wish
	PolicyDefault
	TradeDefault
	Factory
	levels int = iota
)

var levelWords = [levels]string{"safety", "wiring", "device", "place", "policy-limit", "wish", "policy-default", "trade-default", "factory"}

// String is the word of rule files.
func (l Level) String() string {
	if l < 0 || int(l) >= levels {
		return "no level"
	}
	return levelWords[l]
}

// Hard reports whether the level may not be compromised: policy limits and above.
func (l Level) Hard() bool { return l <= PolicyLimit }

// Base is a checked rule base. Slices are sorted by id, except Order (rank) and the words of kinds.
type Base struct {
	Facts       []*FactType
	Quantities  []*Quantity
	Kinds       map[string][]string // fixed kinds with their words
	Constraints []*Constraint
	Rules       []*Rule
	Tests       []*Test
	Order       []*Rank
	Changes     []*Change
	Unsafe      []*Unsafe

	Digest string // of the files it was read from

	facts map[string]*FactType // by pattern
}

// FactType is an entry of the catalogue of facts. Its Pattern holds the part NAME when Each is set.
type FactType struct {
	Pattern string
	Title   string
	Domain  []string
	KnownBy string
	Measure string
	Worst   string // value that safety rules assume when unknown, or Any; "" when Absent or Always is set
	Absent  string // value when the job does not say
	Always  bool   // known in every install
	Applies []*Line
	Each    string // kind of instance, "" for a single fact
	Pos     source.Pos
}

// Any as the worst of a fact says that no single value is the worst for every rule: an unknown fact stays unknown for
// safety rules, too, and what depends on it is open.
const Any = "any"

// Assumes reports whether safety rules assume a value when the fact is unknown.
func (f *FactType) Assumes() bool { return f.Worst != "" && f.Worst != Any }

// Quantity is a number of the install that rules use as a bound.
type Quantity struct {
	Name, Title, Unit string
	Pos               source.Pos
}

// Constraint lists lines that no install can fulfil all together.
type Constraint struct {
	ID    string
	Each  string
	Never []*Line
	Why   string
	Pos   source.Pos
}

// Change is something that a workshop can do to an install, so that a fact becomes another: it is what repairs are
// made of. No change touches what the vehicle is, where it stands, who is inside, or what was measured or proven.
type Change struct {
	ID    string
	Each  string
	Fact  string
	To    string
	Kind  ChangeKind
	Needs []*Line // what must hold for the change to be possible
	Says  string  // what to do, with NAME for the instance
	Pos   source.Pos
}

// ChangeKind weighs a change: the dearest first.
type ChangeKind string

// The kinds of change that stand in rule files.
const (
	AddPart    ChangeKind = "part"
	JoinWire   ChangeKind = "wire"
	ChangeMode ChangeKind = "mode"
)

// Unsafe is what no install with a keying card may be, written by hand in facts and settings beside the rules, so that
// the rules can be proved against it. It reads no rule.
type Unsafe struct {
	ID     string
	Each   string
	When   Condition
	Scope  string // what must be refused: remote-start or function
	Why    string
	Source string
	Pos    source.Pos
}

// Condition is what must hold for a rule to fire: every line of All, one of Any (when there are any),
// none of None.
type Condition struct {
	All, Any, None []*Line
}

// Lines are all lines of the condition.
func (c Condition) Lines() []*Line {
	out := make([]*Line, 0, len(c.All)+len(c.Any)+len(c.None))
	return append(append(append(out, c.All...), c.Any...), c.None...)
}

// Rule is one rule of the base.
type Rule struct {
	ID            string
	Level         Level
	Each          string
	When          Condition
	Effects       []Effect
	NotApplicable []string // settings
	Refuse        string   // scope, "" for none
	Caution       string   // every-card, this-job, "" for none
	Prove         []string // ids of tests
	Unmet         string   // scope refused when the device cannot; "" for none given
	Why           string
	Source        string
	Cure          string
	Examples      []Example
	Pos           source.Pos
}

// Verb is what an effect does to a setting.
type Verb string

// The verbs of effects.
const (
	Require Verb = "require"
	Only    Verb = "only"
	Never   Verb = "never"
	AtMost  Verb = "at-most"
	AtLeast Verb = "at-least"
	Prefer  Verb = "prefer"
)

// Effect is what a rule says about one setting.
type Effect struct {
	Verb     Verb
	Setting  string          // a setting's name; NAME stands for the instance of a rule with each
	Values   []setting.Value // require one, only, never, prefer in order; "largest" and "smallest" with prefer
	Quantity string          // at-most, at-least: name of a quantity, "" when Number holds the bound
	Number   float64
	Pos      source.Pos
}

// Example is a test of a rule's condition, written beside the rule.
type Example struct {
	Name     string
	Facts    map[string]string
	Settings map[string]string
	Can      []string // "SETTING to VALUE"
	Fires    bool
	Pos      source.Pos
}

// Phase is the part of commissioning that a test belongs to.
type Phase string

// The phases, in the order of work.
const (
	Still    Phase = "still"
	ByKey    Phase = "key"
	Refusals Phase = "refusal"
	Live     Phase = "live"
	Handover Phase = "handover"
)

// Test is an entry of the commissioning catalogue.
type Test struct {
	ID, Title string
	Each      string
	When      Condition
	Phase     Phase
	How       string
	Expected  string
	Critical  bool
	SetsOff   string // scope that a failure of a critical test takes away
	Reading   string // what number or word the record takes, "" for pass or fail
	Source    string
	Pos       source.Pos
}

// Rank says how safe the values of a setting are, and its place in the order of keying.
type Rank struct {
	ID          string
	Setting     string // pattern of the vocabulary, or a name
	Part        string // guard or permission
	SafestFirst [][]string
	Safer       string // smaller, larger, required; "" when SafestFirst is given
	Why         string
	Pos         source.Pos
}
