package present

import (
	"fmt"
	"strings"

	"asleft/config/job"
	"asleft/config/setting"
	"asleft/rules"
	"asleft/rules/derive"
)

// WhyView explains a setting: why it has its value, or why not another.
type WhyView struct {
	Schema  string      `json:"schema"` // asleft/why/1
	Setting SettingView `json:"setting"`
	Title   string      `json:"title"`
	Steps   []StepOfWhy `json:"steps,omitempty"`
	Through []WhyView   `json:"through,omitempty"` // settings that the rules read, explained in turn
	Not     *NotView    `json:"not,omitempty"`
}

// StepOfWhy is one rule with the facts it read.
type StepOfWhy struct {
	RuleView
	Facts []FactView `json:"facts,omitempty"`
}

// NotView says what keeps a setting from a value.
type NotView struct {
	Value     string         `json:"value"`
	Is        bool           `json:"is"`
	Conflicts []ConflictView `json:"conflicts,omitempty"`
	More      int            `json:"more,omitempty"`
	Whole     bool           `json:"all-found"`
}

// ConflictView is one minimal set that cannot hold together with the value.
type ConflictView struct {
	Rules  []RuleView `json:"rules"`
	Facts  []FactView `json:"facts,omitempty"`
	Device string     `json:"device,omitempty"`
	Hard   bool       `json:"no-wish-can-change-it,omitempty"`
}

// Why makes the view of an explanation. Facts about measured conductors lead on to their readings.
func Why(e derive.Explanation, j *job.Job) WhyView {
	v := WhyView{Schema: "asleft/why/1", Setting: settingView(e.Setting), Title: titleOf(e.Setting.Key.Setting)}
	for _, s := range e.Steps {
		step := StepOfWhy{ruleViews([]derive.RuleRef{s.Rule})[0], factViews(s.Facts)}
		for i := range step.Facts {
			step.Facts[i].Measured = measured(step.Facts[i].Name, j)
		}
		v.Steps = append(v.Steps, step)
	}
	for _, t := range e.Through {
		v.Through = append(v.Through, Why(t, j))
	}
	return v
}

// measured is what was read on the conductor that a fact speaks of, "" for other facts.
func measured(fact string, j *job.Job) string {
	subject, _, _ := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(fact, "feed."), "circuit."), ".")
	for _, f := range j.Feeds {
		if strings.HasPrefix(fact, "feed.") && f.Feed == subject {
			subject = f.Circuit
		}
	}
	if !strings.HasPrefix(fact, "feed.") && !strings.HasPrefix(fact, "circuit.") {
		return ""
	}
	for _, c := range j.Circuits {
		if c.Name == subject {
			return c.Name + " is " + c.Role + ": " + c.Because
		}
	}
	return ""
}

// WhyNot makes the view of what keeps a setting from a value.
func WhyNot(n derive.NotThis) WhyView {
	v := WhyView{Schema: "asleft/why/1", Setting: settingView(n.Setting), Title: titleOf(n.Setting.Key.Setting)}
	not := &NotView{Value: string(n.Value), Is: n.Is, More: n.More, Whole: n.Whole}
	for _, c := range n.Conflicts {
		not.Conflicts = append(not.Conflicts, ConflictView{ruleViews(c.Rules), factViews(c.Facts), c.Device, c.Hard})
	}
	v.Not = not
	return v
}

func titleOf(name string) string {
	f, _ := setting.Find(name)
	return f.Title
}

// Page tells the chain, or the conflicts.
func (v WhyView) Page() Page {
	p := Page{Title: v.Setting.Setting + ": " + v.Title}
	if v.Not != nil {
		p.Sections = v.Not.sections(v.Setting)
		return p
	}
	p.Sections = append(p.Sections, v.chain("")...)
	return p
}

func (v WhyView) chain(before string) []Section {
	s := v.Setting
	out := Section{Title: fmt.Sprintf("%s%s, %s = %s", before, s.Device, s.Setting, s.Shown())}
	out.Add(Text{Plain, fmt.Sprintf("It is %s; %s.", s.Basis(), actionWords(s))})
	for _, step := range v.Steps {
		out.Add(Text{Plain, ruleLine(step.RuleView) + ", level " + strings.ReplaceAll(step.Level, "-", " ")})
		items := nonEmpty(step.Why, lead("source: ", step.Source))
		for _, f := range step.Facts {
			items = append(items, nonEmpty(factLine(f), f.Measured)...)
		}
		out.Add(List{Items: items})
	}
	for _, n := range s.NotMet {
		out.Add(Text{Notice, "Lost: " + ruleLine(n.RuleView) + ". " + n.Because})
	}
	if s.Otherwise != "" {
		out.Add(Text{Plain, "For another value: " + s.Otherwise})
	}
	sections := []Section{out}
	for _, t := range v.Through {
		sections = append(sections, t.chain("which rests on ")...)
	}
	return sections
}

func (c ConflictView) section(title string) Section {
	s := Section{Title: title}
	for _, r := range c.Rules {
		s.Add(Text{Plain, ruleLine(r) + ", level " + strings.ReplaceAll(r.Level, "-", " ")})
		s.Add(List{Items: nonEmpty(r.Why)})
	}
	var items []string
	for _, f := range c.Facts {
		items = append(items, factLine(f))
	}
	s.Add(List{Items: append(items, nonEmpty(lead("device: ", c.Device))...)})
	if c.Hard {
		s.Add(Text{Notice, "No wish can change it."})
	}
	return s
}

