package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"asleft/config/record"
	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules"
)

// keptTest is a commissioning test as the record keeps it, so that results can be judged when the
// job file is gone.
type keptTest struct {
	ID      string        `json:"id"`
	Title   string        `json:"title,omitempty"`
	Safety  bool          `json:"safety,omitempty"`
	Closing bool          `json:"closing,omitempty"` // the job is not closed without its result
	SetsOff string        `json:"sets-off,omitempty"`
	Off     []keptReading `json:"off,omitempty"`
}

type keptReading struct {
	Device  string `json:"device"`
	Setting string `json:"setting"`
	Value   string `json:"value"`
}

// testsDocument is the catalogue of the tests that apply to a job.
func testsDocument(o *rules.Outcome) record.Document {
	kept := []keptTest{}
	for _, t := range o.Derived.Tests {
		k := keptTest{ID: t.ID(), Title: t.Test.Title, Safety: t.Test.Critical, Closing: t.Test.Critical || t.Required}
		if t.Test.Critical {
			k.SetsOff, k.Off = setsOff(o, t.Test.SetsOff, t.Instance)
		}
		kept = append(kept, k)
	}
	data, err := json.Marshal(kept)
	if err != nil {
		panic(fmt.Sprintf("tests are text: %v", err))
	}
	return record.Document{Role: "tests", Bytes: data}
}

// setsOff is what the failure of a test takes away, and how it shows that it is off.
func setsOff(o *rules.Outcome, scope, instance string) (string, []keptReading) {
	switch scope {
	case "job":
		return record.JobOpen, nil
	case "function":
		return "function:" + instance, nil
	case "remote-start":
		var off []keptReading
		for _, s := range o.Derived.Settings {
			if s.Key.Setting == "start.path" {
				off = append(off, keptReading{s.Key.Device, s.Key.Setting, "none"})
			}
		}
		return scope, off
	default:
		return scope, nil
	}
}

// test is what the record itself must know of it.
func (k keptTest) test() record.Test {
	t := record.Test{ID: k.ID, Safety: k.Safety, SetsOff: k.SetsOff}
	for _, r := range k.Off {
		t.Off = append(t.Off, setting.Reading{Key: setting.Key{Device: r.Device, Setting: r.Setting}, Value: setting.Value(r.Value), Status: setting.StatusKnown})
	}
	return t
}

// keptTests are the tests that apply to a vehicle, as its newest derived or as-left entry kept them.
func keptTests(h *record.History) ([]keptTest, error) {
	data, item, err := h.Document("tests")
	if err != nil || item == nil {
		return nil, err
	}
	var kept []keptTest
	if err := json.Unmarshal(data, &kept); err != nil {
		return nil, fmt.Errorf("the tests in the record cannot be read: %w", err)
	}
	return kept, nil
}

func recordTested(a *app) *cobra.Command {
	return a.vehicleEntry(verb{
		use: "tested VEHICLE TEST RESULT [READING...]", short: "a commissioning test: passed, failed or skipped, with its reading",
		long:    "Keeps the result of one test, with the number or word that was read. A safety test is\npassed or failed; nobody can waive it. Another one is skipped by a named person with a\nreason. 'asleft sheet JOB' lists the tests that apply.",
		example: "  asleft record tested 'bus 1' brake-stops passed 0.4 s --by T.V.\n  asleft record tested 'bus 1' range:big skipped --reason 'rain' --by T.V.", args: cobra.MinimumNArgs(3),
	}, nil, func(ctx context.Context, b *record.Book, id record.ID, args []string) (record.Draft, error) {
		h, err := b.History(ctx, id)
		if err != nil {
			return record.Draft{}, err
		}
		st, err := standingOf(h, false)
		if err != nil {
			return record.Draft{}, err
		}
		if err := knownTest(args[0], st.tests); err != nil {
			return record.Draft{}, err
		}
		data := map[string]string{"test": args[0], "result": args[1], "reading": strings.Join(args[2:], " ")}
		return record.Draft{Kind: record.Tested, Data: withoutEmpty(data), Catalogue: st.tests}, nil
	})
}

// knownTest offers the nearest test for one that does not apply.
func knownTest(id string, tests []record.Test) error {
	var ids []string
	for _, t := range tests {
		ids = append(ids, t.ID)
	}
	if len(ids) == 0 {
		return fail(BadInput, "derive the job first: 'asleft record derive JOB'", "the record knows no tests of this vehicle yet")
	}
	if slices.Contains(ids, id) {
		return nil
	}
	hint := "'asleft sheet JOB' lists the tests"
	if near := source.Nearest(id, ids); near != "" {
		hint = "did you mean '" + near + "'?"
	}
	return fail(BadInput, hint, "no test %q applies to this vehicle", source.Visible(id))
}

