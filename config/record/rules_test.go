package record

import (
	"context"
	"errors"
	"testing"

	"asleft/config/setting"
)

func (w *bench) refused(rule string, d Draft) {
	w.t.Helper()
	d.By = "T.V."
	_, err := w.b.Record(context.Background(), d)
	var broken *RuleError
	if !errors.As(err, &broken) || broken.Rule != rule {
		w.t.Errorf("%s: %v; want rule %s", d.Kind, err, rule)
	}
	if r := w.verify(); r.Outcome != Witnessed {
		w.t.Errorf("after a refusal: %+v", r)
	}
}

func TestRulesOfWork(t *testing.T) {
	w := newBench(t)
	v := w.record(Draft{Kind: Opened}).Subject
	left := readings("start.path", "feeds")
	w.refused("left-after-found", Draft{Kind: Left, Vehicle: v, Snapshot: left})
	w.record(Draft{Kind: Found, Vehicle: v, Snapshot: left})
	w.record(Draft{Kind: Left, Vehicle: v, Snapshot: left})
	w.refused("points-to-entry", Draft{Kind: Corrected, Vehicle: v, Reason: "slip", Points: ID{1}})
	key := setting.Key{Device: "controller", Setting: "run.minutes"}
	change := Change{Device: key.Device, Setting: key.Setting, To: "20", Override: true}
	if _, err := w.b.Record(context.Background(), Draft{Kind: Derived, Vehicle: v, By: "T.V.", Snapshot: left, Changes: []Change{change}}); err == nil {
		t.Error("an override without a reason was taken")
	}
	w.refused("override-of-fixed", Draft{Kind: Derived, Vehicle: v, Reason: "wish", Snapshot: left, Changes: []Change{change}, Fixed: map[setting.Key]string{key: "policy-limit"}})
	w.record(Draft{Kind: Derived, Vehicle: v, Reason: "wish", Snapshot: left, Changes: []Change{change}})
}

// A safety test has no waiver: it is passed, or what it protects is off.
func TestClosing(t *testing.T) {
	w := newBench(t)
	v := w.record(Draft{Kind: Opened}).Subject
	on, off := readings("start.path", "feeds"), readings("start.path", "none")
	catalogue := []Test{
		{ID: "stop-on-brake", Safety: true, SetsOff: "remote-start", Off: off.Readings},
		{ID: "every-key", Safety: true, SetsOff: JobOpen},
		{ID: "range"},
	}
	test := func(id, result, reason string) Draft {
		return Draft{Kind: Tested, Vehicle: v, Reason: reason, Data: map[string]string{"test": id, "result": result, "reading": "0.4 s"}, Catalogue: catalogue}
	}
	closed := Draft{Kind: Closed, Vehicle: v, Catalogue: catalogue}
	w.record(Draft{Kind: Found, Vehicle: v, Snapshot: on})
	w.record(Draft{Kind: Left, Vehicle: v, Snapshot: on})
	w.refused("close-needs-tests", closed)
	w.refused("safety-test-no-waiver", test("stop-on-brake", Skipped, "no time"))
	w.refused("skip-needs-reason", test("range", Skipped, ""))
	w.refused("test-known", test("rnge", Passed, ""))
	w.record(test("stop-on-brake", Failed, ""))
	w.record(test("range", Skipped, "yard too small"))
	w.record(test("every-key", Failed, ""))
	w.record(Draft{Kind: Left, Vehicle: v, Snapshot: off})
	w.refused("close-needs-tests", closed) // the keys cannot be set off
	w.record(test("every-key", Passed, ""))
	w.refused("closed-as", Draft{Kind: Closed, Vehicle: v, Catalogue: catalogue, Data: map[string]string{"as": "done"}})
	if r := w.record(closed); r.Data["as"] != "closed, remote start off" {
		t.Errorf("closed as %q", r.Data["as"])
	}
	open, _ := w.b.Status(context.Background())
	if len(open) != 0 {
		t.Errorf("still open: %+v", open)
	}
	back := w.record(Draft{Kind: Comeback, Vehicle: v, Data: map[string]string{"complaint": "starts by itself", "safety": "yes"}})
	open, _ = w.b.Status(context.Background())
	if len(open) != 1 || !open[0].Unsafe {
		t.Errorf("comeback: %+v", open)
	}
	if a, _ := w.b.Which(context.Background(), v, nil); a.Complaint == nil {
		t.Error("the desk is not told of the safety complaint")
	}
	again := Draft{Kind: Closed, Vehicle: v, Points: back.Identity, Catalogue: catalogue[:1]}
	w.refused("close-needs-tests", Draft{Kind: Closed, Vehicle: v, Points: back.Identity})
	w.refused("close-needs-tests", again)
	w.record(test("stop-on-brake", Passed, ""))
	if r := w.record(again); r.Data["as"] != "done" {
		t.Errorf("comeback closed as %q", r.Data["as"])
	}
	w.refused("closed-already", again)
	passed := w.record(test("stop-on-brake", Passed, "")).Identity
	put := Draft{Kind: Corrected, Vehicle: v, Points: passed, Reason: "another vehicle's", Data: map[string]string{"result": "perhaps"}}
	w.refused("test-result", put)
	put.Data = map[string]string{"result": Failed}
	w.record(put)
	w.refused("close-needs-tests", again) // what was taken back does not count
	w.record(test("stop-on-brake", Passed, ""))
	put.Data = map[string]string{"reading": "0.6 s"}
	w.record(put) // an older one does not speak for the newest
	w.refused("closed-already", again)
	w.record(Draft{Kind: Left, Vehicle: v, Snapshot: off, Data: map[string]string{"off": "remote-start"}})
	if r := w.record(again); r.Data["as"] != "closed, remote start off" { // what was set off since is told
		t.Errorf("comeback closed as %q", r.Data["as"])
	}
	w.record(Draft{Kind: Opened, Vehicle: v})
	w.record(test("every-key", Passed, ""))
	w.record(test("range", Passed, ""))
	w.record(test("stop-on-brake", Passed, ""))
	w.record(closed) // a new job is closed by itself
	w.refused("closed-already", closed)
}

// What comes next on a comeback, until it is closed.
func TestNextOfAComeback(t *testing.T) {
	w := newBench(t)
	v := w.minibus()
	w.record(Draft{Kind: Closed, Vehicle: v})
	next := func(want Kind) {
		t.Helper()
		s, err := w.b.Summary(t.Context(), v)
		if err != nil || s.Next != want || (s.Comeback == nil) != (want == "") {
			t.Errorf("next %q, %+v %v; want %q", s.Next, s.Comeback, err, want)
		}
	}
	next("")
	back := w.record(Draft{Kind: Comeback, Vehicle: v, Data: map[string]string{"complaint": "ramp stops halfway"}}).Identity
	next(Observed)
	w.record(Draft{Kind: Observed, Vehicle: v, Points: back, Data: map[string]string{"ramp": "stops"}})
	next(Cause)
	w.record(Draft{Kind: Cause, Vehicle: v, Points: back, Data: map[string]string{"cause": "loose pin"}})
	w.record(Draft{Kind: Observed, Vehicle: v, Points: back, Data: map[string]string{"ramp": "moves"}})
	next(Closed)
	tests := []Test{{ID: "ramp"}}
	w.record(Draft{Kind: Tested, Vehicle: v, Data: map[string]string{"test": "ramp", "result": Passed}, Catalogue: tests})
	w.record(Draft{Kind: Closed, Vehicle: v, Points: back, Catalogue: tests})
	next("")
}
