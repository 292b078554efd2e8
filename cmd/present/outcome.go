package present

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules"
	"asleft/rules/base"
	"asleft/rules/derive"
)

// PlaceView is where something stands in a file.
type PlaceView struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
}

func placeView(p source.Pos) *PlaceView {
	if p.File == "" {
		return nil
	}
	return &PlaceView{p.File, p.Line, p.Col}
}

// String is "file:line".
func (p *PlaceView) String() string {
	if p == nil {
		return ""
	}
	if p.Line == 0 {
		return p.File
	}
	return fmt.Sprintf("%s:%d", p.File, p.Line)
}

// SettingView is one derived setting.
type SettingView struct {
	Device    string       `json:"device"`
	Setting   string       `json:"setting"`
	Value     string       `json:"value,omitempty"`
	Unit      string       `json:"unit,omitempty"`
	Kind      string       `json:"kind"`   // forced, chosen, not-applicable, open
	Action    string       `json:"action"` // set, leave, strap, dial, cable, learned, fixed, absent
	Level     string       `json:"level,omitempty"`
	Option    string       `json:"option,omitempty"`
	Position  string       `json:"position,omitempty"`
	Factory   string       `json:"factory,omitempty"`
	Why       string       `json:"why,omitempty"`
	Rules     []RuleView   `json:"rules,omitempty"`
	Facts     []FactView   `json:"facts,omitempty"`
	NotMet    []NotMetView `json:"not-met,omitempty"`
	Otherwise string       `json:"otherwise,omitempty"`
}

// RuleView is a rule, wish or line of policy that had a say.
type RuleView struct {
	Rule   string     `json:"rule"`
	Level  string     `json:"level"`
	Says   string     `json:"says,omitempty"`
	Why    string     `json:"why,omitempty"`
	Source string     `json:"source,omitempty"`
	At     *PlaceView `json:"at,omitempty"`
}

// FactView is a fact as a rule read it.
type FactView struct {
	Name    string     `json:"name"`
	Value   string     `json:"value"`
	Assumed bool       `json:"assumed,omitempty"`
	Title   string     `json:"title,omitempty"`
	At      *PlaceView `json:"at,omitempty"`

	Measured string `json:"measured,omitempty"` // the readings behind a fact about a conductor
}

// NotMetView is a wish or rule that could not have its way.
type NotMetView struct {
	RuleView
	Because string     `json:"because"`
	By      []RuleView `json:"by,omitempty"`
}

// FindingView is a refusal, a caution or a contradiction.
type FindingView struct {
	Rule   string     `json:"rule,omitempty"`
	Scope  string     `json:"scope,omitempty"`
	Why    string     `json:"why"`
	Source string     `json:"source,omitempty"`
	Cure   string     `json:"cure,omitempty"`
	Open   bool       `json:"rests-on-missing-fact,omitempty"`
	Facts  []FactView `json:"facts,omitempty"`
	Rules  []RuleView `json:"rules,omitempty"`
}

// MissingView is a fact that is not known and that something depends on.
type MissingView struct {
	Fact    string     `json:"fact"`
	Title   string     `json:"title,omitempty"`
	Measure string     `json:"measure"`
	KnownBy string     `json:"known-by,omitempty"`
	Values  []string   `json:"values"`
	Assumed string     `json:"assumed,omitempty"`
	Settles []string   `json:"settles"`
	Safety  bool       `json:"safety,omitempty"`
	At      *PlaceView `json:"at,omitempty"`
}

// TestView is a commissioning test that applies.
type TestView struct {
	ID       string `json:"id"`
	Title    string `json:"title"`
	Phase    string `json:"phase"`
	How      string `json:"how"`
	Expected string `json:"expected"`
	Critical bool   `json:"critical"`
	SetsOff  string `json:"sets-off,omitempty"`
	Reading  string `json:"reading,omitempty"`
	Done     bool   `json:"done"`
	Required bool   `json:"required"`
}

func settingView(s derive.Setting) SettingView {
	v := SettingView{
		Device: s.Key.Device, Setting: s.Key.Setting, Value: string(s.Value),
		Kind: string(s.Kind), Action: string(s.Action), Option: s.Option, Position: s.Position,
		Factory: string(s.Factory), Otherwise: s.Otherwise,
		Rules: ruleViews(s.Rules), Facts: factViews(s.Facts), NotMet: notMetViews(s.NotMet),
	}
	if s.Kind == derive.Forced || s.Kind == derive.Chosen {
		v.Level = s.Level.String()
	}
	if f, ok := setting.Find(s.Key.Setting); ok {
		v.Unit = f.Unit
	}
	v.Why = mainReason(s)
	return v
}

