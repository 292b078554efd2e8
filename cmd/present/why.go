package present

import (
	"fmt"

	"asleft/rules"
	"asleft/rules/derive"
)

// WhyView explains a setting, on each device that has it.
type WhyView struct {
	Schema   string        `json:"schema"` // asleft/why/1
	Setting  string        `json:"setting"`
	Title    string        `json:"title"`
	Settings []SettingView `json:"settings"`
}

// Why makes the view.
func Why(_ *rules.Outcome, settings []derive.Setting) WhyView {
	v := WhyView{Schema: "asleft/why/1", Setting: settings[0].Key.Setting}
	if of, ok := SettingsOf(v.Setting); ok {
		v.Title = of.Settings[0].Title
	}
	for _, s := range settings {
		v.Settings = append(v.Settings, settingView(s))
	}
	return v
}

// Page tells the chain from facts to value.
func (v WhyView) Page() Page {
	p := Page{Title: v.Setting + ": " + v.Title}
	for _, s := range v.Settings {
		p.Sections = append(p.Sections, explain(s))
	}
	return p
}

func explain(s SettingView) Section {
	title := fmt.Sprintf("%s = %s", s.Device, s.Shown())
	out := Section{Title: title}
	out.Add(Text{Plain, fmt.Sprintf("It is %s; %s.", s.Basis(), actionWords(s))})
	if len(s.Rules) > 0 {
		out.Add(Text{Plain, "Decided by:"})
		for _, r := range s.Rules {
			out.Add(List{Items: nonEmpty(ruleLine(r)+", level "+r.Level, r.Why, lead("source: ", r.Source))})
		}
	}
	if len(s.Facts) > 0 {
		out.Add(Text{Plain, "From these facts:"})
		var items []string
		for _, f := range s.Facts {
			items = append(items, factLine(f))
		}
		out.Add(List{Items: items})
	}
	for _, n := range s.NotMet {
		out.Add(Text{Notice, "Lost: " + ruleLine(n.RuleView) + ". " + n.Because})
	}
	if s.Otherwise != "" {
		out.Add(Text{Plain, "For another value: " + s.Otherwise})
	}
	return out
}

func actionWords(s SettingView) string {
	switch derive.Action(s.Action) {
	case derive.Set:
		return "it must be set, the factory value is " + s.Factory
	case derive.Leave:
		return "the factory value is right and is left"
	case derive.Fixed:
		return "the device knows no other value"
	case derive.Absent:
		return "no device of this job has an option for it"
	default:
		return "it is set by " + s.Action + ", to position " + s.Position
	}
}
