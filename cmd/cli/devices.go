package cli

import (
	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/source"
)

func newDevices(a *app) *cobra.Command {
	return a.command(verb{
		use: "devices [ID]", group: "book",
		short:    "the catalogue of devices: controllers, interface modules, remotes",
		long:     "Lists the device profiles that are built in (all invented, for demonstration) and those\ngiven with --profile, or shows one: feeds, inputs, outputs, options, channels, gestures,\nand how it is keyed.",
		example:  "  asleft devices\n  asleft devices demo-alder\n  asleft devices --profile my-controller.toml",
		args:     cobra.MaximumNArgs(1),
		formats:  []string{"csv"},
		statuses: []Status{NotFound},
		run:      a.showDevices,
	})
}

func (a *app) showDevices(args []string) error {
	in := &install{}
	if err := in.readDevices(a.devices); err != nil {
		return err
	}
	if len(args) == 0 {
		return a.print(present.Devices(in.devices.All()))
	}
	p, found := in.devices.Find(args[0])
	if !found {
		hint := "'asleft devices' lists them"
		if near := source.Nearest(args[0], in.devices.IDs()); near != "" {
			hint = "did you mean '" + near + "'?"
		}
		return fail(NotFound, hint, "no device is called %q", source.Visible(args[0]))
	}
	return a.print(present.DeviceOf(p))
}
