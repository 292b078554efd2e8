package derive

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/job"
	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules/base"
)

// tried puts the wishes among the what-ifs into a copy of the job; what is left are facts and quantities. The value
// "unsaid" leaves a wish out.
func tried(in Input) (Input, map[string]string, source.Problems) {
	facts := map[string]string{}
	var problems source.Problems
	copied := false
	for _, name := range sortedNames(in.With) {
		value := in.With[name]
		wished, ok := strings.CutPrefix(name, "wish.")
		if !ok {
			facts[name] = value
			continue
		}
		family, _, ok := familyOf(wished)
		if !ok {
			problems = append(problems, source.Problem{Message: fmt.Sprintf("there is no setting %q", wished), Nearest: setting.Nearest(wished)})
			continue
		}
		if !copied {
			j := *in.Job
			j.Wishes = slices.Clone(j.Wishes)
			in.Job, copied = &j, true
		}
		in.Job.Wishes = slices.DeleteFunc(in.Job.Wishes, func(w job.Wish) bool { return w.Setting == wished })
		if value == base.Unsaid {
			continue
		}
		v, err := family.Parse(value)
		if err != nil {
			problems = append(problems, source.Problem{Message: fmt.Sprintf("%s has no value %q", wished, value), Expected: family.Expected(), Found: value})
			continue
		}
		in.Job.Wishes = append(in.Job.Wishes, job.Wish{Name: "what-if", Setting: wished, Value: string(v), Reason: "Tried, not wished."})
	}
	return in, facts, problems
}

// Shift is a setting that comes out differently in two results. A setting that one of them does not have stands with an
// empty Key there.
type Shift struct {
	Before, After Setting
}

// Shifts compares two results of the same install, as a what-if does: the settings whose value or kind differs, in
// listing order.
func Shifts(before, after *Result) []Shift {
	var out []Shift
	for _, b := range before.Settings {
		a, ok := after.Get(b.Key)
		if !ok {
			out = append(out, Shift{Before: b})
		} else if a.Value != b.Value || a.Kind != b.Kind {
			out = append(out, Shift{Before: b, After: a})
		}
	}
	for _, a := range after.Settings {
		if _, ok := before.Get(a.Key); !ok {
			out = append(out, Shift{After: a})
		}
	}
	slices.SortStableFunc(out, func(x, y Shift) int { return compareSettings(x.name(), y.name()) })
	return out
}

func (s Shift) name() string {
	if s.Before.Key.Setting != "" {
		return s.Before.Key.Setting
	}
	return s.After.Key.Setting
}
