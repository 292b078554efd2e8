package cli

import "github.com/spf13/cobra"

// verbs lists the commands, in the order of the help.
var verbs = []struct {
	name string
	make func(*app) *cobra.Command
}{
	{"sheet", newSheet}, {"derive", newDerive}, {"why", newWhy}, {"buttons", newButtons}, {"key", newKey}, {"check", newCheck},
	{"record", newRecord}, {"status", newStatus}, {"which", newWhich}, {"compare", newCompare},
	{"devices", newDevices}, {"settings", newSettings},
}

// addVerbs adds the verb that the arguments begin with, none for the version alone, else all of them. Making all verbs
// with their flags takes longer than the work of a small one.
func addVerbs(a *app, root *cobra.Command) {
	if len(a.Args) == 1 && a.Args[0] == "--version" {
		return
	}
	for _, v := range verbs {
		if len(a.Args) > 0 && a.Args[0] == v.name {
			root.AddCommand(v.make(a))
			root.CompletionOptions.DisableDefaultCmd = true // nobody can ask for it any more
			return
		}
	}
	for _, v := range verbs {
		root.AddCommand(v.make(a))
	}
}
