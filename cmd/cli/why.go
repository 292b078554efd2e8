package cli

import (
	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules"
	"asleft/rules/derive"
)

func newWhy(a *app) *cobra.Command {
	var f tryFlags
	c := a.command(verb{
		use: "why JOB SETTING", group: "job",
		short:    "why a setting has its value: the chain from measured facts",
		long:     "Tells why a setting has its value: the rules that decided, the facts they read with their\nplaces in the files, what lost and to what, and what would have to change.",
		example:  "  asleft why testdata/jobs/minibus.toml feed.second.role\n  asleft why testdata/jobs/minibus.toml run.minutes",
		args:     cobra.ExactArgs(2),
		statuses: []Status{NotFound},
		run: func(args []string) error {
			o, _, err := a.outcome(args[0], f)
			if err != nil {
				return err
			}
			v, err := whyView(o, args[1])
			if err != nil {
				return err
			}
			return a.print(v)
		},
	})
	c.Flags().StringArrayVar(&f.with, "with", nil, "try fact=value without editing the file (repeatable)")
	return c
}

// whyView explains every instance of a setting: the same name may stand on several devices.
func whyView(o *rules.Outcome, name string) (present.WhyView, error) {
	var settings []derive.Setting
	var names []string
	for _, s := range o.Derived.Settings {
		if s.Key.Setting == name {
			settings = append(settings, s)
		}
		names = append(names, s.Key.Setting)
	}
	if len(settings) > 0 {
		return present.Why(o, settings), nil
	}
	hint := "'asleft derive JOB' lists the settings of this job"
	near := source.Nearest(name, names)
	if near == "" {
		near = setting.Nearest(name)
	}
	if near != "" {
		hint = "did you mean '" + near + "'?"
	}
	return present.WhyView{}, fail(NotFound, hint, "this job has no setting %q", source.Visible(name))
}
