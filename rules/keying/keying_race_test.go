//go:build race

package keying

// underRace tells that the race detector slows everything down: the counts of random cases are a tenth then.
const underRace = true
