//go:build !race

package source

const slowed = 1
