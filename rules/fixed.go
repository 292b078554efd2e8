package rules

import (
	"slices"

	"asleft/rules/base"
	"asleft/rules/derive"
)

// Fixed says what keeps a derived setting from being overridden by a person: the level that fixed
// it, when that is a policy limit or higher, or "safety" when a safety rule of the rule base reads
// it. It is "" for settings that a person may override with a reason.
func (o *Outcome) Fixed(s derive.Setting) string {
	if s.Kind == derive.Forced && s.Level.Hard() {
		return s.Level.String()
	}
	for _, r := range o.input.Base.Rules {
		if r.Level == base.Safety && slices.Contains(r.Reads(), s.Key.Setting) {
			return base.Safety.String()
		}
	}
	return ""
}
