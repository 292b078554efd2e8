// Command asleft derives the option settings of a remote starter or alarm from a described
// install, prints the keying card, and keeps the record of settings as found and as left.
package main

import (
	"os"
	"runtime/debug"

	"asleft/cmd/cli"
)

func main() {
	// A command lives for a moment: collecting garbage while it runs costs more than the memory,
	// which the limit keeps far below what a workshop's laptop has.
	debug.SetGCPercent(800)
	debug.SetMemoryLimit(48 << 20)
	os.Exit(int(cli.Main(cli.Machine())))
}
