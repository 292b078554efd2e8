package base

import (
	"slices"
	"testing"

	"asleft/config/setting"
)

// planned are the families that no rule decides: the button plan brings their values as demands, and what it
// leaves alone stays as the factory set it.
var planned = []string{
	"remote.R.gesture.G", "aux.N.behaviour", "aux.N.seconds", "aux.N.count", "aux.N.when", "aux.N.disarm-first", "aux.N.unlock-first", "aux.N.ends-with",
}

func TestEverySettingHasARule(t *testing.T) {
	decided := map[string]bool{}
	for _, r := range Shipped().Rules {
		for _, s := range r.Touches() {
			decided[s] = true
		}
	}
	for _, f := range setting.Families() {
		if decided[f.Pattern] == slices.Contains(planned, f.Pattern) {
			t.Errorf("%s: a rule decides it: %v; left to the button plan: %v", f.Pattern, decided[f.Pattern], !decided[f.Pattern])
		}
	}
}

// What a safety rule decides or reads guards or permits something, so it has a place in the order of keying.
func TestSafetyRulesNameRankedSettings(t *testing.T) {
	b := Shipped()
	ranked := map[string]bool{}
	permissions := false
	for _, o := range b.Order {
		if ranked[o.Setting] {
			t.Errorf("%s stands twice in the order", o.Setting)
		}
		ranked[o.Setting] = true
		if o.Part == "guard" && permissions {
			t.Errorf("the guard %s stands after a permission", o.ID)
		}
		permissions = permissions || o.Part == "permission"
	}
	for _, r := range b.Rules {
		if r.Level != Safety || r.Caution != "" {
			continue
		}
		for _, s := range append(r.Touches(), r.Reads()...) {
			if !ranked[s] {
				t.Errorf("%s, of the safety rule %s, stands nowhere in the order", s, r.ID)
			}
		}
	}
}

// Bounds of the trade against published ones.
func TestBoundsAsPublished(t *testing.T) {
	for _, w := range []struct {
		rule, setting string
		verb          Verb
		want          float64
		source        string
	}{
		{"alarm-half-a-minute", "alarm.seconds", AtLeast, 25, "Swiss VTS (SR 741.41) art. 86(3)"},
		{"alarm-half-a-minute", "alarm.seconds", AtMost, 30, "Swiss VTS art. 86(3)"},
		{"silence-between-alarms", "alarm.rest", AtLeast, 10, "Swiss VTS art. 86(2)"},
		{"time-to-leave", "arm.exit-delay", AtLeast, 15, "Swiss VTS art. 85(2)"},
		{"time-to-leave", "arm.exit-delay", AtMost, 45, "Swiss VTS art. 85(2)"},
		{"time-to-disarm", "arm.entry-delay", AtLeast, 5, "Swiss VTS art. 85(2)"},
		{"time-to-disarm", "arm.entry-delay", AtMost, 15, "Swiss VTS art. 85(2)"},
		{"crank-of-spark-engine", "crank.limit", AtMost, 6, "common practice, no source"},
		{"crank-of-diesel", "crank.limit", AtMost, 10, "common practice, no source"},
	} {
		r, ok := Shipped().Rule(w.rule)
		if !ok {
			t.Errorf("there is no rule %s", w.rule)
			continue
		}
		i := slices.IndexFunc(r.Effects, func(e Effect) bool { return e.Setting == w.setting && e.Verb == w.verb })
		if i < 0 || r.Effects[i].Number != w.want {
			t.Errorf("%s: %s %s is not %v (%s)", w.rule, w.setting, w.verb, w.want, w.source)
		}
	}
}

// 49 CFR 571.102 S3.1.3 and NHTSA interpretation 1984-1.48: no crank in a driving gear; park, hood and brake are
// conditions of a remote start. Each has a test without a waiver that takes remote start away.
func TestConditionsOfRemoteStartAreTested(t *testing.T) {
	for _, id := range []string{"gear-refuses", "hood-refuses", "hood-stops", "brake-refuses", "brake-stops", "shift-stops", "park-input", "hood-input", "brake-input", "takeover-without-key"} {
		test, ok := Shipped().Test(id)
		if !ok || !test.Critical || test.SetsOff != "remote-start" {
			t.Errorf("%s: there: %v, critical: %v", id, ok, ok && test.Critical)
		}
	}
}
