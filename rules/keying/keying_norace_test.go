//go:build !race

package keying

const underRace = false
