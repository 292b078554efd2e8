package setting

// Words that many families share.
var (
	onOff      = []string{"off", "on"}
	offOnly    = []string{"off"}
	sources    = []string{"link", "wire", "none"}
	levels     = []string{"ground", "battery", "open-circuit", "ladder"}
	sounds     = []string{"siren", "horn", "none"}
	watching   = []string{"ignore", "watch"}
	lockEvents = []string{"off", "ignition", "brake", "speed-by-link"}
)

// leading are the five settings that decide most about an install.
var leading = []Family{
	{Pattern: "engine-speed.source", Title: "where the controller sees that the engine turns", Kind: KindWord, Leads: true,
		Words:     []string{"link-speed", "link-running", "wire", "voltage", "fixed-time", "none"},
		DecidedBy: "what is joined (a speed line, or a link that carries speed), the fuel, the gearbox, who ends the crank, and whether the alternator's voltage can be trusted",
		WhenWrong: "starter stays in and grinds after the engine fires, or is let go too soon; or it runs and stops after the same 10 to 30 s each time"},
	{Pattern: "feed.NAME.role", Title: "what a selectable feed imitates of the key switch", Kind: KindWord, Leads: true,
		Words:     []string{"held", "dropped", "starter", "key-in", "off"},
		DecidedBy: "how the conductor behaved when it was measured in OUT, OFF, ACC, RUN and CRANK",
		WhenWrong: "cranks and never fires (a held conductor dropped while cranking), no fan or heat in remote run (a dropped conductor unfed), or a second starter contact"},
	{Pattern: "unlock.steps", Title: "what the first unlock press opens", Kind: KindWord, Leads: true,
		Words:     []string{"all", "driver-first"},
		DecidedBy: "the customer's wish, where the driver's door can be opened alone: by link, by a line of its own, or because the vehicle counts pulses",
		WhenWrong: "only the driver's door opens where all should, or all where one should"},
	{Pattern: "remote.R.gesture.G", Title: "which channel a gesture of a remote sends", Kind: KindChannel, Leads: true,
		DecidedBy: "the button plan: wishes, what each remote can send, guards, parts needed",
		WhenWrong: "the wrong door opens, or nothing does, on one remote and not on the other"},
	{Pattern: "aux.N.behaviour", Title: "how a free output works", Kind: KindWord, Leads: true,
		Words:     []string{"pulse", "latched", "timed", "follows-button"},
		DecidedBy: "the vehicle function joined to the output: what its switch does, whether a part moves, hold-to-run",
		WhenWrong: "a fan or seat stays on after the stop, a power door moves and stops or reverses, a part moves on after the button is let go"},
}
