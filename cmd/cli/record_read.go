package cli

import (
	"context"
	"errors"
	"time"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/record"
)

func recordShow(a *app) *cobra.Command {
	var at string
	c := a.command(verb{
		use: "show VEHICLE", short: "the settings as left: since when, by whom, why, what before",
		long:    "Shows the present as-left settings of a vehicle, or those of an earlier time (--at).",
		example: "  asleft record show 'bus 1'\n  asleft record show 'bus 1' --at 2026-11-20", args: cobra.ExactArgs(1),
		formats: []string{"csv"}, statuses: []Status{NotVerified, NotFound},
		run: func(args []string) error {
			when, err := parseTime(at)
			if err != nil {
				return err
			}
			return a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
				id, s, err := a.summary(ctx, b, args[0])
				if err != nil {
					return err
				}
				state, err := b.State(ctx, id, when)
				if err != nil {
					return err
				}
				return a.print(present.State(state, s.Label()))
			})
		},
	})
	c.Flags().StringVar(&at, "at", "", "as it was then: a day (2026-11-20, its end) or a time (RFC 3339)")
	return c
}

// parseTime reads a day, meaning its end, or a time of RFC 3339.
func parseTime(text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t, nil
	}
	day, err := time.ParseInLocation("2006-01-02", text, time.Local)
	if err != nil {
		return time.Time{}, fail(BadInput, "for example --at 2026-11-20, or --at 2026-11-20T17:00:00+01:00", "%q is not a day or a time", text)
	}
	return day.AddDate(0, 0, 1).Add(-time.Nanosecond), nil
}

// summary finds a vehicle and what people call it.
func (a *app) summary(ctx context.Context, b *record.Book, word string) (record.ID, record.Summary, error) {
	id, err := a.target(ctx, b, word, record.Looking)
	if err != nil {
		return id, record.Summary{}, err
	}
	s, err := b.Summary(ctx, id)
	return id, s, err
}

func recordLog(a *app) *cobra.Command {
	return a.command(verb{
		use: "log VEHICLE", short: "all entries of a vehicle, oldest first",
		long:    "Lists a vehicle's entries from all books, merged; entries written without knowing of\neach other are marked as concurrent.",
		example: "  asleft record log 'bus 1'", args: cobra.ExactArgs(1),
		formats: []string{"csv"}, statuses: []Status{NotVerified, NotFound},
		run: func(args []string) error {
			return a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
				id, s, err := a.summary(ctx, b, args[0])
				if err != nil {
					return err
				}
				h, err := b.History(ctx, id)
				if err != nil {
					return err
				}
				return a.print(present.Log(h, s.Label()))
			})
		},
	})
}

func recordList(a *app) *cobra.Command {
	return a.command(verb{
		use: "list", short: "every vehicle of the record", long: "Lists every vehicle, the one with the newest entry first.",
		example: "  asleft record list", args: cobra.NoArgs, formats: []string{"csv"},
		run: func([]string) error {
			return a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
				all, err := b.List(ctx)
				if err != nil {
					return err
				}
				return a.print(present.Vehicles(all, false))
			})
		},
	})
}

func recordVerify(a *app) *cobra.Command {
	return a.command(verb{
		use: "verify", short: "prove that no entry was changed, dropped or reordered",
		long:    "Recomputes everything from the raw entries, trusting no stored hash, and says what it\nproved: how many entries are intact, and up to which a witness outside the file reaches.",
		example: "  asleft record verify", args: cobra.NoArgs, statuses: []Status{NotVerified, NoWitness},
		run: func([]string) error {
			return a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
				report, err := b.Verify(ctx)
				if err != nil {
					return err
				}
				if err := a.print(present.Verified(report)); err != nil {
					return err
				}
				return answered(statusOfReport(report))
			})
		},
	})
}

func statusOfReport(r *record.Report) Status {
	switch r.Outcome {
	case record.Witnessed:
		return Done
	case record.Unwitnessed:
		return NoWitness
	default:
		return NotVerified
	}
}

func newStatus(a *app) *cobra.Command {
	return a.command(verb{
		use: "status", group: "record", short: "what is open, and the next command",
		long:    "Lists the vehicles on which something is open, unsafe ones first, with the command that\ncomes next, and where the record's files are.",
		example: "  asleft status", args: cobra.NoArgs, statuses: []Status{NotVerified},
		run: func([]string) error {
			path, err := a.bookPath()
			if err != nil {
				return err
			}
			state, err := a.stateDir()
			if err != nil {
				return err
			}
			var open []record.Summary
			err = a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
				open, err = b.Status(ctx)
				return err
			})
			var file *record.FileError
			if errors.As(err, &file) && file.Class == record.NoFile {
				err = nil // no record yet: nothing is open
			}
			if err != nil {
				return err
			}
			return a.print(present.StatusOf(open, path, state))
		},
	})
}
