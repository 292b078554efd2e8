package rules

import (
	"asleft/config/profile"
	"asleft/config/source"
	"asleft/rules/keying"
)

// CheckKeying says what in a profile's keying would leave a technician stuck, each with its place.
func CheckKeying(p *profile.Profile) source.Problems {
	var out source.Problems
	for _, f := range keying.Check(p) {
		out = append(out, p.Doc.Problem(source.Problem{Message: f.Message}, f.Path...))
	}
	return out
}
