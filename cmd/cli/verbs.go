package cli

import "github.com/spf13/cobra"

// addVerbs lists the commands, in the order of the help.
func addVerbs(a *app, root *cobra.Command) {
	root.AddCommand(
		newSheet(a), newDerive(a), newWhy(a), newButtons(a), newKey(a), newCheck(a),
		newRecord(a), newStatus(a), newWhich(a), newCompare(a),
		newDevices(a), newSettings(a),
	)
}
