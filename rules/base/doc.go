// Package base is the rule base: what may be asked about an install, what follows from the answers, how
// it is proved on the vehicle, and in which order settings may be changed. All of it is text in TOML
// files, written for people who know the trade and not Go. This package reads it, checks it, runs its
// examples, and turns a job with its devices and its shop's policy into facts. What a set of facts and
// rules comes to is decided one floor higher, in package derive.
//
// # A rule file
//
// A file begins with schema = "asleft/rules/1" and holds any of these named tables, in any order. Names
// are words joined by hyphens; the order of files, tables and keys never matters, except where a file
// ranks something.
//
//	[kind.NAME]        a list of instances that is the same for every install
//	[fact."NAME"]      something that may be known about an install
//	[quantity."NAME"]  a number of the install that rules may use as a bound
//	[constraint.NAME]  facts that cannot hold together in any install
//	[rule.NAME]        what follows from facts
//	[test.NAME]        a commissioning test
//	[change.NAME]      what a workshop can do so that a fact becomes another
//	[unsafe.NAME]      what no install with a keying card may be
//	[order.NAME]       how safe the values of a setting are, for the order of keying
//
// # Facts
//
// A fact has a bounded list of words as its domain. Numbers become words before a rule sees them, in one
// Go file (conditions.go), so that rules are propositions and can be proved.
//
//	[fact."vehicle.parked"]
//	title = "where it is parked"
//	domain = ["open-air", "closed-space", "street"]
//	known-by = "the owner"
//	measure = "ask where the vehicle stands at night, and look if that place has walls and a roof"
//	worst = "closed-space"
//
// Exactly one of three keys says what holds when the job does not say it: worst is the value that safety
// rules assume (all others treat the fact as unknown), or "any" where no one value is the worst for every rule, and then
// what depends on the fact is open; absent is the value for everybody, because what is
// not written down is not there; always = true promises that it is always known, from the profiles or by
// computation. applies = [lines] (all must hold) says when the question makes sense at all: else the fact is not
// applicable, and every line that says it is something fails, every line that says it is not succeeds.
//
// A fact of which each install has several has the part NAME in its name and each = KIND:
//
//	[fact."opening.NAME.seen"]
//	each = "opening"
//
// Kinds that come from the job and the profiles are circuit, feed, opening, output, remote, function.
// Fixed kinds (signal, command, use, event, release, occupant, ...; kinds.toml) are lists in [kind.NAME]: words = [...].
//
// Some facts are made for every setting of the vocabulary and every quantity, and stand in no file:
//
//	wish.SETTING       what the customer asked for: a value of the setting; "given" for numbers and sets; "unsaid"
//	limit.SETTING      given or unsaid: the shop's policy limits it
//	known.QUANTITY     yes or no: the number is known
//	default.SETTING    given or unsaid: the shop's policy has a default for it
//
// # Constraints
//
//	[constraint.feed-without-join-has-no-role]
//	each = "feed"
//	never = ["feed.NAME.joined is no", "feed.NAME.circuit-role is not none"]
//	why = "A feed that is joined to nothing has no conductor with a role."
//
// The lines of a constraint hold together in no install: not for a given job, where the facts are what they are, but when facts
// are imagined: completions of missing facts, proofs, and the rule base's look at itself.
//
// # Lines
//
// A condition is a list of lines, each a sentence:
//
//	vehicle.fuel is diesel
//	vehicle.gearbox is manual or automated-manual
//	signal.brake.source is not none
//	setting lock.after-start is on
//	can set gearbox.guard to exit-proof
//	cannot set engine-speed.source to wire or link-speed
//	every opening: opening.NAME.seen is yes
//	some circuit: circuit.NAME.role is held and circuit.NAME.fed is no
//	no opening: opening.NAME.taken is dome
//	at most one feed: feed.NAME.circuit-role is starter
//
// "can set" asks whether any device of the job has the value, by option or fixed. A line about a setting
// waits until that setting is decided: which setting reads which must have no circle, and the loader
// refuses one. "is not" lists words none of which holds.
//
// A line is true, false or unknown. A list of lines follows strong Kleene logic: one false line settles
// it, and an unknown one settles nothing.
//
// # Rules
//
//	[rule.park-by-link]
//	level = "wiring"
//	when.all = ["vehicle.gearbox is automatic", "signal.park.source is link"]
//	require = { "park.source" = "link" }
//	why = "The park signal comes over the link, so the controller must look for it there."
//	source = "follows from the wiring"
//
//	[rule.park-by-link.example.linked]
//	facts = { "vehicle.gearbox" = "automatic", "signal.park.source" = "link" }
//	fires = true
//
// The condition is when.all (every line), when.any (at least one), when.none (no line); what is given must
// hold together. A rule without a condition always fires. each = KIND makes one rule of it for each
// instance: NAME in lines and settings is then that instance.
//
// Levels, highest first: safety, wiring, device, place, policy-limit, wish, policy-default, trade-default,
// factory. The wishes of the job and the lines of the policy are constraints of their own levels and need
// no rule.
//
// What a rule can say (at least one):
//
//	require = { SETTING = VALUE }        this value
//	only = { SETTING = [VALUES] }        one of these
//	never = { SETTING = [VALUES] }       none of these
//	at-most = { SETTING = BOUND }        for numbers: the bound is a number in quotes or a quantity's name
//	at-least = { SETTING = BOUND }
//	prefer = { SETTING = [VALUES] }      the first of these that is left; "largest" or "smallest" for numbers
//	not-applicable = [SETTINGS]          has no meaning in this install
//	refuse = SCOPE                       remote-start, auto-start, function, lock-feature, job
//	caution = WHERE                      every-card, or this-job: printed where the rule fires
//	prove = [TESTS]                      these commissioning tests must pass before handover
//
// Number words such as "off" are beyond every bound for at-most and at-least: they stay allowed. What a rule of policy-limit or
// above requires and the device cannot give is refused; unmet = SCOPE says what is refused then (default:
// job), and below policy-limit it is listed as not met. A rule with refuse = "function" has each = "function".
//
// why is one sentence that a customer could read. source names document and section, or says "common
// practice, no source" or "follows from the wiring". cure says what would make a refusal go away.
//
// Examples: each rule has at least one that fires it and one that does not. facts gives fact = value (what
// is not given is unknown, and then worst or absent counts as always); settings = { SETTING = VALUE } gives
// settings that lines read; can = ["SETTING to VALUE", ...] lists what the imagined devices can do. An
// instance exists when a fact names it. A rule with each fires if one of its instances does.
//
// # Commissioning tests
//
//	[test.brake-stops]
//	title = "foot brake stops the engine"
//	when.all = ["start.wanted is yes"]
//	phase = "live"
//	how = "start by remote; without the key press the foot brake"
//	expected = "stops within 1 s"
//	critical = true
//	sets-off = "remote-start"
//	reading = "seconds"
//	source = "..."
//
// phase is one of still (visual and electrical, engine off), key (engine by the key), refusal (starter output
// unplugged, meter on it), live, handover: the order in which they are done. A critical test has no waiver and names what its
// failure sets off: remote-start, function, lock-feature, job. each = KIND makes one test for each instance.
//
// # Order of keying
//
//	[order.hood-source]
//	setting = "hood.source"
//	part = "guard"
//	safest-first = { 1 = ["wire", "link"], 2 = ["none"] }
//	why = "..."
//
// The tables stand in the order in which settings are keyed: guards first, permissions last. safest-first
// lists values in classes, the safest first; values not listed are least safe. safer = "smaller" or
// "larger" serves numbers (words such as off first), and safer = "required" says that only the value this
// install requires is safe. Settings without a table neither guard nor permit anything.
//
// # Changes
//
//	[change.join-signal]
//	each = "signal"
//	fact = "signal.NAME.source"
//	to = "wire"
//	kind = "wire"
//	needs = ["signal.NAME.input is yes", "signal.NAME.source is none"]
//	says = "Join the NAME signal to its terminal, and prove it."
//
// Repairs are made of changes: kind is part (a part is added), wire (a wire is joined), or mode (a strap, dial or mode
// is set otherwise), from the dearest down. No change touches what the vehicle is, where it stands, who is inside, or what
// was measured or proven.
//
// # What must never be
//
//	[unsafe.closed-space]
//	when.all = ["start.wanted is yes", "vehicle.fuel is not electric", "vehicle.parked is closed-space"]
//	scope = "remote-start"
//	why = "..."
//	source = "..."
//
// These tables are what the rules are proved against: no install of which the lines hold gets a card for the scope. Those of the house
// stand in package proof, written by hand from the trade and not from the rules; a shop may add its own to a rule file.
//
// # What this package does not do
//
// It decides no setting, opens no file but its own embedded ones, and knows no device and no rule by name.
package base
