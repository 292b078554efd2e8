package cli

import (
	"bufio"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/job"
	"asleft/config/record"
	"asleft/config/setting"
	"asleft/config/source"
)

// writeFlags are what every verb that writes an entry has.
type writeFlags struct {
	reason, entry string
	dryRun        bool
}

func (w *writeFlags) add(a *app, c *cobra.Command) {
	addBy(a, c)
	c.Flags().StringVar(&w.reason, "reason", "", "why")
	c.Flags().StringVar(&w.entry, "entry", "", "the entry's number, drawn by you before the first try: a retry then makes no double")
	c.Flags().BoolVar(&w.dryRun, "dry-run", false, "print what would be written, and write nothing")
}

// how is the way to open the record: a dry run only looks.
func (w *writeFlags) how(writing use) use {
	if w.dryRun {
		return toLook
	}
	return writing
}

// write records a draft and tells what was written; with --dry-run it only tells.
func (a *app) write(ctx context.Context, b *record.Book, d record.Draft, w writeFlags) error {
	if w.reason != "" {
		d.Reason = w.reason
	}
	if w.entry != "" {
		id, err := record.ParseID(w.entry)
		if err != nil {
			return fail(BadInput, "32 hexadecimal digits, for example from 'openssl rand -hex 16'", "--entry %s: %v", source.Visible(w.entry), err)
		}
		d.Identity = id
	}
	if w.dryRun {
		d, err := b.Try(ctx, d)
		if err != nil {
			return err
		}
		return a.print(present.Intended(d))
	}
	if d.Identity.IsZero() {
		var err error
		if d.Identity, err = record.NewID(rand.Reader); err != nil {
			return err
		}
	}
	r, err := b.Record(ctx, d)
	if err != nil {
		return retryable(err, d.Identity)
	}
	return a.print(present.Written(r))
}

// retryable adds to a fault of the machine how the same command is given again without a double:
// after such a fault nobody can be sure whether the entry stands.
func retryable(err error, identity record.ID) error {
	var file *record.FileError
	var late *record.AfterError
	if !errors.As(err, &file) || errors.As(err, &late) {
		return err
	}
	return &failure{status: statusOfFile(file.Class), err: err, hint: file.Hint() + "; with --entry " + identity.String() + " it cannot be written twice"}
}

// vehicleEntry is a verb that writes one entry about a vehicle: the first argument is a job file, or
// what the vehicle is found by. draft makes the entry out of the other arguments.
func (a *app) vehicleEntry(v verb, flags func(*cobra.Command), draft func(ctx context.Context, b *record.Book, vehicle record.ID, args []string) (record.Draft, error)) *cobra.Command {
	var w writeFlags
	v.statuses = append(v.statuses, NotFound)
	v.run = func(args []string) error {
		policy, err := a.policyBeside(args[0])
		if err != nil {
			return err
		}
		by, err := a.writer(policy)
		if err != nil {
			return err
		}
		return a.withBook(w.how(toWrite), func(ctx context.Context, b *record.Book) error {
			id, err := a.target(ctx, b, args[0], record.Writing)
			if err != nil {
				return err
			}
			d, err := draft(ctx, b, id, args[1:])
			if err != nil {
				return err
			}
			d.Vehicle, d.By = id, by
			return a.write(ctx, b, d, w)
		})
	}
	c := a.command(v)
	w.add(a, c)
	if flags != nil {
		flags(c)
	}
	return c
}

// policyBeside reads the policy that a job file names, so that its shop can say who writes.
func (a *app) policyBeside(word string) (*job.Policy, error) {
	if !strings.HasSuffix(word, ".toml") {
		return nil, nil
	}
	in, err := a.load(word)
	if err != nil {
		return nil, err
	}
	return in.policy, nil
}

// pairs reads NAME=VALUE arguments.
func pairs(args []string) (map[string]string, error) {
	out := map[string]string{}
	for _, arg := range args {
		name, value, ok := cutPair(arg)
		if !ok {
			return nil, fail(BadInput, "for example odometer=61240", "%q is not NAME=VALUE", source.Visible(arg))
		}
		out[name] = value
	}
	return out, nil
}

