package base

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
)

// pattern is the vocabulary's pattern of a setting's name as a rule writes it.
func pattern(name string) string {
	family, ok := setting.Find(Fill(name, "x"))
	if !ok {
		return name
	}
	return family.Pattern
}

// Reads are the patterns of the settings whose values the rule's condition reads, sorted.
func (r *Rule) Reads() []string {
	var out []string
	for _, line := range r.When.Lines() {
		line.Leaves(func(leaf *Line, _ string) {
			if leaf.Subject == OfSetting {
				out = append(out, pattern(leaf.Name))
			}
		})
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Touches are the patterns of the settings that the rule decides, sorted.
func (r *Rule) Touches() []string {
	var out []string
	for _, e := range r.Effects {
		out = append(out, pattern(e.Setting))
	}
	for _, name := range r.NotApplicable {
		out = append(out, pattern(name))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// OfPlan reports whether a setting is decided from the button plan, in pass 2.
func OfPlan(name string) bool {
	return strings.HasPrefix(name, "aux.") || strings.HasPrefix(name, "state-output.") || strings.HasPrefix(name, "remote.")
}

// checkPasses refuses a rule by which the button plan could reach back into what was decided before it.
func (l *loader) checkPasses() {
	for _, r := range l.base.Rules {
		reads := slices.ContainsFunc(r.Reads(), OfPlan)
		touches := slices.ContainsFunc(r.Touches(), func(s string) bool { return !OfPlan(s) })
		if reads && (touches || r.Refuse != "") {
			l.extra = append(l.extra, source.Problem{
				Pos: r.Pos, Message: fmt.Sprintf("the rule %q reads a setting of the button plan and decides something that comes before the plan", r.ID),
			})
		}
	}
}

// checkGraph refuses a circle of settings that wait for each other.
func (l *loader) checkGraph() {
	after := map[string][]*Rule{} // setting -> rules that read it
	for _, r := range l.base.Rules {
		for _, s := range r.Reads() {
			after[s] = append(after[s], r)
		}
	}
	const walking, done = 1, 2
	state := map[string]int{}
	var path []string
	var visit func(s string) bool
	visit = func(s string) bool {
		if state[s] == done {
			return true
		}
		path = append(path, s)
		if state[s] == walking {
			return false
		}
		state[s] = walking
		for _, r := range after[s] {
			for _, next := range r.Touches() {
				if !visit(next) {
					return false
				}
			}
		}
		path = path[:len(path)-1]
		state[s] = done
		return true
	}
	for _, s := range sortedKeys(after) {
		if !visit(s) {
			circle := path[slices.Index(path, path[len(path)-1]):]
			l.extra = append(l.extra, l.circle(circle, after))
			return
		}
	}
}

// circle names the rules that close a circle, at the first of them.
func (l *loader) circle(settings []string, after map[string][]*Rule) source.Problem {
	var rules []*Rule
	for i, s := range settings[:len(settings)-1] {
		for _, r := range after[s] {
			if slices.Contains(r.Touches(), settings[i+1]) {
				rules = append(rules, r)
				break
			}
		}
	}
	slices.SortFunc(rules, func(a, b *Rule) int { return cmp.Compare(a.ID, b.ID) })
	p := source.Problem{Pos: rules[0].Pos, Message: fmt.Sprintf("settings wait for each other in a circle: %s", strings.Join(settings, ", then "))}
	for _, r := range rules[1:] {
		p.Also = append(p.Also, r.Pos)
	}
	return p
}
