//go:build race

package record

// underRace tells that the race detector slows everything down: the reduced counts are a quarter then.
const underRace = true
