//go:build !race

package record

const underRace = false
