package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/record"
	"asleft/config/source"
)

// bookVerb is a verb on the whole record, by a named person.
func (a *app) bookVerb(v verb, how use, run func(ctx context.Context, b *record.Book, who record.Who, args []string) error) *cobra.Command {
	var reason string
	v.run = func(args []string) error {
		by, err := a.writer(nil)
		if err != nil {
			return err
		}
		return a.withBook(how, func(ctx context.Context, b *record.Book) error {
			return run(ctx, b, record.Who{By: by, Reason: reason}, args)
		})
	}
	c := a.command(v)
	addBy(a, c)
	c.Flags().StringVar(&reason, "reason", "", "why")
	return c
}

// fresh refuses a file that is there already: nothing is overwritten.
func fresh(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return fail(BadInput, "name a file that is not there yet", "%s is there already", source.Visible(path))
	}
	return nil
}

func recordExtract(a *app) *cobra.Command {
	return a.bookVerb(verb{
		use: "extract VEHICLE FILE", short: "one vehicle's entries with proofs, in one file that verifies elsewhere",
		long:    "Writes one file with the vehicle's entries, their inclusion proofs and the signed\ncheckpoint; 'asleft record verify FILE' checks it on another machine without the record.",
		example: "  asleft record extract 'bus 1' bus1.extract --by T.V.", args: cobra.ExactArgs(2), statuses: []Status{NotVerified, NotFound},
	}, toWrite, func(ctx context.Context, b *record.Book, who record.Who, args []string) error {
		if err := fresh(args[1]); err != nil {
			return err
		}
		id, err := a.target(ctx, b, args[0], record.Looking)
		if err != nil {
			return err
		}
		if err := b.ExtractFile(ctx, id, record.Copy{File: args[1], By: who.By, Why: who.Reason}); err != nil {
			return err
		}
		return a.print(present.Done("extract", args[1], "'asleft record verify "+args[1]+"' checks it anywhere"))
	})
}

func recordExport(a *app) *cobra.Command {
	var o record.ExportOptions
	var csv bool
	c := a.bookVerb(verb{
		use: "export FILE", short: "this laptop's book for another one, or all settings for a spreadsheet", long: "Writes the book as lines of JSON: canonical bytes, signatures, documents. Secrets never leave\nthe record; personal values only with --personal.\n\n--csv writes the settings as left of every vehicle instead, one a line (RFC 4180), no cell of\nwhich a spreadsheet takes for a formula.",
		example: "  asleft record export bay2.book --by T.V.\n  asleft record export settings.csv --csv --by T.V.", args: cobra.ExactArgs(1), statuses: []Status{NotVerified},
	}, toWrite, func(ctx context.Context, b *record.Book, who record.Who, args []string) error {
		if err := fresh(args[0]); err != nil {
			return err
		}
		if csv && (o.Personal || o.All) {
			return fail(BadInput, "leave out the other flag", "--csv writes settings as left and nothing else: neither --personal nor --all goes with it")
		}
		if csv {
			return a.exportSettings(ctx, b, who, args[0])
		}
		bar := a.bar("export")
		o.Progress = bar.Step
		err := b.ExportFile(ctx, record.Copy{File: args[0], By: who.By, Why: who.Reason}, o)
		bar.End()
		if err != nil {
			return err
		}
		return a.print(present.Done("export", args[0], "'asleft record import "+args[0]+"' takes it in on another laptop"))
	})
	c.Flags().BoolVar(&o.Personal, "personal", false, "with the personal values and their keys: guard the file as the record itself")
	c.Flags().BoolVar(&o.All, "all", false, "also the books of other laptops in this record")
	c.Flags().BoolVar(&csv, "csv", false, "the settings as left of every vehicle, as comma-separated values")
	return c
}

