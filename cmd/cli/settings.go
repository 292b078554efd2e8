package cli

import (
	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/setting"
	"asleft/config/source"
)

func newSettings(a *app) *cobra.Command {
	return a.command(verb{
		use: "settings [NAME]", group: "book",
		short:    "the vocabulary: every setting, its values, what decides it",
		long:     "Lists every setting and state of the vocabulary, or explains one: its values,\nwhat decides it, and what a wrong one looks like on the vehicle.",
		example:  "  asleft settings\n  asleft settings engine-speed.source\n  asleft settings feed.second.role --format json",
		args:     cobra.MaximumNArgs(1),
		formats:  []string{"csv"},
		statuses: []Status{NotFound},
		run:      a.settings,
	})
}

func settingNames() []string {
	var names []string
	for _, f := range setting.Families() {
		names = append(names, f.Pattern)
	}
	return names
}

func (a *app) settings(args []string) error {
	if len(args) == 0 {
		return a.print(present.Settings())
	}
	v, found := present.SettingsOf(args[0])
	if !found {
		hint := "'asleft settings' lists them all"
		if near := setting.Nearest(args[0]); near != "" {
			hint = "did you mean '" + near + "'?"
		}
		return fail(NotFound, hint, "no setting or state is called %q", source.Visible(args[0]))
	}
	return a.print(v)
}
