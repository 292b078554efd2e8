// Package proof looks at a rule base as a whole. It says what is wrong with the rules themselves (a rule that fires in no install, two of one
// level that disagree, one that others always say, a setting left undecided, a value that nothing reaches), and it proves that no install that breaks a clause of safety gets a keying card, or shows the install that does.
//
// # The property
//
// safety.toml says by hand what no install with a card may be, clause by clause, each with its reason, in the words of jobs and profiles.
// A clause may not read a rule, nor a fact that a reader works out from several lines (workedOut in safety.go); how the few of
// those that matter follow from the lines is said in readings.toml. Clauses of rule files ([unsafe.NAME]) are proved with them. A
// clause is about the install as it is, whether the job says so or not: what a technician did not find out can kill as well. A
// setting in a clause is what a device holds when its card is done. Where safety itself leaves a device no value, the part is refused
// for it and stays unjoined, whatever the device holds.
//
// # What is looked at
//
// Every assignment of every fact that a rule, a constraint, or a clause reads, with up to 6 openings, 8 circuits, 4 functions and 4 outputs
// of the free device, every smaller number of the first three among them; each controller with each module and with none, where all
// facts that follow from the device but for its feeds and settings are left open as well; and a device that has any of the
// settings of the vocabulary with any of their values. Openings, circuits and functions are alike but for their names: no rule and
// no clause names one. So a clause about each of them is looked at for the first: an install in which another breaks it is, with the
// names changed, an install in which the first does. Feeds are not alike, and each is looked at.
//
// # The world
//
// All this is one problem over variables with bounded domains for each shape of devices (world.go), and it is written from the text of the
// rules: it does not see the engine's compiled program, so that a mistake of the compiler cannot hide itself. A fact is up to five
// variables: as it is; as rules below safety see it, which is the same or not known; as safety sees it, with the worst in the place
// of what is not known; and two more for what would be if nothing were missing. A fact that the catalogue calls always known, or
// absent where nobody writes it down, is one. Whether a fact has a meaning is tied to its condition for each pair of eyes.
//
// A condition becomes two formulas, "certainly true" and "not certainly false" (condition.go): Kleene's three values need no more.
// Quantifiers are written out over the instances, with "is there" before each opening, circuit, and function.
//
// A device's settings are variables of their own, one for each group of options that share a setting, with the combinations that the
// device can express as its domain. What rules read of them (strata) is that choice, or not known where it may be open or
// impossible; as the variables stand for the end of the derivation, no order of deciding has to be written down: the loader of
// the rules refuses circles, so what holds in the end is what each stage saw.
//
// What the levels leave of a group in the end, defaults and preferences included, is a circuit over which of its rules fire (levels.go); it
// serves the question whether a setting is left undecided.
//
// An install gets a card when no rule refuses remote start or the job, for sure or perhaps; and when every choice fulfils every hard rule
// that fires. A group that hard rules empty is refused as well, unless the refusal is of a smaller thing, such as a lock feature: then
// the device holds what safety leaves, or what it held (firing.go says which, in the words of the engine). Wishes, policy and
// defaults are left out: they choose among what hard levels leave, and a shop's limit may bar anything.
//
// # Why it is complete
//
// Each simplification lets more installs in and never fewer: soft levels left out, numbers of the install taken for any, a fact not known
// to apply taken for not known, a setting of the button plan not known to rules. So the world holds every install that gets a
// card, and perhaps some that do not exist. A clause is proved when the world with an install that breaks it has no solution, and
// the solver (solver.go), which learns from each conflict and forgets nothing, ends without one. What it does not decide within
// its limit is reported and never taken for proved. Tests compare the world with the engine on random job files both ways, and the
// solver with a plain search.
//
// # Flaws
//
// The flaws (flaw.go, reach.go, undecided.go) are asked of worlds that hold every install, with a card or without, and each question is
// decided by the same solver. That a rule never fires, never bars what others leave, or that no install comes to a value is so when the
// solver finds none, over the shapes named above. That two rules disagree, or that a setting is left undecided, is shown by the install found.
// Nothing is sampled: a setting is undecided exactly when two choices of its circuit can be left at once and the factory's is not, in an install
// of which everything is known (what is not known leaves settings open, which a sheet tells) and of which nobody wishes anything about it.
//
// # A gap as a job
//
// A gap is written as a job file of a real device (counterexample.go, jobfile.go) and derived; it is told only if a card is made for it. Where
// the readers make something else of the file than was meant, the solver is told so and looks again.
//
// # What it does not do
//
// It does not prove the readers: that volts become the right roles and an exit proof's machine has the virtues it is said to have is tested
// in package base. A rule that bounds a setting by a number of the install (run minutes and starts an hour within the limit of the place,
// lock pulses within the range of the circuit) is taken for one that says nothing here, as an install with more freedom; that bounds hold is a
// property test over random jobs (TestBoundsByNumbersHold in package rules). The button plan's guards (a moving part on a tap) are a matter of
// the plan and not of rules: they are tested in package assign (TestGuardsOnATap).
// The order of keying is proved card by card by its own simulator in package keying.
package proof
