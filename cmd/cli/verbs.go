package cli

import "github.com/spf13/cobra"

// addVerbs lists the commands, in the order of the help.
func addVerbs(a *app, root *cobra.Command) {
	root.AddCommand(
		newSettings(a),
	)
}
