package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/record"
	"asleft/config/source"
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
				h, report, err := b.Verified(ctx, id)
				if err != nil {
					return err
				}
				state, err := h.State(when)
				if err != nil {
					return err
				}
				v := present.State(state, s.Label())
				v.Doubts = present.DoubtsOf(report)
				return a.printDoubted(v, v.Doubts)
			})
		},
	})
	c.Flags().StringVar(&at, "at", "", "as it was then: a day (2026-11-20, its end) or a time (RFC 3339)")
	return c
}

// parseTime reads a day, meaning its end, or a time of RFC 3339.
func parseTime(text string) (time.Time, error) {
	day, whole, err := dayOrTime(text)
	if whole {
		day = day.AddDate(0, 0, 1).Add(-time.Nanosecond)
	}
	return day, err
}

// startOf reads a day, meaning its beginning, or a time of RFC 3339.
func startOf(text string) (time.Time, error) {
	day, _, err := dayOrTime(text)
	return day, err
}

func dayOrTime(text string) (t time.Time, whole bool, err error) {
	if text == "" {
		return time.Time{}, false, nil
	}
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t, false, nil
	}
	if t, err = time.ParseInLocation("2006-01-02", text, time.Local); err != nil {
		return t, false, fail(BadInput, "for example 2026-11-20, or 2026-11-20T17:00:00+01:00", "%q is not a day or a time", source.Visible(text))
	}
	return t, true, nil
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
	var personal bool
	c := a.command(verb{
		use: "log [VEHICLE]", short: "all entries of a vehicle, oldest first",
		long:    "Lists a vehicle's entries from all books, merged; entries written without knowing of\neach other are marked as concurrent. --personal also tells the personal values that were\nkept with them: customer, phone, to whom something was shown. Without a vehicle: the entries\nabout the record as a whole, such as copies that were made, imports and restores.",
		example: "  asleft record log 'bus 1'\n  asleft record log 'bus 1' --personal\n  asleft record log", args: cobra.MaximumNArgs(1),
		formats: []string{"csv"}, statuses: []Status{NotVerified, NotFound},
		run: func(args []string) error {
			return a.withBook(toLook, func(ctx context.Context, b *record.Book) error { return a.log(ctx, b, args, personal) })
		},
	})
	c.Flags().BoolVar(&personal, "personal", false, "tell the personal values too")
	return c
}

func (a *app) log(ctx context.Context, b *record.Book, args []string, personal bool) error {
	var id record.ID
	label := ""
	if len(args) == 1 {
		found, s, err := a.summary(ctx, b, args[0])
		if err != nil {
			return err
		}
		id, label = found, s.Label()
	}
	h, report, err := b.Verified(ctx, id)
	if err != nil {
		return err
	}
	var opened []record.Value
	if personal {
		if opened, err = b.Personal(ctx, id); err != nil {
			return err
		}
	}
	v := present.Log(h, label, opened)
	v.Doubts = present.DoubtsOf(report)
	return a.printDoubted(v, v.Doubts)
}

// printDoubted prints a view; where there are doubts, they are the status.
func (a *app) printDoubted(v view, d present.Doubts) error {
	if err := a.print(v); err != nil {
		return err
	}
	if len(d) > 0 {
		return answered(NotVerified)
	}
	return nil
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
	var against []string
	c := a.command(verb{
		use: "verify [FILE]", short: "prove that no entry was changed, dropped or reordered",
		long:    "Recomputes everything from the raw entries, trusting no stored hash, and says what it\nproved: how many entries are intact, and up to which a witness outside the file reaches.\n--against proves that today's log contains what a sheet's code or a signed checkpoint\nnames. With FILE, checks an extract, or the proof of a\nfork, without the record.",
		example: "  asleft record verify\n  asleft record verify --against 'maple-oboe 1204 coral-fern-garlic-hazel-ink 482-109-375-512 057'\n  asleft record verify bus1.extract", args: cobra.MaximumNArgs(1), statuses: []Status{NotVerified, NoWitness},
		run: func(args []string) error {
			if len(args) == 1 {
				return a.verifyExtract(args[0], against)
			}
			return a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
				witnesses, err := a.witnesses(ctx, b, against)
				if err != nil {
					return err
				}
				bar := a.bar("verify")
				b.OnProgress(bar.Step)
				report, err := b.Verify(ctx, witnesses...)
				bar.End()
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
	c.Flags().StringArrayVar(&against, "against", nil, "a sheet's code, or a file with a signed checkpoint (repeatable)")
	return c
}

func (a *app) verifyExtract(path string, against []string) error {
	if fork, is, err := record.ReadForkProof(path); is {
		if err != nil {
			return recordFailure(err)
		}
		return a.print(present.Fork(fork))
	}
	out, err := record.VerifyExtractFile(path, record.ExtractOptions{Against: against})
	if err != nil {
		return recordFailure(err)
	}
	if err := a.print(present.VerifiedExtract(out.Report)); err != nil {
		return err
	}
	return answered(statusOfReport(out.Report))
}

// witnesses reads what the record is to be compared with.
func (a *app) witnesses(ctx context.Context, b *record.Book, against []string) ([]record.Witness, error) {
	var out []record.Witness
	for _, text := range against {
		var w record.Witness
		var err error
		if record.LooksLikeCode(text) {
			w, err = b.CodeWitness(ctx, text)
		} else {
			var signed []byte
			if signed, err = readFile(text); err == nil {
				w, err = b.NoteWitness(ctx, text, signed)
			}
		}
		if err != nil {
			return nil, err
		}
		out = append(out, w)
	}
	return out, nil
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