func recordStates(a *app) *cobra.Command {
	return a.vehicleEntry(verb{
		use: "states VEHICLE DEVICE/STATE=VALUE...", short: "states that are no settings: valet, learned speed, paired remotes",
		long:    "Notes states of the devices, as found or as left: valet, learned-hz, paired-remotes,\nlearned-keys, run-counter, exit-proof, firmware. 'asleft settings' lists them.",
		example: "  asleft record states 'bus 1' controller/valet=off controller/learned-hz=46.7 --by T.V.", args: cobra.MinimumNArgs(2),
	}, nil, func(_ context.Context, _ *record.Book, _ record.ID, args []string) (record.Draft, error) {
		given, err := pairs(args)
		if err != nil {
			return record.Draft{}, err
		}
		var states []setting.StateReading
		for _, name := range sortedNames(given) {
			r, err := stateReading(name, given[name])
			if err != nil {
				return record.Draft{}, err
			}
			states = append(states, r)
		}
		snap, err := setting.NewSnapshot(nil, states)
		if err != nil {
			return record.Draft{}, fail(BadInput, "", "%v", err)
		}
		return record.Draft{Kind: record.States, Snapshot: &snap, Data: map[string]string{"text": joined(args)}}, nil
	})
}

func stateReading(name, value string) (setting.StateReading, error) {
	device, state, both := strings.Cut(name, "/")
	if !both {
		return setting.StateReading{}, fail(BadInput, "for example controller/valet=off", "%q is not DEVICE/STATE", source.Visible(name))
	}
	known, ok := setting.FindState(state)
	if !ok {
		return setting.StateReading{}, fail(BadInput, "'asleft settings' lists the states", "there is no state %q", source.Visible(state))
	}
	if value == "unknown" {
		return setting.StateReading{Device: device, State: state, Status: setting.StatusUnknown}, nil
	}
	v, err := known.Parse(value)
	if err != nil {
		return setting.StateReading{}, fail(BadInput, "expected "+known.Expected(), "%s: %v", state, err)
	}
	return setting.StateReading{Device: device, State: state, Value: v, Status: setting.StatusKnown}, nil
}

func recordFitted(a *app) *cobra.Command {
	return a.vehicleEntry(verb{
		use: "fitted VEHICLE NAME=VALUE...", short: "parts fitted: serials, firmware, places, joins, fuses",
		long:    "Notes what was fitted. Names are your own words of small letters, digits, dots and\ndashes: relay.k1.place=left-kick-panel. A hidden place belongs under 'asleft record keep'.",
		example: "  asleft record fitted 'bus 1' controller.serial=A6-00417 fuse.main=c9-01-15A --by T.V.", args: cobra.MinimumNArgs(2),
	}, nil, func(_ context.Context, _ *record.Book, _ record.ID, args []string) (record.Draft, error) {
		data, err := pairs(args)
		return record.Draft{Kind: record.Fitted, Data: data}, err
	})
}

// words are verbs whose words are one text under one name.
func (a *app) textEntry(v verb, kind record.Kind, name string, flags func(*cobra.Command), more func() (map[string]string, error)) *cobra.Command {
	return a.vehicleEntry(v, flags, func(_ context.Context, _ *record.Book, _ record.ID, args []string) (record.Draft, error) {
		data := map[string]string{}
		if more != nil {
			var err error
			if data, err = more(); err != nil {
				return record.Draft{}, err
			}
		}
		data[name] = strings.Join(args, " ")
		return record.Draft{Kind: kind, Data: withoutEmpty(data)}, nil
	})
}

func recordNote(a *app) *cobra.Command {
	return a.textEntry(verb{
		use: "note VEHICLE WORDS...", short: "anything else worth keeping", long: "Keeps a note about the vehicle.",
		example: "  asleft record note 'bus 1' second battery under the driver seat --by T.V.", args: cobra.MinimumNArgs(2),
	}, record.Note, "text", nil, nil)
}

func recordShown(a *app) *cobra.Command {
	return a.textEntry(verb{
		use: "shown VEHICLE WHAT...", short: "what was shown to a person, and done by them",
		long:    "Keeps what was shown to the owner: the emergency disarm, the card. For a secret use\n'asleft record reveal', which records the showing itself.",
		example: "  asleft record shown 'bus 1' emergency disarm, done once by M.O. --by T.V.", args: cobra.MinimumNArgs(2),
	}, record.Shown, "what", nil, nil)
}

func recordHandedOver(a *app) *cobra.Command {
	return a.textEntry(verb{
		use: "handed-over VEHICLE SHEET...", short: "which sheet was handed over", long: "Keeps which sheet went with the vehicle: its code as printed.",
		example: "  asleft record handed-over 'bus 1' customer card of 2026-11-25 --by T.V.", args: cobra.MinimumNArgs(2),
	}, record.HandedOver, "sheet", nil, nil)
}