// exportSettings writes the settings as left of every vehicle for a spreadsheet.
func (a *app) exportSettings(ctx context.Context, b *record.Book, who record.Who, path string) error {
	all, err := b.List(ctx)
	if err != nil {
		return err
	}
	var v present.AllSettingsView
	for _, s := range all {
		state, err := b.State(ctx, s.Vehicle, time.Time{})
		if err != nil {
			return err
		}
		v.Add(state, s.Label())
	}
	made := record.Copy{What: "settings", File: path, By: who.By, Why: who.Reason}
	err = b.MakeCopy(ctx, made, record.ID{}, func(w io.Writer) error { return present.CSV(w, v.Page()) })
	if err != nil {
		return err
	}
	return a.print(present.Done("settings", path, fmt.Sprintf("%d settings of %d vehicles", len(v.Settings), len(all))))
}

func recordImport(a *app) *cobra.Command {
	var o record.ImportOptions
	var proof string
	c := a.bookVerb(verb{
		use: "import FILE", short: "another laptop's book, checked, as a book of its own",
		long:    "Takes another laptop's book in, checked from the first entry to the signed checkpoint and\nnever rewritten. A fork or a rollback comes to light here; then nothing is taken, and a note with the\nproof is. --proof FILE keeps the proof of a fork as a file: 'asleft record verify FILE' checks it anywhere, without any record.",
		example: "  asleft record import bay2.book --by T.V.", args: cobra.ExactArgs(1), statuses: []Status{NotVerified},
	}, toStart, func(ctx context.Context, b *record.Book, who record.Who, args []string) error {
		if proof != "" {
			if err := fresh(proof); err != nil {
				return err
			}
		}
		bar := a.bar("import")
		o.By, o.Reason, o.Progress = who.By, who.Reason, bar.Step
		in, err := b.ImportFile(ctx, args[0], o)
		bar.End()
		if in != nil && len(in.Flaws) > 0 {
			return a.refusedImport(ctx, b, in, args[0], proof, who)
		}
		if err != nil {
			return err
		}
		return a.print(present.Imported(in, ""))
	})
	c.Flags().StringVar(&proof, "proof", "", "where to keep the proof of a fork, when one comes to light")
	c.Flags().BoolVar(&o.Recover, "recover", false, "take back entries of our own book that this record has lost")
	return c
}

// refusedImport tells why a book was not taken. The proof of a fork is kept in the record, so that it is
// there when somebody asks for it, and as a file where that was asked for. A rollback alone is not noted:
// when it is our own, going on would make a fork of it.
func (a *app) refusedImport(ctx context.Context, b *record.Book, in *record.Imported, file, proof string, who record.Who) error {
	kept := ""
	if len(in.Proofs) > 0 {
		if proof != "" {
			if err := record.KeepProof(proof, in.Proofs[0]); err != nil {
				return err
			}
			kept = proof
		}
		_, err := b.Record(ctx, record.Draft{Kind: record.Note, By: who.By, Reason: who.Reason,
			Data:      map[string]string{"text": "import refused, nothing was taken: " + in.Flaws[0].Text, "file": file},
			Documents: []record.Document{{Role: "fork", Bytes: in.Proofs[0]}}})
		if err != nil {
			return errors.Join(a.print(present.Imported(in, kept)), err)
		}
	}
	if err := a.print(present.Imported(in, kept)); err != nil {
		return err
	}
	return answered(NotVerified)
}

func recordBackup(a *app) *cobra.Command {
	return a.bookVerb(verb{
		use: "backup FILE", short: "a consistent copy, while others go on writing",
		long:    "Writes a consistent copy of the record into a new file.",
		example: "  asleft record backup /media/stick/shop-2026-11-25.book --by T.V.", args: cobra.ExactArgs(1),
	}, toWrite, func(ctx context.Context, b *record.Book, who record.Who, args []string) error {
		if err := fresh(args[0]); err != nil {
			return err
		}
		bar := a.bar("backup")
		b.OnProgress(bar.Step)
		err := b.Backup(ctx, record.Copy{File: args[0], By: who.By, Why: who.Reason})
		bar.End()
		if err != nil {
			return err
		}
		return a.print(present.Done("backup", args[0], "keep it apart from the laptop; the keys stay in the state folder"))
	})
}

