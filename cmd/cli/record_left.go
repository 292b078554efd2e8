package cli

import (
	"context"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"asleft/config/job"
	"asleft/config/record"
	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules"
)

func recordLeft(a *app) *cobra.Command {
	var without []string
	c := a.jobEntry(verb{
		use: "left JOB [LEFT]", short: "the settings as left",
		long:    "Keeps the settings as left: what the job requires, as keyed by the cards, or what a file of\nsettings read out afterwards says. As left comes only after as found. A value that differs\nfrom the derived one is an override: it needs a reason, and what a policy limit or a higher\nlevel fixed, or a safety rule reads, cannot be overridden.\n\n--without says what was set off, because its safety test failed or was not done: start (keyed\noff), the name of a function (its output unplugged), or lock (the lock output unplugged).",
		example: "  asleft record left testdata/jobs/minibus.toml --by T.V.\n  asleft record left testdata/jobs/minibus.toml left.toml --reason 'asked for by M.O.' --by T.V.\n  asleft record left testdata/jobs/minibus.toml --without start --without ramp --by T.V.", args: cobra.RangeArgs(1, 2), statuses: []Status{Refused},
	}, toWrite, func(ctx context.Context, b *record.Book, in *install, args []string) (record.Draft, error) {
		setOff, options, err := leftOff(in.job, without)
		if err != nil {
			return record.Draft{}, err
		}
		vehicle, o, err := a.resolved(ctx, b, in, options)
		if err != nil {
			return record.Draft{}, err
		}
		whole := o
		if options.WithoutStart { // the tests that apply are those of the job with its start
			if whole, err = in.resolve(rules.Options{}); err != nil {
				return record.Draft{}, err
			}
		}
		left, err := a.leftSnapshot(ctx, b, vehicle, in, o, args[1:])
		if err != nil {
			return record.Draft{}, err
		}
		changes, fixed := overrides(o, left)
		return record.Draft{
			Kind: record.Left, Vehicle: vehicle, Snapshot: &left, Changes: changes, Fixed: fixed,
			Data: leftData(o, setOff), Documents: append(in.documents(), planDocument(o, whole), testsDocument(whole)),
		}, nil
	})
	c.Flags().StringArrayVar(&without, "without", nil, "what was set off: start, a function's name, or lock (repeatable)")
	return c
}

// lockFeature is what the record calls the lock output as a thing that is set off.
const lockFeature = "lock-feature"

// leftOff reads what was set off beside what the rules refuse, in the record's names.
func leftOff(j *job.Job, without []string) (off []string, o rules.Options, err error) {
	names := []string{"start", "lock"}
	for _, f := range j.Functions {
		names = append(names, f.Name)
	}
	for _, what := range without {
		switch {
		case !slices.Contains(names, what):
			hint := "what can be set off here: " + joined(names)
			if near := source.Nearest(what, names); near != "" {
				hint = "did you mean '" + near + "'?"
			}
			return nil, o, fail(BadInput, hint, "--without %s: no such thing in this job", source.Visible(what))
		case what == "start":
			o.WithoutStart = true
		case what == "lock":
			off = append(off, lockFeature)
		default:
			off = append(off, "function:"+what)
		}
	}
	return off, o, nil
}

// leftSnapshot is what the cards leave of what was found, or what a read-out file says.
func (a *app) leftSnapshot(ctx context.Context, b *record.Book, vehicle record.ID, in *install, o *rules.Outcome, file []string) (setting.Snapshot, error) {
	if len(file) == 1 {
		if err := in.readFound(file[0]); err != nil {
			return setting.Snapshot{}, err
		}
		return in.found.Snapshot, nil
	}
	if !o.Gate.Open {
		return setting.Snapshot{}, fail(Refused, "cure what is refused, leave out remote start with --without start, or name a file of settings as read out", "no keying card exists for this job, so nothing can have been left by it")
	}
	h, err := b.History(ctx, vehicle)
	if err != nil {
		return setting.Snapshot{}, err
	}
	found, _, err := h.Snapshot("found")
	if err != nil {
		return setting.Snapshot{}, err
	}
	left, keyed := afterFound(o.Leaves(), found)
	if len(keyed) > 0 {
		fmt.Fprintf(a.Err, "asleft: hint: as found, not at the factory value: %s; the card that sets these too is that of 'asleft key JOB --from FOUND'\n", joined(keyed))
	}
	return left, nil
}

// afterFound says of what a card from the factory settings leaves alone how it came to be: found like
// that, or keyed, because something else was found. Those that were keyed are named.
func afterFound(left, found setting.Snapshot) (setting.Snapshot, []string) {
	var keyed []string
	for i := range left.Readings {
		r := &left.Readings[i]
		was, read := found.Get(r.Key)
		switch {
		case r.Origin != setting.OriginFactory || !read || was.Status != setting.StatusKnown:
		case was.Value == r.Value:
			r.Origin = was.Origin
		default:
			r.Origin = setting.OriginKeyed
			keyed = append(keyed, r.Device+" "+r.Setting)
		}
	}
	return left, keyed
}

// overrides are the values as left that differ from the derived ones, and what nobody may override.
func overrides(o *rules.Outcome, left setting.Snapshot) ([]record.Change, map[setting.Key]string) {
	var changes []record.Change
	fixed := map[setting.Key]string{}
	for _, s := range o.Derived.Settings {
		if level := o.Fixed(s); level != "" {
			fixed[s.Key] = level
		}
		r, ok := left.Get(s.Key)
		if ok && r.Status == setting.StatusKnown && s.Value != "" && r.Value != s.Value {
			changes = append(changes, record.Change{Device: s.Key.Device, Setting: s.Key.Setting, From: s.Value, To: r.Value, Override: true})
		}
	}
	return changes, fixed
}
