// Command asleft derives the option settings of a remote starter or alarm from a described
// install, prints the keying card, and keeps the record of settings as found and as left.
package main

import (
	"os"

	"asleft/cmd/cli"
)

func main() {
	os.Exit(int(cli.Main(cli.Machine())))
}
