package derive_test

import (
	"cmp"
	_ "embed"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// The parts of the program that are text: what each says stands in it.
var (
	//go:embed testdata/oracle/facts.lp
	factsText string
	//go:embed testdata/oracle/roles.lp
	rolesText string
	//go:embed testdata/oracle/exit.lp
	exitText string
	//go:embed testdata/oracle/group.lp
	groupText string
	//go:embed testdata/oracle/people.lp
	peopleText string
	//go:embed testdata/oracle/hard.lp
	hardText string
	//go:embed testdata/oracle/wish.lp
	wishText string
	//go:embed testdata/oracle/step.lp
	stepText string
	//go:embed testdata/oracle/pick.lp
	pickText string
	//go:embed testdata/oracle/missing.lp
	missingText string
	//go:embed testdata/oracle/show.lp
	showText string
	//go:embed testdata/oracle/complete.lp
	completeText string
	//go:embed testdata/oracle/end.lp
	endText string
	//go:embed testdata/oracle/devices.lp
	deviceText string
)

// constraint is what a rule or a line of policy says about a setting of a group.
type constraint struct {
	id           string // by which those of one level are ordered
	level, at    int
	node         int  // of the rule; -1 for a line of policy
	prefer, void bool // a preference; "has no meaning here"
	says         effectText
}

// constraints are what rules and policy say about a group, in the order of the walk.
func (a *asp) constraints(g *group) []constraint {
	var out []constraint
	for _, n := range a.rules {
		level := slices.Index(levels, n.rule.level)
		for _, e := range n.rule.effects {
			name := fill(e.setting, n.instance)
			if at := slices.Index(g.settings, name); at >= 0 {
				out = append(out, constraint{id: n.rule.id + " " + name, level: level, at: at, node: n.index, prefer: e.verb == "prefer", says: e})
			}
		}
		for at, s := range g.settings {
			if slices.ContainsFunc(n.rule.notApplicable, func(name string) bool { return meant(fill(name, n.instance), s) }) {
				out = append(out, constraint{id: n.rule.id, level: level, at: at, node: n.index, void: true})
			}
		}
	}
	if g.profile != "" {
		out = append(out, a.policyFor(g)...)
	}
	slices.SortStableFunc(out, func(x, y constraint) int {
		return cmp.Or(cmp.Compare(x.level, y.level), compareFlag(x.prefer, y.prefer), cmp.Compare(x.id, y.id))
	})
	return out
}

func compareFlag(x, y bool) int {
	return cmp.Compare(map[bool]int{true: 1}[x], map[bool]int{true: 1}[y])
}

// policyFor are the shop's limits and defaults for a group.
func (a *asp) policyFor(g *group) []constraint {
	var out []constraint
	for _, kind := range []string{"limit", "default"} {
		for _, name := range a.policy.keys(kind) {
			t := a.policy.get(kind, name)
			for at, s := range g.settings {
				if !meant(t.str("setting"), s) {
					continue
				}
				c := constraint{id: kind + " " + name + " " + s, level: policyLimit, at: at, node: -1, says: effectText{verb: "only", setting: s}}
				switch {
				case kind == "default":
					c.level, c.says.values = policyDefault, []string{canonical(s, t.str("value"))}
				case t.str("at-most") != "":
					c.says.verb, c.says.values = "at-most", []string{t.str("at-most")}
				default:
					for _, v := range t.words("allowed") {
						c.says.values = append(c.says.values, canonical(s, v))
					}
				}
				out = append(out, c)
			}
		}
	}
	return out
}

// sets are the sets of choices of a constraint: one for a plain one, several in order for a preference. A bound that is a quantity
// of the install has none here.
func (c constraint) sets(g *group) (out [][]int, quantity string) {
	if c.prefer {
		for _, v := range c.says.values {
			out = append(out, c.preferred(g, v)...)
		}
		return out, ""
	}
	bound, known := 0.0, true
	if c.says.verb == "at-most" || c.says.verb == "at-least" {
		if bound, known = number(c.says.values[0]); !known {
			return nil, c.says.values[0]
		}
	}
	return [][]int{g.where(c.at, func(v string) bool { return c.passes(v, bound) })}, ""
}

func (c constraint) passes(v string, bound float64) bool {
	n, isNumber := number(v)
	switch c.says.verb {
	case "never":
		return !slices.Contains(c.says.values, v)
	case "at-most":
		return !isNumber || n <= bound
	case "at-least":
		return !isNumber || n >= bound
	}
	return slices.Contains(c.says.values, v)
}

// preferred are the sets of one preference: a value, or all numbers from one end.
func (c constraint) preferred(g *group, v string) [][]int {
	if v != "largest" && v != "smallest" {
		return [][]int{g.where(c.at, func(x string) bool { return x == v })}
	}
	var numbers []float64
	for _, row := range g.choices {
		if n, ok := number(row[c.at]); ok && !slices.Contains(numbers, n) {
			numbers = append(numbers, n)
		}
	}
	slices.SortFunc(numbers, func(x, y float64) int {
		if v == "largest" {
			x, y = y, x
		}
		return cmp.Compare(x, y)
	})
	var out [][]int
	for _, n := range numbers {
		out = append(out, g.where(c.at, func(x string) bool { m, ok := number(x); return ok && m == n }))
	}
	return out
}

func (g *group) where(at int, passes func(string) bool) []int {
	var out []int
	for c, row := range g.choices {
		if passes(row[at]) {
			out = append(out, c)
		}
	}
	return out
}

// stage fills the numbers of a group and a stage into a text.
func (a *asp) stage(text string, g *group, more ...string) {
	a.say("%s", strings.NewReplacer(append([]string{"@", strconv.Itoa(g.index)}, more...)...).Replace(text))
}

// walk writes how a group is decided.
func (a *asp) walk(g *group) {
	list := a.constraints(g)
	g.list, g.speaks = list, map[int]bool{}
	a.describe(g, list)
	a.stage(groupText, g)
	asked := g.profile != "" && slices.ContainsFunc(g.settings, func(s string) bool { return a.asked[s] })
	if asked {
		a.stage(peopleText, g)
	}
	stage, policy := 0, 0
	next := func(text string, more ...string) {
		a.stage(text, g, append([]string{"NEXT", strconv.Itoa(stage + 1), "PREV", strconv.Itoa(stage)}, more...)...)
		stage++
	}
	for level := range levels {
		before := stage
		whole, steps := g.steps(level, asked)
		if whole != "" {
			next(whole, "LEVEL", strconv.Itoa(level))
		}
		for _, k := range steps {
			next(stepText, "KTH", strconv.Itoa(k))
		}
		if level == policyLimit {
			policy = stage
		}
		a.around(g, level, before, stage)
	}
	a.stage(pickText, g, "LAST", strconv.Itoa(stage), "POLICY", strconv.Itoa(policy))
	if a.second {
		a.stage(endText, g)
		return
	}
	a.stage(missingText, g)
	a.stage(showText, g, "LAST", strconv.Itoa(stage))
}

// steps are the stages of a level: one for all of its masks together, where they count so, and one for each default and preference.
// asked tells that somebody wishes or demands something of the group.
func (g *group) steps(level int, asked bool) (whole string, steps []int) {
	masks := []int{}
	for k, c := range g.list {
		switch {
		case c.level != level || c.void:
		case c.prefer:
			steps = append(steps, k)
		default:
			masks = append(masks, k)
		}
	}
	switch {
	case level == wish && asked:
		whole = wishText
	case level <= policyLimit && (len(masks) > 0 || level == wiring && asked):
		whole = hardText
	case level > policyLimit:
		steps = append(masks, steps...)
	}
	if len(g.choices) == 1 {
		steps = nil // nothing to choose
	}
	return whole, steps
}

// around keeps what was left before and after a level, where somebody will ask, and tells where it leaves a setting several values.
func (a *asp) around(g *group, level, before, after int) {
	if before == after {
		return
	}
	g.speaks[level] = true
	i := g.index
	a.say("before%d(I,D,%d,C) :- a%d_%d(I,D,C), doubt%d(I,D). after%d(I,D,%d,C) :- a%d_%d(I,D,C), doubt%d(I,D).", i, level, i, before, i, i, level, i, after, i)
	for at := range g.settings {
		if a.second || !g.differs(at) {
			continue
		}
		a.say("#show several(I,D,%d,%d,%d) : a%d_%d(I,D,C), a%d_%d(I,D,B), gives%d(%d,C,V), gives%d(%d,B,W), V < W.", i, at, level, i, after, i, after, i, at, i, at)
	}
}

// differs reports whether a setting has several values in a group.
func (g *group) differs(at int) bool {
	return slices.ContainsFunc(g.choices, func(c []string) bool { return c[at] != g.choices[0][at] })
}

// describe writes the choices of a group, what is said about them, and which units have it.
func (a *asp) describe(g *group, list []constraint) {
	i := g.index
	for c, row := range g.choices {
		a.say("choice%d(%d).", i, c)
		for at, v := range row {
			a.say("gives%d(%d,%d,%q).", i, at, c, v)
			if n, ok := number(v); ok {
				a.say("number%d(%d,%d,%d).", i, at, c, thousandths(n))
			}
		}
	}
	for at, s := range g.settings {
		a.say("place%d(%d,%q).", i, at, s)
	}
	if g.factory >= 0 {
		a.say("factory%d(%d).", i, g.factory)
	}
	switch {
	case g.remote != "":
		a.say("unit%d(I,%q) :- pass2(I), r(I,p(\"remote\",%q,\"profile\"),%q).", i, g.remote, g.remote, g.profile)
	case g.profile != "":
		a.say("unit%d(I,D) :- dev(I,D,%q).", i, g.profile)
	default:
		a.say("unit%d(I,D) :- virtual(I,%q), controller(I,D,_).", i, g.settings[0])
	}
	for k, c := range list {
		a.constraint(g, k, c)
	}
}

// constraint writes what one constraint bars or prefers, and when it holds.
func (a *asp) constraint(g *group, k int, c constraint) {
	i := g.index
	sets, quantity := [][]int(nil), ""
	if !c.void {
		sets, quantity = c.sets(g)
	}
	unit := fmt.Sprintf("unit%d(I,D)", i)
	if quantity != "" {
		unit += fmt.Sprintf(", quantity(I,%q,N)", quantity)
		op := map[string]string{"at-most": ">", "at-least": "<"}[c.says.verb]
		a.say("beyond%d(I,D,%d,C) :- %s, number%d(%d,C,V), V %s N. #defined beyond%d/4. #defined number%d/3.", i, k, unit, i, c.at, op, i, i)
		a.say("in%d(I,D,%d,1,C) :- %s, choice%d(C), not beyond%d(I,D,%d,C).", i, k, unit, i, i, k)
	}
	if c.node < 0 {
		a.say("on%d(I,D,%d) :- %s, policied(I).", i, k, unit)
	} else {
		a.say("on%d(I,D,%d) :- %s, true_%d(I).", i, k, unit, c.node)
		a.say("may%d(I,D,%d) :- %s, unknown_%d(I). rests%d(I,D,%d) :- %s, assumed_%d(I). by%d(%d,%d).", i, k, unit, c.node, i, k, unit, c.node, i, k, c.node)
	}
	if c.void {
		a.say("voids%d(%d,%d,%d).", i, k, c.at, c.level)
		return
	}
	word := map[bool]string{true: "prefer", false: "mask"}[c.prefer]
	a.say("at%d(%d,%d). %s%d(%d,%d).", i, k, c.at, word, i, k, c.level)
	for j, set := range sets {
		for _, x := range set {
			a.say("set%d(%d,%d,%d).", i, k, j+1, x)
		}
	}
}
