// Package derive decides every setting of an install from facts and rules, says why, and says why not.
//
// # What goes in
//
// A rule base (package base), a job, the profiles of its devices, the shop's policy. They become facts: each has
// a bounded domain and is known, not known, or without meaning in this install. What nobody said has a value
// only where the catalogue gives one (absent); otherwise it is not known. Rules of level safety see the worst
// value in place of an unknown one; all other rules see "unknown", and a condition is then true, false or
// unknown by strong Kleene logic.
//
// # Groups
//
// A setting belongs to a device, and its values are those that the device can express. Settings that one option
// sets together (or several options that share a setting) form a group, and what is decided is the group's
// choice: a combination of option values. A combination that the device cannot express is not among the choices,
// so device limits need no rule. A setting that no device has and that rules speak of forms a group of its own,
// with the whole vocabulary as choices: its value says what the install needs, other rules may read it, and its
// action is "absent".
//
// Groups are decided in an order in which each comes after those that its rules read. Which rule reads which
// setting has no circle: the loader of the rule base refuses one, and so does compiling, where options of a
// device tie settings together.
//
// # Levels
//
// For one group the nine levels are walked from the highest (safety) down to trade defaults; what is left is a
// set of choices, at first all.
//
//   - A level down to policy limits is hard: everything that its rules say holds together. If that leaves nothing,
//     the group is impossible: the fewest constraints that cannot hold together are reported with their places,
//     as a refusal of the scope that one of their rules names (unmet), else as a contradiction of the whole job.
//     Nothing is repaired in silence.
//   - A level below is soft: a constraint that would leave nothing beside the levels above is skipped and listed as
//     not met, with what left no room. If several of one level fit one by one and not together, two wishes are a
//     contradiction; defaults are taken in the order of their names.
//   - Preferences (prefer) come after the other constraints of their level and never empty anything.
//   - If several choices are left at the end, the factory's is taken if it is among them, else the first.
//
// Forced: policy limits and above left one value. Chosen: a lower level made it one, and is named. Not applicable: a
// rule says so, or the option value chosen gives the setting no meaning; no constraint on such a setting counts. Open:
// a rule whose condition is unknown could change the value. Whether the value equals the factory's is another
// matter: the action.
//
// # Missing facts
//
// A rule of unknown condition that lets the choice pass changes nothing whether it fires or not; one that bars it
// may change it. That is a safe sieve, and where it leaves something open the completions of the facts concerned
// are derived one by one (up to maxCompletions): a setting that comes out the same in all of them is not open, and
// remote start that is refused in all of them is refused. Otherwise the result is open, and names the facts, what
// depends on each, how to find it out, and a smallest set of facts that settles everything open, whatever they turn
// out to be. What reads an open setting depends on the facts behind that one; what waits for a setting that nothing is
// left for says which.
//
// A refusal that rests on an assumed worst value is marked open.
//
// # Open, and safe all the same
//
// With remote start wanted there is no card while a setting is open. Without it a card is made: a job for locks and an alarm is not
// held up by a circuit that nobody has identified yet, as long as no value is left in a device that safety may bar. So a setting that
// is open, or that a refusal of a lesser part leaves nothing, is set where safety bars any of its values, for sure or once a missing fact is
// known: to one that is safe whatever turns out (meanwhile.go). It stays open, its sentence names the facts that settle it, and Missing
// says how to find them out. Where safety bars nothing, the device keeps what it holds. Where no value is sure to be safe, the part that
// the rules name is refused until the facts are known, and the whole job where they name none.
//
// The other way, no card while a setting that safety speaks of is open, would send a technician away who can key the safe value at
// once, and would leave the device as it was found, which may be the very value that safety bars.
//
// # Two passes
//
// Pass 1 (no demands) decides all settings that name no output and no gesture. The button plan is made on that. Pass 2
// gets the plan's needs as demands and decides aux.*, state-output.* and remote.* as well; the loader refuses rules by
// which those could reach back into pass 1. Prepare brings the rules down to the install once for both.
//
// # Questions
//
// Ask derives once and answers many questions: Explain follows the rules of a setting down to what was measured, asked or
// wished; WhyNot gives the minimal conflicts that keep it from a value; Repairs looks for the cheapest changes that make a
// refused scope work, and derives each again; a what-if (Input.With) tries facts, numbers and wishes, and Shifts compares.
//
// # Many installs
//
// Sweep derives sixty-four installs of one shape in a machine word, from fact vectors that a record can keep.
//
// # Order means nothing
//
// The result depends on no order of rules, facts, tables or files; lists are sorted by name. Same input, same result.
//
// # What this package does not do
//
// It makes no button plan, plans no presses, and keeps no record. It knows no rule, fact or device by name, with two
// exceptions that its own questions need: the facts start.wanted and start.path, by which remote start is left out.
package derive
