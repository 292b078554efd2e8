package record

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
)

// Test is one commissioning test that applies to an install. The catalogue is
// the caller's: the record only knows what must hold before a job is closed.
type Test struct {
	ID      string
	Safety  bool              // has no waiver
	SetsOff string            // what its failure sets off: "remote-start", "lock", "output:ramp", or JobOpen
	Off     []setting.Reading // readings of which one, as left, shows that it is off
}

// JobOpen as SetsOff means that nothing can be set off instead: the job stays open.
const JobOpen = "job"

// closing works out whether a job, or a comeback, may be closed and as what.
type closing struct {
	h       *History
	since   int // index of the opening or the comeback: results before it do not count
	off     []string
	missing []string
}

// checkClosed fills in what the job is closed as, or says what is missing.
func checkClosed(d *Draft, past *past) error {
	h, err := past.history()
	if err != nil {
		return err
	}
	c := &closing{h: h, since: h.lastIndex(Opened)}
	if !d.Points.IsZero() {
		if c.since = h.index(d.Points); c.since < 0 || h.Items[c.since].Kind != Comeback {
			return &RuleError{"points-to-entry", "it points to no comeback of this vehicle", "'asleft record log VEHICLE' shows the entries with their numbers"}
		}
		if len(d.Catalogue) == 0 {
			c.missing = append(c.missing, "a comeback closes with its re-tests: none are named")
		}
	} else if h.Last("left") == nil && strings.TrimSpace(d.Reason) == "" {
		c.missing = append(c.missing, "nothing was recorded as left: closing without it needs a reason")
	} else if d.Points.IsZero() {
		for _, item := range h.OpenComebacks() {
			c.missing = append(c.missing, fmt.Sprintf("the comeback %q is open", item.Data["complaint"]))
		}
	}
	for _, t := range d.Catalogue {
		c.test(t)
	}
	c.leftOff()
	if len(c.missing) > 0 {
		return &RuleError{"close-needs-tests", "it stays open: " + strings.Join(c.missing, "; "),
			"do what is named, or set off what the test protects and record that as left; there is no waiver for a safety test"}
	}
	if err := c.name(d); err != nil {
		return err
	}
	return c.again(d)
}

// leftOff adds what is off as left since the job or the comeback began, whatever
// the tests protect: nobody is to read that all is done while remote start is off.
func (c *closing) leftOff() {
	item := c.h.Last("left")
	if item == nil || c.h.index(item.Identity) < c.since {
		return
	}
	for _, what := range item.Off() {
		if !slices.Contains(c.off, what) {
			c.off = append(c.off, what)
		}
	}
}

// again refuses to close what is closed already as the same.
func (c *closing) again(d *Draft) error {
	for i := len(c.h.Items) - 1; i > c.since; i-- {
		item := &c.h.Items[i]
		if item.Kind != Closed || item.Points != d.Points {
			continue
		}
		if item.Data["as"] != d.Data["as"] {
			return nil
		}
		return &RuleError{"closed-already", fmt.Sprintf("it is closed already (%s): entry %d of %s, by %s", item.Data["as"], item.N, item.Local().Format("2006-01-02"), item.By),
			"what is new is a note, or a comeback: 'asleft record note', 'asleft record comeback'"}
	}
	return nil
}

// test looks for a test's newest result.
func (c *closing) test(t Test) {
	at, result := c.result(t.ID)
	switch {
	case result == Passed:
	case !t.Safety && result == Skipped:
	case !t.Safety:
		c.missing = append(c.missing, fmt.Sprintf("%s: %s; pass it, or skip it with a reason", t.ID, describeResult(result)))
	case t.SetsOff == JobOpen || t.SetsOff == "":
		c.missing = append(c.missing, fmt.Sprintf("%s: %s", t.ID, describeResult(result)))
	case c.isOff(t, at):
		if !slices.Contains(c.off, t.SetsOff) {
			c.off = append(c.off, t.SetsOff)
		}
	default:
		c.missing = append(c.missing, fmt.Sprintf("%s: %s, and %s is not recorded as left off since", t.ID, describeResult(result), words(t.SetsOff)))
	}
}

func describeResult(result string) string {
	if result == "" {
		return "not done"
	}
	return result
}

// result is the newest result of a test since the job was opened.
func (c *closing) result(id string) (at int, result string) {
	for i := len(c.h.Items) - 1; i >= max(c.since, 0); i-- {
		if item := &c.h.Items[i]; item.Kind == Tested && item.Data["test"] == id {
			return c.h.Result(i)
		}
	}
	return c.since, ""
}

// Result is the result of the test in the entry at place i of the history, as a
// later correction of that entry has it, and the place of who said so last.
func (h *History) Result(i int) (at int, result string) {
	at, result = i, h.Items[i].Data["result"]
	for j := i + 1; j < len(h.Items); j++ {
		if item := &h.Items[j]; item.Kind == Corrected && item.Points == h.Items[i].Identity && item.Data["result"] != "" {
			at, result = j, item.Data["result"]
		}
	}
	return at, result
}

// isOff reports whether the newest as-left entry, not older than the result,
// shows that what the test protects is off.
func (c *closing) isOff(t Test, at int) bool {
	item := c.h.Last("left")
	if item == nil || c.h.index(item.Identity) < at {
		return false
	}
	if slices.Contains(item.Off(), t.SetsOff) {
		return true
	}
	snap, err := c.h.snapshot(item.Blobs["left"])
	if err != nil {
		return false
	}
	for _, want := range t.Off {
		if r, ok := snap.Get(want.Key); ok && r.Status == setting.StatusKnown && r.Value == want.Value {
			return true
		}
	}
	return false
}

// name says what it is closed as; a draft may not say otherwise.
func (c *closing) name(d *Draft) error {
	as := "done"
	switch {
	case len(c.off) > 0:
		slices.Sort(c.off)
		as = "closed, " + words(strings.Join(c.off, ", ")) + " off"
	case d.Points.IsZero() && c.h.Last("left") == nil:
		as = "closed, nothing set"
	}
	if said := d.Data["as"]; said != "" && said != as {
		return &RuleError{"closed-as", fmt.Sprintf("it can only be closed as %q, not as %q", as, said), "leave the wording to the record"}
	}
	data := map[string]string{"as": as}
	for k, v := range d.Data {
		data[k] = v
	}
	data["as"] = as
	d.Data = data
	return nil
}

// words writes an id for people.
func words(id string) string {
	return strings.NewReplacer("-", " ", ":", " ").Replace(id)
}

func (h *History) index(identity ID) int {
	return slices.IndexFunc(h.Items, func(i Item) bool { return i.Identity == identity })
}

func (h *History) lastIndex(kind Kind) int {
	for i := len(h.Items) - 1; i >= 0; i-- {
		if h.Items[i].Kind == kind {
			return i
		}
	}
	return -1
}