func actionWords(s SettingView) string {
	if s.Value == "" && s.Kind != string(derive.NotApplicable) {
		return "it has no value until that is settled"
	}
	switch derive.Action(s.Action) {
	case derive.Set:
		return "it must be set, the factory value is " + s.Factory
	case derive.Leave:
		return "the factory value is right and is left"
	case derive.Fixed:
		return "the device knows no other value"
	case derive.Absent:
		return "no device of this job has an option for it"
	case derive.Learned:
		return "the device is taught it"
	default:
		return "it is set by " + s.Action + ", to position " + s.Position
	}
}

// RepairsView lists what would make a refused job work.
type RepairsView struct {
	Schema string        `json:"schema"` // asleft/repairs/1
	Job    JobView       `json:"job"`
	Start  string        `json:"remote-start"`
	Failed []FailedView  `json:"failed"`
	Found  []FindingView `json:"findings"`
}

// FailedView is one thing that is refused, with its repairs, cheapest first.
type FailedView struct {
	Scope   string       `json:"scope"`
	Repairs []RepairView `json:"repairs"`
	Whole   bool         `json:"searched-to-the-end"`
}

// RepairView is one set of changes that works, derived again to show that it does.
type RepairView struct {
	Changes []ChangeOfJob `json:"changes"`
	Start   string        `json:"remote-start-then"`
	Measure []string      `json:"then-find-out,omitempty"`
}

// ChangeOfJob is one change.
type ChangeOfJob struct {
	Kind string     `json:"kind"`
	Says string     `json:"says"`
	At   *PlaceView `json:"at,omitempty"`
}

// Failure makes the view of the repairs of one scope.
func Failure(scope derive.Scope, repairs []derive.Repair, whole bool) FailedView {
	v := FailedView{Scope: scope.String(), Whole: whole}
	for _, r := range repairs {
		repair := RepairView{Start: string(r.Start), Measure: r.Measure}
		for _, c := range r.Changes {
			repair.Changes = append(repair.Changes, ChangeOfJob{c.Kind.String(), c.Says, placeView(c.Pos)})
		}
		v.Repairs = append(v.Repairs, repair)
	}
	return v
}

// Page shows what is refused and what would cure it.
func (v RepairsView) Page() Page {
	p := Page{Title: v.Job.Title, Marks: v.Job.marks()}
	if len(v.Failed) == 0 {
		s := Section{Title: "Nothing is refused"}
		s.Add(Text{Plain, "Remote start: " + startLine(v.Start) + "."})
		p.Sections = append(p.Sections, s)
	}
	if len(v.Found) > 0 {
		s := Section{Title: "Refused"}
		for _, f := range v.Found {
			addFinding(&s, "REFUSED: "+f.Scope, f)
		}
		p.Sections = append(p.Sections, s)
	}
	for _, f := range v.Failed {
		s := Section{Title: "What would make it work: " + f.Scope}
		for i, r := range f.Repairs {
			s.Add(Text{Plain, fmt.Sprintf("%d. Then remote start is: %s.", i+1, startLine(r.Start))})
			var items []string
			for _, c := range r.Changes {
				items = append(items, c.Says+lead(" ", bracketed(c.At.String()))+" ["+c.Kind+"]")
			}
			for _, m := range r.Measure {
				items = append(items, "then find out: "+m)
			}
			s.Add(List{Items: items})
		}
		if len(f.Repairs) == 0 {
			s.Add(Text{Notice, map[bool]string{true: "No set of up to three changes does.", false: "None was found within the bounds of the search."}[f.Whole]})
		}
		p.Sections = append(p.Sections, s)
	}
	return p
}

func bracketed(s string) string {
	if s == "" {
		return ""
	}
	return "(" + s + ")"
}

// Refusals begins the view of what is refused; the repairs are added by the caller, who knows how
// long to look for them.
func Refusals(o *rules.Outcome, s Stamp) RepairsView {
	return RepairsView{
		Schema: "asleft/repairs/1", Job: jobView(o, s), Start: string(o.Derived.Start),
		Found: append(findingViews(o.Derived.Contradictions), findingViews(o.Derived.Refusals)...),
	}
}

func (n NotView) sections(s SettingView) []Section {
	head := Section{Title: fmt.Sprintf("%s, %s: why not %s", s.Device, s.Setting, n.Value)}
	if n.Is {
		head.Add(Text{Plain, "It is " + n.Value + "."})
		return []Section{head}
	}
	head.Add(Text{Plain, fmt.Sprintf("It is %s, %s.", s.Shown(), s.Basis())})
	out := []Section{head}
	for i, c := range n.Conflicts {
		title := "What forbids it, nothing of which could be left out"
		if len(n.Conflicts) > 1 {
			title = fmt.Sprintf("What forbids it, %d of %d", i+1, len(n.Conflicts))
		}
		out = append(out, c.section(title))
	}
	if n.More > 0 || !n.Whole {
		s := Section{}
		s.Add(Text{Quiet, "There are more such sets; --all lists them."})
		out = append(out, s)
	}
	return out
}
