package profile

import (
	"asleft/config/source"
)

func readExit(t *source.Table) *ExitProof {
	e := &ExitProof{
		Inputs:  t.Words("inputs", Signals, source.Required(`inputs = ["parking-brake", "brake", "door", "hood", "engine-speed", "key-in"]`)),
		Start:   readName(t, "power-up", source.Required(`power-up = "not-made"`)),
		Vacated: readName(t, "vacated", source.Required(`vacated = "vacated"`)),
		Running: readNames(t, "running", source.Required(`running = ["remote-run"]`)),
		Within:  t.Whole("within-seconds", 1, 600, source.Required("within-seconds = 90")),
		Stored:  t.Flag("stored"),
		Shows:   map[string]string{},
	}
	shows := t.Sub("shows")
	for _, state := range shows.Keys() {
		e.Shows[state] = readShown(shows, state)
	}
	for _, s := range t.Each("step") {
		e.Steps = append(e.Steps, readExitStep(s)...)
	}
	t.Close()
	return e
}

// readExitStep reads one step, which may stand for several transitions: one for
// each state and each event that it lists.
func readExitStep(t *source.Table) []ExitStep {
	from := atMost(t, "from", readNames(t, "from", source.Required(`from = ["not-made"]`)), 60)
	on := t.Words("on", ExitEvents, source.Required(`on = ["hood-open"]`))
	to := readName(t, "to", source.Required(`to = "cancelled"`))
	while := t.Words("while", ExitConditions, source.Example(`while = ["engine-turning"]`))
	stops := t.Flag("stops-engine")
	name := checkedName(t)
	t.Close()
	var steps []ExitStep
	for _, f := range from {
		for _, event := range on {
			steps = append(steps, ExitStep{Name: name, From: f, To: to, On: event, While: while, Stops: stops})
		}
	}
	return steps
}

func readShown(t *source.Table, key string) string {
	shown := t.Text(key, source.Example(`vacated = "lamps 4"`))
	if shown != "" && !validShown(shown) {
		t.Fault(key, source.Problem{Message: "this signal cannot be read", Found: shown,
			Expected: `"nothing", or led, horn, siren or lamps with a count or "steady"`, Example: `vacated = "lamps 4"`})
	}
	return shown
}
