// Package setting is the vocabulary of the house: what can be set on a
// controller or an interface module, which values each setting takes, and how
// the settings of a vehicle are written down so that equal meanings are equal
// bytes. Everything else imports it and it imports nothing of ours.
//
// # Families and instances
//
// A Family is one line of the vocabulary. Its pattern is made of parts joined
// by dots; a part in capitals (NAME, N, R, G) stands for one part of small
// letters, digits and hyphens. "feed.NAME.role" is a family,
// "feed.second.role" an instance of it: the name of a setting. No name belongs
// to two families.
//
// # Values
//
// A Value is text with one spelling for each meaning:
//
//   - a word of the family ("link-speed"),
//   - a number in its shortest decimal form, without sign for zero, without
//     exponent and without unit ("0.5", "-10"); the unit is the family's,
//   - a set of words, sorted and joined by "+" ("start+unlock"), "none" when
//     it is empty,
//   - the name of a channel, or "none".
//
// It is never empty. Family.Parse takes what a person typed and gives the
// canonical value; Parse of a canonical value gives the same value back.
//
// How an option is entered (keyed, strap, dial, cable, learned) is an attribute
// of the device's option and no setting. States (valet, learned engine speed,
// paired remotes ...) are kept apart: they are never keyed, always recorded.
//
// # Snapshots
//
// A Snapshot says for (device, setting) what is known: a value with its origin,
// or "unknown", or "not-applicable". Its canonical bytes are JSON in the sense
// of RFC 8785 (keys sorted, no white space, one form for every string), with
// only strings as values. Readings are sorted by device and then by setting in
// byte order, not in the order of the vocabulary, so that a later vocabulary
// does not change the bytes of an old record. For the same reason
// ParseSnapshot checks the form and Check the meaning: a record made with an
// older vocabulary can always be read.
package setting
