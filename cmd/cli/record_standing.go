package cli

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/record"
	"asleft/config/source"
)

// standing is where a vehicle's commissioning tests stand.
type standing struct {
	tests  []record.Test
	titles map[string]string // of the tests, for people
	result map[string]string // by test, the newest since the job was opened
	off    []string          // what the newest as-left entry says is off, when it is of this job

	at     map[string]int // where a result stands in the history
	leftAt int
}

// standingOf reads it; closing keeps only the tests without whose result a job is not closed.
func standingOf(h *record.History, closing bool) (standing, error) {
	s := standing{result: map[string]string{}, at: map[string]int{}, titles: map[string]string{}}
	kept, err := keptTests(h)
	if err != nil {
		return s, err
	}
	for _, k := range kept {
		if k.Closing || !closing {
			s.tests = append(s.tests, k.test())
			s.titles[k.ID] = k.Title
		}
	}
	for i := range h.Items {
		item := &h.Items[i]
		switch item.Kind {
		case record.Opened:
			s.result, s.off = map[string]string{}, nil
		case record.Tested:
			s.at[item.Data["test"]], s.result[item.Data["test"]] = h.Result(i)
		case record.Left:
			s.off, s.leftAt = item.Off(), i
		}
	}
	return s, nil
}

// open are the tests that keep the job from being closed. What a safety test protects must have been
// left off after its result, not before.
func (s standing) open() []record.Test {
	return slices.DeleteFunc(slices.Clone(s.tests), func(t record.Test) bool {
		result := s.result[t.ID]
		off := slices.Contains(s.off, t.SetsOff) && s.leftAt >= s.at[t.ID]
		return result == record.Passed || !t.Safety && result == record.Skipped || t.Safety && off
	})
}

// withoutTest stands in the closing for what was left off without a test of its own: a refused start
// has no tests, and the job is still closed as one with its start off.
func (s standing) withoutTest() []record.Test {
	var out []record.Test
	for _, what := range s.off {
		tested := func(t record.Test) bool { return t.SetsOff == what && s.result[t.ID] != record.Passed }
		if !slices.ContainsFunc(s.tests, tested) {
			out = append(out, record.Test{ID: what + "-is-off", Safety: true, SetsOff: what})
		}
	}
	return out
}

// failed are the functions of which a safety test failed, set off already or not.
func (s standing) failed() []string {
	return s.protected(func(result string) bool { return result == record.Failed })
}

// unproven are the functions of which a safety test has not passed.
func (s standing) unproven() []string {
	return s.protected(func(result string) bool { return result != record.Passed })
}

// protected is what safety tests with such a result protect.
func (s standing) protected(such func(result string) bool) []string {
	var out []string
	for _, t := range s.tests {
		if t.Safety && such(s.result[t.ID]) && !slices.Contains(out, t.SetsOff) {
			out = append(out, t.SetsOff)
		}
	}
	return out
}

// stayOpen says what keeps a job open, by what each test protects.
func (s standing) stayOpen() error {
	var heads []string
	under := map[string][]string{}
	open := s.open()
	for _, t := range open {
		head := protects(t)
		if under[head] == nil {
			heads = append(heads, head)
		}
		text := t.ID
		if s.result[t.ID] == record.Failed {
			text += " (failed)"
		}
		under[head] = append(under[head], text)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "it stays open: %d tests are failed or not done", len(open))
	for _, head := range heads {
		fmt.Fprintf(&b, "\n  %s: %s", head, source.Visible(joined(under[head])))
	}
	return fail(BadInput, "there is no waiver for a safety test; what is set off instead is recorded: 'asleft record left JOB --without ...'", "%s", b.String())
}

// protects says for people what the failure of a test sets off.
func protects(t record.Test) string {
	switch {
	case !t.Safety:
		return "pass, or skip with a reason"
	case t.SetsOff == record.JobOpen || t.SetsOff == "":
		return "pass; nothing can be set off instead"
	case t.SetsOff == lockFeature:
		return "pass, or record left --without lock"
	case t.SetsOff == "remote-start":
		return "pass, or record left --without start"
	default:
		return "pass, or record left --without " + strings.TrimPrefix(t.SetsOff, "function:")
	}
}

func joined(words []string) string { return strings.Join(words, ", ") }
