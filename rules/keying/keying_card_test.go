package keying

import (
	"slices"
	"strings"
	"testing"

	"asleft/config/setting"
)

func needOf(t *testing.T, d *Device, option, value string) Need {
	t.Helper()
	for i, o := range d.Machine.Options {
		for v := range o.Values {
			if o.ID == option && o.Values[v].Name == value {
				return Need{i, []int{v}}
			}
		}
	}
	t.Fatalf("%s has no option %s with a value %s", d.Profile.ID, option, value)
	return Need{}
}

// everyStep visits all steps of a card.
func everyStep(c Card, visit func(Step)) {
	for _, row := range append(c.rows(), c.Check) {
		for _, s := range row {
			visit(s)
		}
	}
}

// TestFeedbackKillersComeLast: an option that switches off the path by which the device answers is keyed after all others.
func TestFeedbackKillersComeLast(t *testing.T) {
	d := demoDevice(t, "demo-alder")
	needs := []Need{needOf(t, d, "confirm-lock", "none"), needOf(t, d, "run-minutes", "10"), needOf(t, d, "state-6-on", "armed"), needOf(t, d, "park-active", "battery")}
	card := d.plan(d.Machine.Factory(), needs, fullCircumstances())
	last := card.Groups[len(card.Groups)-1]
	if last.Option != "confirm-lock" || !slices.Equal(last.Silences, []string{"siren", "horn"}) {
		t.Errorf("the last group is %s and silences %v", last.Option, last.Silences)
	}
	for _, g := range card.Groups[:len(card.Groups)-1] {
		if !g.Steps[len(g.Steps)-1].Expect.Seen || g.Steps[len(g.Steps)-1].Expect.Exact == "nothing" {
			t.Errorf("%s is keyed without an answer", g.Option)
		}
	}
}

// guardFirst is an order of safety in which one setting is a guard and another a permission.
type guardFirst struct{ guard, permission string }

func (g guardFirst) Bearing(name string, _, _ setting.Value) Bearing {
	switch name {
	case g.guard:
		return Tightens
	case g.permission:
		return Loosens
	}
	return Neutral
}

// TestGuardsFirstPermissionsLast: also where the menus would have it the other way round.
func TestGuardsFirstPermissionsLast(t *testing.T) {
	for _, x := range []struct{ device, guard, permission, guardOption, guardValue, permissionOption, permissionValue string }{
		{"demo-alder", "passive-arming", "engine-speed.source", "passive-arming", "off", "engine-speed-source", "wire"},
		{"demo-birch", "factory-alarm.disarm-on", "engine-speed.source", "factory-disarm", "none", "engine-speed-source", "voltage"},
		{"demo-cedar", "horn.seconds", "engine-speed.source", "horn-seconds", "0.03", "engine-speed-source", "wire"},
		{"demo-damson", "confirm.start.sound", "start.path", "confirm-start", "horn", "start-path", "link"},
		{"demo-elder", "confirm.lock.sound", "engine-speed.source", "confirm-lock", "none", "engine-speed-source", "voltage"},
	} {
		d := demoDevice(t, x.device)
		c := fullCircumstances()
		c.Order = guardFirst{x.guard, x.permission}
		middle := d.Machine.Options[4]
		needs := []Need{needOf(t, d, x.permissionOption, x.permissionValue), needOf(t, d, x.guardOption, x.guardValue), {4, []int{(middle.Factory + 1) % len(middle.Values)}}}
		card := d.plan(d.Machine.Factory(), needs, c)
		var order []string
		for _, g := range card.Groups {
			order = append(order, g.Option)
		}
		if want := []string{x.guardOption, middle.ID, x.permissionOption}; !slices.Equal(order, want) {
			t.Errorf("%s: %v, want %v", x.device, order, want)
		}
	}
}

