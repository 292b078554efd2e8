// Package assign makes the button plan: which gesture on which remote works which function of the
// vehicle, over which channel and output, with which parts. The plan is the best there is, in an
// order of aims that is fixed, and the search proves it.
//
// # What is given
//
// A remote has gestures: buttons, presses, seconds of holding. A gesture sends one channel, fixed or
// taught; gestures that lock, unlock, start or panic are taken. A channel fires outputs, all of its
// outputs together, or does one fixed thing. An output sinks or sources, carries so many
// milliamperes, and is set by options of the device: behaviour, seconds, count, conditions. A
// function has lines with a level, a current and a range of seconds, interlocks, and remotes on which
// it is wanted. Problem holds all this; FromJob reads it from a job and its profiles.
// A gesture that a remote has for itself must send the channel that the controller takes for the same
// thing; a free gesture whose channel the controller does not know does nothing, and a note says so.
//
// # What is decided
//
// Every output goes to one function at most, and is then joined to all lines of the function. A
// channel works a function when it fires one of the function's outputs and no output of another
// function. On each remote a function that is wanted there sits on one gesture that can send such a
// channel, and no gesture carries two functions.
//
// # What must hold (guards)
//
// These come before anything is compared, and no wish or signature reaches them: a platform lift gets
// no button; a ramp needs hold-to-run and its three interlocks in series; a window or roof closes
// only under a module that reverses it (49 CFR 571.118 S4, S5); what moves sits on no plain tap and,
// unless the vehicle's own module supervises it, moves only while held; what moves out of sight or
// closes sits on a long hold or a held chord and has an interlock. Gestures that the user cannot
// make, that are taken, or that a wish for another gesture excludes are out as well.
//
// # What is compared
//
// The fields of Cost, the first field first:
//
//  1. functions not reached on a remote they were asked for;
//  2. easy gestures that open something and nobody signed for (the nuisance guard);
//  3. what an output should do by itself and cannot: disarm or unlock first. A function that needs
//     another press before its own is reached by half only, so this stands before parts;
//  4. relays, 5. diodes: see below;
//  6. gestures unlike: for each function the remotes that do it otherwise than most of them do. Two
//     gestures are alike when marks, presses and seconds are;
//  7. effort: the profile's rank of ease times presses in a month;
//  8. options to key: gestures taught, options of outputs away from the factory value.
//
// Of plans equal in all eight, the gestures of each remote are the first in the profile's order that
// keep the optimum, the first function choosing first; outputs are those that the search met first.
// Same input, same plan.
//
// # Parts
//
// Parts are found, not asked for. One channel that every remote can send costs none. An output of the
// other level, too weak, or on a line of resistors, of a reversing motor or of a dry contact takes a
// relay. An output on several lines, or several outputs on one line, are kept apart by a diode in
// each join (none where the output is open-drain and has one line only), or by a relay where diodes
// are not allowed. A coil is counted at its worst, 15 V / (0.9 R), below -20 C 15 V / (0.69 R),
// against the rating; where an output cannot drive all its coils it drives a pilot relay. An
// interlock that neither the job nor the output provides takes a contact in series: on the line if
// every output would need it, else in the output's branch. A line that more than one wanted function
// works is counted as shared from the start. recipes.toml holds the terminals.
//
// Outputs of fixed use take parts as well, and so does what no button works: a further conductor on a
// relay whose coil hangs on the feed of its own role, with the fuse of the vehicle's own circuit; the
// loop or the supply of a key that is kept in the vehicle; a brake simulated for a start button. They
// are counted in the cost, and no choice of the search changes them (Tie).
//
// # Why the plan is the best
//
// The aims are packed into one whole number, each in a field wide enough for any plan, so adding and
// comparing plans is adding and comparing numbers. Given the outputs of each function and its main
// gesture, the remotes are apart from each other, and each is an assignment problem, solved in closed
// form with prices that prove it. Over outputs and main gestures runs a branch and bound (package
// search): a part of the space is dropped only when a lower bound on everything in it is not under
// the best plan known, and the bound is a sum of exact minima of parts whose costs add up to the
// whole cost. Tests hold the optimum against exhaustive search and against clingo (see Program).
//
// Two searches prove it: one over the fields up to the diodes, what can be had and with which parts, and one
// over all. What no plan with the optimum of the first has (a gesture, an output, a skip, a main gesture: its
// bound is above that optimum) is ruled out for the second, and in every part of the space what cannot
// beat the best plan known is ruled out there; both keep an optimal plan, since a bound on all plans that
// have the thing is what rules it out.
// An item that is wanted on one remote, or on remotes that are all alike, needs one output at most: of
// several, those that its one place does not use only cost more.
//
// The search counts what it looks at, and takes turns with two ways of cutting the space. When patience
// runs out, which takes remotes, gestures and functions by the dozen with wishes all unlike, the plan
// says how many aims are proven (Proven: 0, those up to the diodes, or all), and so do table, sheet and JSON
// in its notes.
//
// # Words
//
// Match reads a question in the owner's own words and in those of words.toml. What remotes do by
// themselves (OwnUses) is asked for in the same way, and Own tells it from the remotes' papers.
package assign