func recordClose(a *app) *cobra.Command {
	var comeback string
	var retests []string
	return a.vehicleEntry(verb{
		use: "close VEHICLE", short: "close the job, or a comeback by its re-tests",
		long:    "Closes the job. Every safety test must have passed, or what it protects must be recorded as\nleft off; then the job is closed as that. A comeback (--comeback ENTRY) closes with its\nre-tests (--retest TEST), not with 'fixed'.",
		example: "  asleft record close 'bus 1' --by T.V.\n  asleft record close 'bus 1' --comeback 3f9a --retest brake-stops --by T.V.", args: cobra.ExactArgs(1),
	}, func(c *cobra.Command) {
		c.Flags().StringVar(&comeback, "comeback", "", "the comeback's entry (its first digits)")
		c.Flags().StringArrayVar(&retests, "retest", nil, "a test that closes the comeback (repeatable)")
	}, func(ctx context.Context, b *record.Book, id record.ID, _ []string) (record.Draft, error) {
		h, err := b.History(ctx, id)
		if err != nil {
			return record.Draft{}, err
		}
		st, err := standingOf(h, comeback == "")
		if err != nil {
			return record.Draft{}, err
		}
		tests := st.tests
		d := record.Draft{Kind: record.Closed, Catalogue: append(slices.Clone(tests), st.withoutTest()...)}
		if comeback == "" {
			if len(st.open()) > 0 {
				return d, st.stayOpen()
			}
			return d, nil
		}
		if d.Points, err = entryOf(h, comeback); err != nil {
			return d, err
		}
		for _, id := range retests {
			if err := knownTest(id, tests); err != nil {
				return d, err
			}
		}
		d.Catalogue = slices.DeleteFunc(tests, func(t record.Test) bool { return !slices.Contains(retests, t.ID) })
		return d, nil
	})
}

// entryOf finds an entry of a history by the first digits of its number.
func entryOf(h *record.History, digits string) (record.ID, error) {
	var found []record.ID
	for i := range h.Items {
		if id := h.Items[i].Identity; len(digits) >= 4 && strings.HasPrefix(id.String(), strings.ToLower(digits)) {
			found = append(found, id)
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return record.ID{}, fail(NotFound, "'asleft record log VEHICLE' shows the entries; four digits at least", "no entry of this vehicle begins with %q", source.Visible(digits))
	default:
		return record.ID{}, fail(NotFound, "give more digits", "%d entries begin with %q", len(found), digits)
	}
}

// pointing is a verb whose entry speaks of an older one.
func (a *app) pointing(v verb, kind record.Kind, flags func(*cobra.Command), fill func(d *record.Draft, words []string) error) *cobra.Command {
	return a.vehicleEntry(v, flags, func(ctx context.Context, b *record.Book, id record.ID, args []string) (record.Draft, error) {
		d := record.Draft{Kind: kind}
		h, err := b.History(ctx, id)
		if err != nil {
			return d, err
		}
		if d.Points, err = entryOf(h, args[0]); err != nil {
			return d, err
		}
		return d, fill(&d, args[1:])
	})
}

func recordObserved(a *app) *cobra.Command {
	return a.pointing(verb{
		use: "observed VEHICLE COMEBACK NAME=VALUE...", short: "what works and what does not, on a comeback",
		long:    "Keeps observations on a comeback: locks-by-remote=yes starts-by-key=no.",
		example: "  asleft record observed 'bus 1' 3f9a locks-by-remote=yes starts-by-remote=no --by J.K.", args: cobra.MinimumNArgs(3),
	}, record.Observed, nil, func(d *record.Draft, words []string) (err error) {
		d.Data, err = pairs(words)
		return err
	})
}

func recordCause(a *app) *cobra.Command {
	return a.pointing(verb{
		use: "cause VEHICLE COMEBACK WORDS...", short: "the cause that was found", long: "Keeps the cause of a comeback.",
		example: "  asleft record cause 'bus 1' 3f9a hood pin corroded --by J.K.", args: cobra.MinimumNArgs(3),
	}, record.Cause, nil, func(d *record.Draft, words []string) error {
		d.Data = map[string]string{"cause": strings.Join(words, " ")}
		return nil
	})
}

func recordCorrect(a *app) *cobra.Command {
	var settings string
	return a.pointing(verb{
		use: "correct VEHICLE ENTRY [NAME=VALUE...]", short: "put an older entry right; both stay readable",
		long:    "Writes a correction that points to the entry it corrects. Nothing is overwritten.\n--settings FILE puts an as-left statement right. A reason is needed.",
		example: "  asleft record correct 'bus 1' 3f9a reading=0.6 --reason 'read the wrong line' --by T.V.", args: cobra.MinimumNArgs(2),
	}, record.Corrected, func(c *cobra.Command) {
		c.Flags().StringVar(&settings, "settings", "", "file of settings that puts an as-left statement right")
	}, func(d *record.Draft, words []string) (err error) {
		if d.Data, err = pairs(words); err != nil || settings == "" {
			return err
		}
		in := &install{}
		if err := in.readFound(settings); err != nil {
			return err
		}
		d.Snapshot = &in.found.Snapshot
		return nil
	})
}
