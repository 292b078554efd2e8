package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/rules"
	"asleft/rules/assign"
)

// what-if flags that the verbs on a job share.
type tryFlags struct {
	with    []string
	without []string
	prefer  []string
	strict  bool
	found   string
}

func newSheet(a *app) *cobra.Command {
	var f tryFlags
	c := a.command(verb{
		use: "sheet JOB", group: "job",
		short:    "the whole job sheet: settings, keying card, button plan, parts, tests",
		long:     "Prints the whole job from its description: identity, refusals and cautions, the five\nsettings that decide most, settings to set, settings left, then the keying card, the\nbutton plan, parts, tests and circuits. A refused job gets no keying card.\nIt writes nothing; 'asleft record' keeps it.",
		example:  "  asleft sheet testdata/jobs/minibus.toml\n  asleft sheet testdata/jobs/minibus.toml --from testdata/jobs/minibus.found.toml\n  asleft sheet testdata/jobs/minibus.toml --format html > minibus.html",
		args:     cobra.ExactArgs(1),
		formats:  []string{"html"},
		statuses: []Status{Refused, FactMissing},
		run: func(args []string) error {
			o, in, err := a.outcome(args[0], f)
			if err != nil {
				return err
			}
			if err := a.print(present.Sheet(o, in.from(), a.sheetStamp())); err != nil {
				return err
			}
			return answered(f.status(o))
		},
	})
	f.add(c)
	c.Flags().StringVar(&f.found, "from", "", "as-found file: key from there, not from the factory settings")
	return c
}

func newDerive(a *app) *cobra.Command {
	var f tryFlags
	c := a.command(verb{
		use: "derive JOB", group: "job",
		short:    "the settings the job needs, with reasons",
		long:     "Derives every setting: its value, whether it is forced, chosen or not applicable,\nwhether it must be set, and why. --with tries another fact without editing the file.",
		example:  "  asleft derive testdata/jobs/pickup.toml\n  asleft derive testdata/jobs/pickup.toml --with vehicle.parked=closed-space",
		args:     cobra.ExactArgs(1),
		formats:  []string{"csv", "html"},
		statuses: []Status{Refused, FactMissing},
		run: func(args []string) error {
			o, in, err := a.outcome(args[0], f)
			if err != nil {
				return err
			}
			v := present.Derived(o, a.pageStamp())
			if len(f.with) > 0 {
				asWritten, err := in.resolve(rules.Options{WithoutStart: len(f.without) > 0})
				if err != nil {
					return err
				}
				v.Tried(f.with, o, asWritten)
			}
			if err := a.print(v); err != nil {
				return err
			}
			return answered(f.status(o))
		},
	})
	f.add(c)
	return c
}

func newButtons(a *app) *cobra.Command {
	var f tryFlags
	var why string
	c := a.command(verb{
		use: "buttons JOB", group: "job",
		short:    "the button plan: which gesture on which remote works what, and the parts it takes",
		long:     "Works out which gesture on which remote fires which output, provably best: every\nfunction reached, guards kept, least parts, the same gesture on all remotes, the\neasiest gestures for what is used most.",
		example:  "  asleft buttons testdata/jobs/minibus.toml\n  asleft buttons testdata/jobs/minibus.toml --why ramp\n  asleft buttons testdata/jobs/minibus.toml --prefer big.kerb-side-door=star-dot-hold",
		args:     cobra.ExactArgs(1),
		formats:  []string{"csv", "html"},
		statuses: []Status{Refused, NotFound, FactMissing},
		run: func(args []string) error {
			o, _, err := a.outcome(args[0], f)
			if err != nil {
				return err
			}
			if why != "" {
				e, err := o.WhyButton(why)
				if err != nil {
					return fail(NotFound, "'asleft buttons JOB' lists the functions", "%v", err)
				}
				return a.print(present.WhyButton(e))
			}
			if err := a.print(present.Buttons(o, a.pageStamp())); err != nil {
				return err
			}
			return answered(f.status(o))
		},
	})
	f.add(c)
	c.Flags().StringVar(&why, "why", "", "explain one function: why this button, what the next best would cost")
	c.Flags().StringArrayVar(&f.prefer, "prefer", nil, "try remote.function=gesture without editing the file (repeatable)")
	return c
}

func (f *tryFlags) add(c *cobra.Command) {
	c.Flags().StringArrayVar(&f.with, "with", nil, "try fact=value without editing the file (repeatable); shows no keying card")
	c.Flags().StringArrayVar(&f.without, "without", nil, "leave out: start (remote start keyed off)")
	c.Flags().BoolVar(&f.strict, "strict", false, "status 3 also when a wish could not be met or a function was refused")
}

// status is that of the outcome; with --strict a wish that is not met counts as a refusal.
func (f *tryFlags) status(o *rules.Outcome) Status {
	if s := statusOfOutcome(o); s != Done {
		return s
	}
	if f.strict && (len(o.Derived.NotMet) > 0 || len(o.Plan.NotReached) > 0 || len(o.Plan.Refused) > 0) {
		return Refused
	}
	return Done
}

// outcome loads the job and resolves it with the flags.
func (a *app) outcome(path string, f tryFlags) (*rules.Outcome, *install, error) {
	options, err := f.options()
	if err != nil {
		return nil, nil, err
	}
	in, err := a.load(path)
	if err != nil {
		return nil, nil, err
	}
	if f.found != "" {
		if err := in.readFound(f.found); err != nil {
			return nil, nil, err
		}
	}
	o, err := in.resolve(options)
	return o, in, err
}

func (f *tryFlags) options() (rules.Options, error) {
	o := rules.Options{With: map[string]string{}}
	for _, what := range f.without {
		if what != "start" {
			return o, fail(BadInput, "the one thing that can be left out is 'start'", "--without %s", what)
		}
		o.WithoutStart = true
	}
	for _, pair := range f.with {
		fact, value, ok := cutPair(pair)
		if !ok {
			return o, fail(BadInput, "for example --with vehicle.parked=closed-space", "--with %q is not fact=value", pair)
		}
		o.With[fact] = value
	}
	for _, wish := range f.prefer {
		place, gesture, ok := cutPair(wish)
		remote, function, both := strings.Cut(place, ".")
		if !ok || !both {
			return o, fail(BadInput, "for example --prefer big.ramp=star-hold", "--prefer %q is not remote.function=gesture", wish)
		}
		o.Prefer = append(o.Prefer, assign.Preference{Remote: remote, Function: function, Gesture: gesture})
	}
	return o, nil
}