// bookOptions are those of a book that is not opened by openBook.
func (a *app) bookOptions() (record.Options, error) {
	path, err := a.bookPath()
	if err != nil {
		return record.Options{}, err
	}
	state, err := a.stateDir()
	return record.Options{Path: path, StateDir: state, Now: a.Now, Tool: "asleft " + Version, Machine: a.Getenv("ASLEFT_MACHINE")}, err
}

func recordRestore(a *app) *cobra.Command {
	var accept bool
	var reason string
	c := a.command(verb{
		use: "restore FILE", short: "put a backup in the record's place",
		long:    "Verifies the backup, puts it in the record's place and puts what was there aside. A backup\nolder than the newest checkpoint is only taken with --accept-loss; the work then goes on in\na new book, and the loss stands in it.",
		example: "  asleft record restore /media/stick/shop-2026-11-25.book --by T.V.", args: cobra.ExactArgs(1), statuses: []Status{NotVerified},
		run: func(args []string) error {
			by, err := a.writer(nil)
			if err != nil {
				return err
			}
			o, err := a.bookOptions()
			if err != nil {
				return err
			}
			bar := a.bar("restore")
			o.Progress = bar.Step
			out, err := record.Restore(a.Context, o, args[0], record.Who{By: by, Reason: reason}, accept)
			bar.End()
			if err != nil {
				return recordFailure(err)
			}
			return a.print(present.Restored(out))
		},
	})
	addBy(a, c)
	c.Flags().StringVar(&reason, "reason", "", "why")
	c.Flags().BoolVar(&accept, "accept-loss", false, "take a backup that lacks newer entries")
	return c
}

func recordRenew(a *app) *cobra.Command {
	var reason string
	c := a.command(verb{
		use: "renew", short: "go on in a new book when the old one cannot: its key or its end is lost",
		long:    "Starts a new book of this laptop in the same record. The old one stays as it is; the first\nentry of the new one names its head and the reason.",
		example: "  asleft record renew --reason 'state folder lost with the old disk' --by T.V.", args: cobra.NoArgs,
		run: func([]string) error {
			by, err := a.writer(nil)
			if err != nil {
				return err
			}
			o, err := a.bookOptions()
			if err != nil {
				return err
			}
			b, err := record.Renew(a.Context, o, by, reason)
			if err != nil {
				return recordFailure(err)
			}
			origin := b.Origin()
			if err := b.Close(); err != nil {
				return err
			}
			return a.print(present.Done("new book", origin, "the old book stays in the record"))
		},
	})
	addBy(a, c)
	c.Flags().StringVar(&reason, "reason", "", "why the old book cannot go on")
	return c
}

func recordCode(a *app) *cobra.Command {
	return a.command(verb{
		use: "code", short: "the record's code of now, for paper", long: "Prints the record's newest checkpoint in words and digits. Written on paper it is a witness:\n'asleft record verify --against CODE' proves later that nothing before it was changed.",
		example: "  asleft record code", args: cobra.NoArgs, statuses: []Status{NotVerified},
		run: func([]string) error {
			return a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
				c, err := b.Checkpoint(ctx)
				if err != nil {
					return err
				}
				return a.print(present.Code(record.SheetCode(c.Head), c.Size))
			})
		},
	})
}

// sheetCode is the record's code for a sheet, "" where there is no record to witness.
func (a *app) sheetCode() string {
	path, err := a.bookPath()
	if err != nil {
		return ""
	}
	if _, err := os.Stat(path); err != nil {
		return ""
	}
	code := ""
	err = a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
		c, err := b.Checkpoint(ctx)
		if err == nil && c.Size > 0 {
			code = record.SheetCode(c.Head)
		}
		return err
	})
	if err != nil { // the sheet is printed all the same, and says that it witnesses nothing
		fmt.Fprintf(a.Err, "asleft: hint: the sheet carries no code of the record: %s\n", source.Visible(err.Error()))
	}
	return code
}