// TestNothingIsReliedOnThatIsNotJoined: with the horn not joined no step expects to hear it, and where nothing else
// answers the step says so.
func TestNothingIsReliedOnThatIsNotJoined(t *testing.T) {
	d := demoDevice(t, "demo-alder")
	c := fullCircumstances()
	c.Wired = []string{"led", "button", "brake", "ignition", "supply"}
	card := d.plan(d.Machine.Factory(), []Need{needOf(t, d, "run-minutes", "10")}, c)
	change := card.Groups[0].Steps[len(card.Groups[0].Steps)-1]
	if change.Expect.Seen || !strings.Contains(change.Expect.Text, "not joined") {
		t.Errorf("the change expects %q", change.Expect.Text)
	}
	everyStep(card, func(s Step) {
		if strings.Contains(s.Expect.Exact, "horn") {
			t.Errorf("%q expects %s", s.Hands, s.Expect.Exact)
		}
	})
	c.Wired = []string{"led", "button", "ignition", "supply"}
	card = d.plan(d.Machine.Factory(), []Need{needOf(t, d, "run-minutes", "10")}, c)
	if len(card.Groups) > 0 || len(card.Remaining) != 1 || !strings.Contains(card.Remaining[0].Why, "brake") {
		t.Errorf("without the brake input: %d groups, remaining %v", len(card.Groups), card.Remaining)
	}
	cedar := demoDevice(t, "demo-cedar")
	c = fullCircumstances()
	delete(c.Senders, 1)
	delete(c.Senders, 2)
	card = cedar.plan(cedar.Machine.Factory(), []Need{needOf(t, cedar, "run-minutes", "20")}, c)
	if len(card.Groups) > 0 || len(card.Remaining) != 1 {
		t.Errorf("without a remote for the channels: %d groups, remaining %v", len(card.Groups), card.Remaining)
	}
}

// TestButtonCarsNeverTurnAKey: a card for a car with a start button speaks of power states, and of the foot off the brake.
func TestButtonCarsNeverTurnAKey(t *testing.T) {
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		start, target := jobOf(t, d)
		c := fullCircumstances()
		c.StartButton = true
		card, err := Plan(d, start, target, c)
		if err != nil {
			t.Fatal(err)
		}
		everyStep(card, func(s Step) {
			for _, text := range []string{s.Hands, s.Otherwise} {
				if low := strings.ToLower(text); strings.Contains(low, "key") || strings.Contains(low, "ignition") {
					t.Errorf("%s: %q", id, text)
				}
			}
			if strings.Contains(s.Inputs, "key-run") && (!strings.Contains(s.Hands, "Foot off the brake") || s.Presses != 2) {
				t.Errorf("%s: %q, %d presses", id, s.Hands, s.Presses)
			}
		})
		for _, text := range slices.Concat(card.Preparation, card.Cautions) {
			if strings.Contains(text, "Ignition") || strings.Contains(text, "Key in") {
				t.Errorf("%s: %q", id, text)
			}
		}
	}
}

// TestNothingToDoCostsNothing: a device that holds what is required has an empty card.
func TestNothingToDoCostsNothing(t *testing.T) {
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		start, _ := jobOf(t, d)
		card, err := Plan(d, start, start, fullCircumstances())
		if err != nil || card.Presses != 0 || len(card.Entry)+len(card.Groups)+len(card.Exit)+len(card.Preparation) > 0 {
			t.Errorf("%s: %d presses, %v", id, card.Presses, err)
		}
	}
}

// TestCountsAboveTenAreGrouped: people miscount above ten (common practice, no source).
func TestCountsAboveTenAreGrouped(t *testing.T) {
	for n, want := range map[int]string{3: "3", 10: "10", 11: "11 (5+5+1)", 18: "18 (5+5+5+3)"} {
		if got := countWords(n); got != want {
			t.Errorf("%d: %s, want %s", n, got, want)
		}
	}
	d := demoDevice(t, "demo-alder")
	strip := d.Machine.Strip(Answer{{By: "led", Count: 12}})
	long, on := 0, 0
	for i, s := range strip {
		switch {
		case s.On && !s.Ack:
			on++
		case i > 3 && s.Seconds > d.Machine.timing.Off:
			long++
		}
	}
	if on != 12 || long != 2 {
		t.Errorf("%d flashes with %d long gaps", on, long)
	}
}
