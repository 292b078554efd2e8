package cli

import (
	"context"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/record"
	"asleft/rules"
)

func newRecord(a *app) *cobra.Command {
	c := &cobra.Command{
		Use: "record", GroupID: "record",
		Short: "write and read the record of a vehicle: as found, required, as left",
		Long: `The record is one append-only file a laptop (a book): --record, ASLEFT_RECORD, or the
user's data folder. Nothing in it is ever overwritten, and 'asleft record verify' proves it.
Everything that writes is under this verb, and names who (--by).

` + exitText(NotVerified, NotFound, NoWitness),
		Example: "  asleft record open testdata/jobs/minibus.toml --by T.V.\n  asleft record found testdata/jobs/minibus.toml testdata/jobs/minibus.found.toml --by T.V.\n  asleft record derive testdata/jobs/minibus.toml --by T.V.\n  asleft record left testdata/jobs/minibus.toml --by T.V.\n  asleft record verify",
		Args:    usage(cobra.NoArgs),
		RunE:    func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(
		recordOpen(a), recordFound(a), recordMeasured(a), recordDerive(a), recordKeyed(a), recordLeft(a),
		recordStates(a), recordFitted(a), recordTested(a), recordShown(a), recordHandedOver(a), recordNote(a), recordKeep(a),
		recordComeback(a), recordObserved(a), recordCause(a), recordCorrect(a), recordClose(a), recordSameAs(a),
		recordReveal(a), recordOwnerSheet(a), recordErase(a),
		recordShow(a), recordLog(a), recordList(a), recordSearch(a), recordCode(a), recordVerify(a),
		recordExtract(a), recordExport(a), recordImport(a), recordBackup(a), recordRestore(a), recordRenew(a),
	)
	return c
}

// jobEntry is a verb that writes one entry about the vehicle of a job.
func (a *app) jobEntry(v verb, how use, draft func(ctx context.Context, b *record.Book, in *install, args []string) (record.Draft, error)) *cobra.Command {
	var w writeFlags
	v.statuses = append(v.statuses, NotFound)
	v.run = func(args []string) error {
		in, err := a.load(args[0])
		if err != nil {
			return err
		}
		by, err := a.writer(in.policy)
		if err != nil {
			return err
		}
		if w.dryRun && how == toStart && a.noRecord() {
			return a.print(present.Intended(openedDraft(in, record.ID{}, by)))
		}
		return a.withBook(w.how(how), func(ctx context.Context, b *record.Book) error {
			d, err := draft(ctx, b, in, args)
			if err != nil {
				return err
			}
			d.By = by
			return a.write(ctx, b, d, w)
		})
	}
	c := a.command(v)
	w.add(a, c)
	return c
}

func recordOpen(a *app) *cobra.Command {
	return a.jobEntry(verb{
		use: "open JOB", short: "open a job: the vehicle came in, with its intake",
		long:    "Opens a job on a vehicle. A vehicle that the record already knows (VIN, plate, fleet\nnumber, label) gets a new job; else it gets a number of its own.",
		example: "  asleft record open testdata/jobs/minibus.toml --by T.V.", args: cobra.ExactArgs(1),
	}, toStart, func(ctx context.Context, b *record.Book, in *install, _ []string) (record.Draft, error) {
		vehicle, err := knownVehicle(ctx, b, in)
		return openedDraft(in, vehicle, ""), err
	})
}

// openedDraft is the entry that opens a job; a vehicle that is new has no number yet.
func openedDraft(in *install, vehicle record.ID, by string) record.Draft {
	return record.Draft{
		Kind: record.Opened, Vehicle: vehicle, By: by,
		Attributes: attributesOf(in.job), Data: intakeData(in.job), Documents: in.documents(),
	}
}

func recordFound(a *app) *cobra.Command {
	return a.jobEntry(verb{
		use: "found JOB FOUND", short: "the settings as found, before a tool is lifted",
		long:    "Keeps the settings and states as found, from an as-found file.",
		example: "  asleft record found testdata/jobs/minibus.toml testdata/jobs/minibus.found.toml --by T.V.", args: cobra.ExactArgs(2),
	}, toWrite, func(ctx context.Context, b *record.Book, in *install, args []string) (record.Draft, error) {
		d := record.Draft{Kind: record.Found}
		if err := in.readFound(args[1]); err != nil {
			return d, err
		}
		if _, err := in.resolve(rules.Options{}); err != nil { // an as-found file that the devices cannot hold is refused here
			return d, err
		}
		d.Snapshot = &in.found.Snapshot
		vehicle, err := vehicleOf(ctx, b, in.job)
		d.Vehicle = vehicle
		return d, err
	})
}

func recordMeasured(a *app) *cobra.Command {
	return a.jobEntry(verb{
		use: "measured JOB", short: "the circuits as measured, with their conditions",
		long:    "Keeps the measured circuits of the job: volts in each position, the battery's volts\nat that moment, the conditions, and the role that follows.",
		example: "  asleft record measured testdata/jobs/minibus.toml --by T.V.", args: cobra.ExactArgs(1),
	}, toWrite, func(ctx context.Context, b *record.Book, in *install, _ []string) (record.Draft, error) {
		d := record.Draft{Kind: record.Measured, Data: measuredData(in.job), Documents: in.documents()}
		vehicle, err := vehicleOf(ctx, b, in.job)
		d.Vehicle = vehicle
		return d, err
	})
}

func recordDerive(a *app) *cobra.Command {
	return a.jobEntry(verb{
		use: "derive JOB", short: "the settings required by today's rules, or the refusal",
		long:    "Derives the job and keeps what it requires, with the job, the profiles, the policy, the\nbutton plan and the rule base, so that the entry answers when the files are gone.\nA refused job is kept as refused.",
		example: "  asleft record derive testdata/jobs/minibus.toml --by T.V.", args: cobra.ExactArgs(1),
	}, toWrite, func(ctx context.Context, b *record.Book, in *install, _ []string) (record.Draft, error) {
		o, err := in.resolve(rules.Options{})
		if err != nil {
			return record.Draft{}, err
		}
		vehicle, err := vehicleOf(ctx, b, in.job)
		if err != nil {
			return record.Draft{}, err
		}
		if o.Refused() {
			return refusedDraft(vehicle, o, in), nil
		}
		required := o.Required()
		return record.Draft{
			Kind: record.Derived, Vehicle: vehicle, Snapshot: &required,
			Data: outcomeData(o), Documents: append(in.documents(), planDocument(o, o), testsDocument(o)),
		}, nil
	})
}

func recordKeyed(a *app) *cobra.Command {
	return a.jobEntry(verb{
		use: "keyed JOB", short: "the settings as keyed by the card", long: "Keeps what the keying cards bring about, when they were followed to their end.",
		example: "  asleft record keyed testdata/jobs/minibus.toml --by T.V.", args: cobra.ExactArgs(1), statuses: []Status{Refused},
	}, toWrite, func(ctx context.Context, b *record.Book, in *install, _ []string) (record.Draft, error) {
		vehicle, o, err := a.resolved(ctx, b, in, rules.Options{})
		if err != nil {
			return record.Draft{}, err
		}
		keyed, err := a.leftSnapshot(ctx, b, vehicle, in, o, nil)
		return record.Draft{Kind: record.Keyed, Vehicle: vehicle, Snapshot: &keyed, Data: outcomeData(o)}, err
	})
}

// resolved is the vehicle of a job, and what follows from the job.
func (a *app) resolved(ctx context.Context, b *record.Book, in *install, options rules.Options) (record.ID, *rules.Outcome, error) {
	vehicle, err := vehicleOf(ctx, b, in.job)
	if err != nil {
		return vehicle, nil, err
	}
	o, err := in.resolve(options)
	return vehicle, o, err
}
