package rules

import (
	"cmp"
	"slices"

	"asleft/config/setting"
	"asleft/rules/base"
	"asleft/rules/keying"
)

// safetyOrder says what a change of a setting does to safety, from the rule base's hand-written list
// of guards and permissions. It serves one device of one job: where only the value that the job
// requires is safe, that value is known here.
type safetyOrder struct {
	ranks    []*base.Rank
	required map[string]setting.Value // by setting name
}

// Bearing implements keying.Order. A value that is not known may be any: a change to the safest
// class tightens, every other change from it counts as loosening.
func (o safetyOrder) Bearing(name string, from, to setting.Value) keying.Bearing {
	rank := o.rank(name)
	if rank == nil {
		return keying.Neutral
	}
	if from == "" {
		if o.safest(rank, name, to) {
			return keying.Tightens
		}
		return keying.Loosens
	}
	switch c := o.compare(rank, name, from, to); {
	case c > 0:
		return keying.Tightens
	case c < 0:
		return keying.Loosens
	default:
		return keying.Neutral
	}
}

func (o safetyOrder) rank(name string) *base.Rank {
	family, known := setting.Find(name)
	for _, r := range o.ranks {
		if r.Setting == name || known && r.Setting == family.Pattern {
			return r
		}
	}
	return nil
}

// compare is negative when a is safer than b, positive when b is safer.
func (o safetyOrder) compare(r *base.Rank, name string, a, b setting.Value) int {
	return cmp.Compare(o.danger(r, name, a), o.danger(r, name, b))
}

// danger grows with how unsafe a value is; 0 is the safest.
func (o safetyOrder) danger(r *base.Rank, name string, v setting.Value) float64 {
	n, number := v.Number()
	switch r.Safer {
	case "required":
		if v == o.required[name] {
			return 0
		}
		return 1
	case "smaller", "larger":
		if !number {
			return 0 // words such as off are safer than any number
		}
		const above = 1e6 // no number of the vocabulary comes near it
		if r.Safer == "smaller" {
			return above + n
		}
		return above - n
	default:
		class := slices.IndexFunc(r.SafestFirst, func(class []string) bool { return slices.Contains(class, string(v)) })
		if class < 0 {
			class = len(r.SafestFirst)
		}
		return float64(class)
	}
}

// safest reports whether no value is safer.
func (o safetyOrder) safest(r *base.Rank, name string, v setting.Value) bool {
	return o.danger(r, name, v) == 0
}
