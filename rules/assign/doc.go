// Package assign makes the button plan: which gesture on which remote works which function of the
// vehicle, over which channel and output, with which parts, provably best.
package assign
