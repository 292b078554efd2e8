// Package keying treats the button-and-lamp interface of a device as a machine, plans the
// shortest safe row of presses on it, executes such rows, and finds the way back when the
// device answers something else than expected.
//
// # The machine
//
// A Machine is a Mealy machine with time limits. It has control states (where in the menus the
// hands are), and beside them one stored and one working value for each keyed option.
//
// Inputs are what hands do, one word each:
//
//	tap            a short press of the button
//	hold-2         the button held 2 s, then let go
//	brake          one press of the foot brake
//	key-off        a move of the ignition switch: key-out, key-off, key-acc, key-run;
//	               on a car with a start button the power state that the device sees
//	remote-3       channel 3 from a paired remote
//	power-off      the device's supply fuse pulled, and power-on put back
//	silence        nothing is done until the time limit of the state has gone by
//
// Outputs are rows of signals: a number of flashes of the LED in a colour, a steady light, chirps
// of horn or siren, flashes of the lamps, or nothing. An input for which a state has no
// transition is ignored and answered by nothing.
//
// A transition has a target state, an answer, and an effect on one option: none, its next value,
// one named value; or on all: store the working values, drop them, reset to factory. Two states that differ in
// nothing that can be seen are still two states.
//
// # The styles
//
// A profile seldom writes states out. It states independent properties, and Compile makes the
// machine from them:
//
//	enter     a row of inputs from outside; a wrong one begins it anew
//	levels    bank, option and value have an input each (side-by-side), or follow each other
//	          on the same input (stacked, with an input that goes up a level)
//	choose    count: that many presses, then silence; forward: each press steps by one and
//	          wraps around; both: one input forward, another back; digits: tens, silence, ones,
//	          silence, a nought being ten presses
//	cursor    when the bank changes, the item is kept or reset to the first
//	change    cycle: each press takes the next value; count: the number of presses names the
//	          value; each: every value has an input of its own
//	feedback  on which path each level answers, and how: "number", "value", a count, "steady";
//	          whether the first flash only acknowledges
//	store     at each press, at exit, at power-off
//	leave     a row of inputs, or silence
//	time-out  the silence that ends programming, and whether it keeps or drops what is pending
//	blocked   armed, valet, engine running: no entry
//	needs     doors, hood, brake, gear, key, volts, a paired remote
//	reset     the factory reset and what it erases
//
// A device that fits none writes its states and transitions out in the profile.
//
// Taking a value moves other options where the profile says so (declared side effects), also
// when the value is only stepped through. A value may silence a path: answers over it are
// gone from that press on.
//
// # The plan
//
// Plan finds, from the values that the device holds to the values required, the card with the
// fewest presses in one programming session, and among those the one that takes the least time of the hands, under these rules:
//
//   - changes that tighten a guard come first, neutral ones next, changes that loosen after them; options that
//     silence feedback come last of all, unless they are guards. So the stored state is at no press less safe than
//     before it; values only stepped through within one option are exempt, since the starter output is unplugged;
//   - an option that needs no change is not touched, with two exceptions: one that another change moves
//     comes after that change, and is put back where nothing else is required of it;
//   - one option at a time; a named value is only ever the required one;
//   - a value that is not known is stepped until the wanted one shows, where the device shows it in this job; else the
//     option stays on the list of what remains;
//   - a session is one entry and one exit. A factory reset is never part of a card: it throws all
//     guards away in one press.
//
// Cost is presses first; a hold, a brake press, a move of the key and a fuse pulled or put back are one press each, silence is
// none but takes time. On a car with a start button a power state costs as many presses of that button as the job says.
// Answers are waited for and printed with their time, but do not decide between cards.
//
// Three ways lead to the optimum. Where the cursor is kept and the menus are stepped forward, a dynamic programme
// over the columns of the menus decides how many laps are made and where each lap changes the bank
// (laps.go). Otherwise the order of the stops is searched best first with an admissible bound; rules of exchange leave
// one order of the options within a bank where choosing costs the same everywhere or the cursor is reset with the
// bank, so that little is left to search (stops.go). Machines that are written out, and side effects that go round in a
// circle, are searched press by press over control states and values (walk.go).
//
// # Following along
//
// Follow keeps the configuration of the device as the answers tell it. After an answer that the card does not
// foretell it asks what hands may have done instead since the last answer that fitted: one press too few or too many, a hold too
// short, a bounce of the ignition, a pause in a count, a time limit that ran out, an option that did not hold what the
// card assumes; one such slip, and when none explains it two. One place left: the card is made anew from there. Several:
// the shortest adaptive homing sequence that changes no value (homing.go). None: the device is left
// and entered again, and values in doubt count as not known.
//
// # What is deliberately left out
//
// The package reads no clock and draws no lots: time is counted from the inputs. It does not
// decide what is required (rules/derive does) nor whether a card may exist (rules does). It
// gives an observation no default, ever.
package keying
