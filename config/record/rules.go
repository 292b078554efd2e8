package record

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
)

// The rules of work hold whoever writes. They look only at the history: what
// a setting means is not known here, what was written before is.

// RuleError says which rule of work a draft breaks.
type RuleError struct {
	Rule string // word id: left-after-found, correction-points, ...
	Text string
	Do   string
}

func (e *RuleError) Error() string { return e.Text }

// Hint says what to do.
func (e *RuleError) Hint() string { return e.Do }

// Results of a test.
const (
	Passed  = "passed"
	Failed  = "failed"
	Skipped = "skipped"
)

func checkRules(d *Draft, past *past) error {
	if err := checkOverrides(d); err != nil {
		return err
	}
	switch d.Kind {
	case Opened, Note:
		return nil
	case Left:
		return checkLeft(past)
	case Closed:
		return checkClosed(d, past)
	case Corrected, Cause, Observed:
		if d.Points.IsZero() {
			return nil
		}
		return checkPoints(d, past)
	case Tested:
		return checkTest(d)
	}
	return nil
}

// checkOverrides: what a policy limit or a higher level fixed, or a safety
// rule reads, is nobody's to override.
func checkOverrides(d *Draft) error {
	for _, c := range d.Changes {
		level, fixed := d.Fixed[setting.Key{Device: c.Device, Setting: c.Setting}]
		if c.Override && fixed {
			return &RuleError{"override-of-fixed",
				fmt.Sprintf("%s %s cannot be overridden: it is fixed by %s", c.Device, c.Setting, words(level)),
				"change what it follows from; 'asleft why JOB " + c.Setting + "' says what that is"}
		}
	}
	return nil
}

// checkLeft: nobody can say what was changed when nobody looked before.
func checkLeft(past *past) error {
	h, err := past.history()
	if err != nil || h.Last("found") != nil {
		return err
	}
	return &RuleError{"left-after-found",
		"as left cannot be recorded before as found: nothing says what was changed",
		"record the settings as found first: 'asleft record found JOB FOUND'"}
}

func checkPoints(d *Draft, past *past) error {
	h, err := past.history()
	if err != nil {
		return err
	}
	if old := h.Find(d.Points); old != nil {
		if result := d.Data["result"]; old.Kind == Tested && result != "" && !slices.Contains([]string{Passed, Failed, Skipped}, result) {
			return &RuleError{"test-result", fmt.Sprintf("result %q of a test", result), "expected passed, failed or skipped"}
		}
		return nil
	}
	return &RuleError{"points-to-entry",
		fmt.Sprintf("no entry %s in this vehicle's history", d.Points),
		"'asleft record log VEHICLE' shows the entries with their numbers"}
}

// checkTest: a safety test is passed or failed, it is never skipped; another
// one is skipped by a named person with a reason.
func checkTest(d *Draft) error {
	known := func(t Test) bool { return t.ID == d.Data["test"] }
	if len(d.Catalogue) > 0 && !slices.ContainsFunc(d.Catalogue, known) {
		return &RuleError{"test-known", fmt.Sprintf("%q is not one of the tests that apply here", d.Data["test"]), "expected one of " + testIDs(d.Catalogue)}
	}
	switch d.Data["result"] {
	case Passed, Failed:
		return nil
	case Skipped:
		safety := slices.ContainsFunc(d.Catalogue, func(t Test) bool { return t.Safety && t.ID == d.Data["test"] })
		if safety || d.Data["safety"] == "yes" {
			return &RuleError{"safety-test-no-waiver",
				fmt.Sprintf("%s is a safety test: nobody can waive it", d.Data["test"]),
				"do the test, or set off what it protects and record that as left"}
		}
		if strings.TrimSpace(d.Reason) == "" {
			return &RuleError{"skip-needs-reason", fmt.Sprintf("skipping %s needs a reason", d.Data["test"]), "say why with --reason"}
		}
		return nil
	}
	return &RuleError{"test-result", fmt.Sprintf("result %q of a test", d.Data["result"]), "expected passed, failed or skipped"}
}

func testIDs(catalogue []Test) string {
	var ids []string
	for _, t := range catalogue {
		ids = append(ids, t.ID)
	}
	return strings.Join(ids, ", ")
}
