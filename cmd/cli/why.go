package cli

import (
	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/setting"
	"asleft/rules"
)

func newWhy(a *app) *cobra.Command {
	var f tryFlags
	var all bool
	c := a.command(verb{
		use: "why JOB [SETTING [VALUE]]", group: "job",
		short:    "why a setting has its value, why not another, and what would cure a refusal",
		long:     "With SETTING, tells the chain from measured facts to its value; with VALUE too, the least\nset of facts, wishes and rules that forbids that value, each with its place. Without\nSETTING, tells what is refused and the cheapest changes that would make it work, each\nderived again to show that it does. DEVICE/SETTING names one of several devices.",
		example:  "  asleft why testdata/jobs/minibus.toml feed.second.role\n  asleft why testdata/jobs/minibus.toml run.minutes 15 --all\n  asleft why testdata/jobs/refused-no-brake.toml",
		args:     cobra.RangeArgs(1, 3),
		statuses: []Status{Refused, FactMissing},
		run: func(args []string) error {
			o, _, err := a.outcome(args[0], f)
			if err != nil {
				return err
			}
			switch len(args) {
			case 1:
				return a.whyRefused(o)
			case 2:
				e, err := o.Why(rules.KeyOf(args[1]))
				if err != nil {
					return err
				}
				return a.print(present.Why(e, o.Job))
			default:
				n, err := o.WhyNot(rules.KeyOf(args[1]), setting.Value(args[2]), all)
				if err != nil {
					return err
				}
				return a.print(present.WhyNot(n))
			}
		},
	})
	c.Flags().StringArrayVar(&f.with, "with", nil, "try fact=value without editing the file (repeatable)")
	c.Flags().BoolVar(&all, "all", false, "every least set that forbids the value, not only the first")
	return c
}

// whyRefused tells what is refused, and what would cure it.
func (a *app) whyRefused(o *rules.Outcome) error {
	v := present.Refusals(o, a.stamp())
	for _, scope := range o.Failed() {
		repairs, whole, err := o.Repairs(scope)
		if err != nil {
			return err
		}
		v.Failed = append(v.Failed, present.Failure(scope, repairs, whole))
	}
	if err := a.print(v); err != nil {
		return err
	}
	return answered(statusOfOutcome(o))
}
