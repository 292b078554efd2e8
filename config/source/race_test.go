//go:build race

package source

// slowed is how much slower the race detector makes everything.
const slowed = 20