func recordComeback(a *app) *cobra.Command {
	var safety bool
	return a.textEntry(verb{
		use: "comeback VEHICLE COMPLAINT...", short: "the vehicle came back with a complaint",
		long:    "Opens a comeback. --safety marks a complaint about safety: remote start is set off before\nthe car leaves the desk, and no button is told until the comeback is closed.",
		example: "  asleft record comeback 'bus 1' does not stop at the brake --safety --by J.K.", args: cobra.MinimumNArgs(2),
	}, record.Comeback, "complaint", func(c *cobra.Command) {
		c.Flags().BoolVar(&safety, "safety", false, "the complaint is about safety")
	}, func() (map[string]string, error) {
		if safety {
			return map[string]string{"safety": "yes"}, nil
		}
		return map[string]string{}, nil
	})
}

func recordSameAs(a *app) *cobra.Command {
	return a.vehicleEntry(verb{
		use: "same-as VEHICLE OTHER", short: "two vehicles of the record are one", long: "Joins two vehicles that were opened apart; from then on they have one history.",
		example: "  asleft record same-as 'bus 1' TCW014 --by T.V.", args: cobra.ExactArgs(2),
	}, nil, func(ctx context.Context, b *record.Book, _ record.ID, args []string) (record.Draft, error) {
		other, err := a.target(ctx, b, args[0], record.Writing)
		return record.Draft{Kind: record.SameAs, Data: map[string]string{"same-as": other.String()}}, err
	})
}

func recordKeep(a *app) *cobra.Command {
	var personal []string
	var secret string
	return a.vehicleEntry(verb{
		use: "keep VEHICLE", short: "personal values and secrets, sealed beside the log",
		long:    "Keeps personal values (--personal customer=NAME) and secrets (--secret override-code; its\nvalue is read from standard input, never from the command line), sealed under keys of the\nvehicle. Fields of secrets are override-code, resistor and hidden-place, where there are several\nwith a name after a dot: hidden-place.tracker. 'asleft record erase' removes personal values for\ngood; 'reveal' opens a secret, 'owner-sheet' prints them for the owner.",
		example: "  asleft record keep 'bus 1' --personal customer='M.O.' --by T.V.\n  asleft record keep 'bus 1' --secret override-code --by T.V. < code.txt", args: cobra.ExactArgs(1),
	}, func(c *cobra.Command) {
		c.Flags().StringArrayVar(&personal, "personal", nil, "a personal value, FIELD=VALUE (repeatable)")
		c.Flags().StringVar(&secret, "secret", "", "field of a secret; its value is the first line of standard input")
	}, func(ctx context.Context, b *record.Book, id record.ID, _ []string) (record.Draft, error) {
		d := record.Draft{Kind: record.Note, Vehicle: id, Data: map[string]string{"text": "values kept"}}
		var err error
		if d.Personal, err = pairs(personal); err != nil {
			return d, err
		}
		if strings.ContainsAny(secret, "= ") { // the value may stand there: it is not told again
			return d, fail(BadInput, "--secret FIELD alone; its value is the first line of standard input", "a secret's value is never given on the command line, which others can read")
		}
		if secret != "" {
			line := bufio.NewScanner(a.In)
			scanned := line.Scan()
			if err := line.Err(); err != nil {
				return d, fail(Broken, "nothing was written; type it, or send it through another pipe", "standard input cannot be read: %v", err)
			}
			if !scanned || strings.TrimSpace(line.Text()) == "" {
				return d, fail(BadInput, "type it, or send it through a pipe", "no value for the secret %q on standard input", secret)
			}
			d.Secrets = map[string]string{secret: strings.TrimSpace(line.Text())}
		}
		if len(d.Personal)+len(d.Secrets) == 0 {
			return d, fail(BadInput, "--personal FIELD=VALUE, or --secret FIELD", "nothing to keep")
		}
		return d, a.tellInClear(ctx, b, d)
	})
}

// tellInClear says where a value that is to be sealed stands in the clear already.
func (a *app) tellInClear(ctx context.Context, b *record.Book, d record.Draft) error {
	items, err := b.InClear(ctx, d)
	if err != nil || len(items) == 0 {
		return err
	}
	var entries []string
	for _, item := range items {
		entries = append(entries, item.Identity.String()[:8])
	}
	fmt.Fprintf(a.Err, "asleft: hint: what is sealed now stands in the clear in what was written before (entry %s), and nothing is overwritten: have a code changed, or a place moved\n", joined(entries))
	return nil
}
