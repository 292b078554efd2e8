package present

import (
	"strings"
	"testing"

	"asleft/config/record"
	"asleft/config/setting"
)

// deskPlan is the plan of a bus with two kerb-side doors of its own words and what remotes do themselves.
func deskPlan(side string) Plan {
	door := func(name, words, remote, press string, teach bool) PlanRow {
		return PlanRow{Function: name, Words: []string{words}, Does: "side-door", Remote: remote, Press: press, Gesture: "g" + name, Channel: 9, Teach: teach}
	}
	own := func(does, remote, press string, kinds ...string) PlanRow {
		return PlanRow{Function: does, Words: []string{does}, Remote: remote, Press: press, Gesture: press, Kinds: kinds}
	}
	return Plan{Schema: "asleft/plan/1", Side: side,
		Rows: []PlanRow{
			door("kerb-side-door", "Kerb-side door", "big", "hold * for 2.5 s", false),
			door("kerb-side-door", "Kerb-side door", "small", "hold U for 2 s", true),
			{Function: "gate", Words: []string{"gate", "portillon d'été"}, Does: "gate", Remote: "big", Press: "press o"},
		},
		Missed: []PlanRow{{Function: "rear-door", Words: []string{"rear door"}, Does: "boot", Remote: "small", Reason: "no gesture of this remote may work it"}},
		None:   []PlanRow{{Function: "lift", Words: []string{"lift"}, Does: "platform-lift", Reason: "a platform lift is never worked by a remote"}},
		Alone:  []PlanRow{{Function: "seats", Words: []string{"warm seats"}, Does: "heated-seat", Reason: "on by itself at a remote start, below 5 C"}},
		Own: []PlanRow{own("lock", "big", "press L"), own("start", "big", "press S twice", "double"), own("start", "big", "hold S for 2 s", "hold"),
			{Function: "start", Words: []string{"start"}, Remote: "small"}},
	}
}

// What the desk asks, in the words of those who stand there, and what it is told: upper and lower case, plurals,
// accents, slips, sides, several that fit, what was promised and not taught (the words: common practice, no source).
func TestWhatTheDeskIsTold(t *testing.T) {
	guard := func(v setting.Value) Taught {
		return Taught{Left: []setting.Reading{{Key: setting.Key{Device: "controller", Setting: "start.gesture-guard"}, Value: v, Status: setting.StatusKnown}}}
	}
	exitProof := guard("none")
	exitProof.Left = append(exitProof.Left, setting.Reading{Key: setting.Key{Device: "controller", Setting: "gearbox.guard"}, Value: "exit-proof", Status: setting.StatusKnown})
	for _, c := range []struct {
		ask, side string
		off       string
		taught    Taught
		want      string // all lines, joined by |
		fits      bool
	}{
		{"KERB-SIDE doors", "left", "", Taught{}, "Kerb-side door: on the big remote hold * for 2.5 s.|Kerb-side door: on the small remote hold U for 2 s. To be taught: not yet shown to work.", true},
		{"kerbsied door", "left", "", Taught{Works: map[string]bool{"kerb-side-door": true}}, "Read as: kerb side door.|Kerb-side door: on the big remote hold * for 2.5 s.|Kerb-side door: on the small remote hold U for 2 s.", true},
		{"passenger side door", "right", "", Taught{Works: map[string]bool{"kerb-side-door": true}}, "Kerb-side door: on the big remote hold * for 2.5 s.|Kerb-side door: on the small remote hold U for 2 s.", true},
		{"passenger side door", "", "", Taught{}, "On which side of the road does the vehicle drive, left or right? Its passenger side depends on it.", false},
		{"Portillon d'ete", "", "", Taught{}, "Gate: on the big remote press o.", true},
		{"trunk", "", "", Taught{}, "Rear door: promised, but not to be had on the small remote: no gesture of this remote may work it", true},
		{"door", "left", "function:kerb-side-door", Taught{}, "The question fits 2 functions.|Kerb-side door: set off, no button is told.|Kerb-side door: set off, no button is told.|Rear door: promised, but not to be had on the small remote: no gesture of this remote may work it", true},
		{"lift", "", "", Taught{}, "Lift: no button, refused. a platform lift is never worked by a remote", true},
		{"seat heaters", "", "", Taught{}, "Warm seats: on by itself at a remote start, below 5 C.", true},
		{"seat heaters", "", "remote-start", Taught{}, "Warm seats: never on by itself: remote start was left off.", true},
		{"start it", "", "", guard("none"), "Start: on the big remote press S twice, or hold S for 2 s.|Start: the small remote has no gesture for it in its papers.", true},
		{"start it", "", "", guard("hold"), "Start: on the big remote press S twice and keep it pressed: the controller takes no short one for a start (how long, its papers do not tell), or hold S for 2 s.|Start: the small remote has no gesture for it in its papers.", true},
		{"start it", "", "", exitProof, "Start: on the big remote press S twice, or hold S for 2 s; only when it was left in neutral with the parking brake on and the exit proof made.|Start: the small remote has no gesture for it in its papers.", true},
		{"start it", "", "remote-start", Taught{}, "Start: the big remote does not start this vehicle's engine: remote start was left off.|Start: the small remote does not start this vehicle's engine: remote start was left off.", true},
		{"lock", "", "", Taught{}, "Lock: on the big remote press L.", true},
		{"panic", "", "", Taught{}, "Panic: the record does not tell the remotes' own gestures; look into their papers.", true},
		{"cigarette lighter", "", "", Taught{}, `No function of the bus fits "cigarette lighter".`, false},
	} {
		a := &record.Answer{Left: &record.Item{}, Plan: deskPlan(c.side).Canonical(), Report: &record.Report{Outcome: record.Witnessed}}
		if c.off != "" {
			a.Off = []string{c.off}
		}
		v, err := Which(a, "the bus", strings.Fields(c.ask), c.taught)
		if err != nil {
			t.Fatal(err)
		}
		var lines []string
		for _, b := range v.Page().Sections[0].Blocks {
			lines = append(lines, b.(Text).Text)
		}
		if got := strings.Join(lines, "|"); got != c.want || v.Fits != c.fits {
			t.Errorf("%s (%s):\n got %t %s\nwant %t %s", c.ask, c.side, v.Fits, got, c.fits, c.want)
		}
	}
}