// mainReason is the sentence that tells most about a value: of the rule that names the value, else
// of one of the level that decided, else of any.
func mainReason(s derive.Setting) string {
	if s.Kind == derive.Open {
		return s.Otherwise
	}
	says := s.Key.Setting + " = " + string(s.Value)
	best, rank := "", 0
	for _, r := range s.Rules {
		this := 1
		if r.Level == s.Level {
			this = 2
		}
		if r.Says == says {
			this += 2
		}
		if r.Why != "" && this > rank {
			best, rank = r.Why, this
		}
	}
	switch {
	case best != "":
		return best
	case s.Action == derive.Fixed:
		return "the device works only so"
	case s.Kind == derive.Chosen && s.Level == base.PolicyDefault:
		return "the shop's usual value"
	case s.Kind == derive.Chosen:
		return "nothing asks for another value"
	default:
		return ""
	}
}

// Shown is the value with its unit, for people.
func (v SettingView) Shown() string {
	switch {
	case v.Kind == string(derive.NotApplicable):
		return "not applicable"
	case v.Value == "":
		return "open"
	case v.Unit != "" && strings.ContainsRune("-0123456789", rune(v.Value[0])):
		return v.Value + " " + v.Unit
	default:
		return v.Value
	}
}

// Basis says in a few words what the value rests on.
func (v SettingView) Basis() string {
	switch {
	case v.Kind == string(derive.NotApplicable), v.Kind == string(derive.Open):
		return v.Kind
	case v.Level == "":
		return v.Kind
	default:
		return v.Kind + " by " + strings.ReplaceAll(v.Level, "-", " ")
	}
}

// reason is the basis with the main reason.
func (v SettingView) reason() string {
	if v.Why == "" {
		return v.Basis()
	}
	return v.Basis() + ": " + v.Why
}

func ruleViews(refs []derive.RuleRef) []RuleView {
	var out []RuleView
	for _, r := range refs {
		out = append(out, RuleView{r.Rule, r.Level.String(), r.Says, r.Why, r.Source, placeView(r.Pos)})
	}
	return out
}

func factViews(refs []derive.FactRef) []FactView {
	var out []FactView
	for _, f := range refs {
		value := f.Value
		if value == "" {
			value = "unknown"
		}
		out = append(out, FactView{Name: f.Name, Value: value, Assumed: f.Assumed, Title: f.Title, At: placeView(f.Pos)})
	}
	return out
}

func notMetViews(all []derive.NotMet) []NotMetView {
	var out []NotMetView
	for _, n := range all {
		out = append(out, NotMetView{ruleViews([]derive.RuleRef{n.RuleRef})[0], n.Because, ruleViews(n.By)})
	}
	return out
}

func findingViews(all []derive.Finding) []FindingView {
	var out []FindingView
	for _, f := range all {
		scope := f.Scope.String()
		out = append(out, FindingView{f.Rule, scope, f.Why, f.Source, f.Cure, f.Open, factViews(f.Facts), ruleViews(f.Rules)})
	}
	return out
}

func missingViews(all []derive.Missing) []MissingView {
	var out []MissingView
	for _, m := range all {
		out = append(out, MissingView{m.Fact, m.Title, m.Measure, m.KnownBy, m.Values, m.Assumed, m.Settles, m.Safety, placeView(m.Pos)})
	}
	return out
}

func testViews(all []derive.TestNeed) []TestView {
	var out []TestView
	for _, t := range all {
		title := t.Test.Title
		if t.Instance != "" {
			title += ": " + t.Instance
		}
		out = append(out, TestView{t.ID(), title, string(t.Test.Phase), t.Test.How, t.Test.Expected, t.Test.Critical, t.Test.SetsOff, t.Test.Reading, t.Done, t.Required})
	}
	return out
}

// startWords says what an outcome of remote start means, for people.
var startWords = map[derive.Outcome]string{
	derive.Refused:    "REFUSED",
	derive.OutOpen:    "OPEN: a fact that safety needs is missing",
	derive.ToBeProven: "TO BE PROVEN: not for handover before the tests below have passed",
	derive.Proven:     "proven by the tests in the record",
	derive.NotWanted:  "not wanted",
}

// deviceLines describes the job's devices for a header.
func deviceLines(o *rules.Outcome) []DeviceView {
	var out []DeviceView
	for _, d := range o.Devices {
		out = append(out, DeviceView{d.Name, d.Profile.ID, d.Profile.Label, d.Profile.Invented})
	}
	return out
}

// DeviceView names a device of the job.
type DeviceView struct {
	Name     string `json:"name"`
	Profile  string `json:"profile"`
	Label    string `json:"label"`
	Invented bool   `json:"invented,omitempty"`
}

// leads reports whether a setting is one of the five that come first everywhere.
func leads(name string) bool {
	f, ok := setting.Find(name)
	return ok && f.Leads
}

// byPhase keeps the tests in the order in which they are done.
func byPhase(tests []TestView) []TestView {
	phases := []string{"still", "key", "refusal", "live", "handover"}
	out := slices.Clone(tests)
	slices.SortStableFunc(out, func(a, b TestView) int {
		return slices.Index(phases, a.Phase) - slices.Index(phases, b.Phase)
	})
	return out
}
