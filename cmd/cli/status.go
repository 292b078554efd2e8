package cli

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/record"
)

func newStatus(a *app) *cobra.Command {
	return a.command(verb{
		use: "status [VEHICLE]", group: "record", short: "what is open, and the next command",
		long:    "Lists the vehicles on which something is open, unsafe ones first, with the command that\ncomes next, and where the record's files are. With a vehicle: the tests that are left before\nits job can be closed, and what can be set off instead of each.",
		example: "  asleft status\n  asleft status 'bus 1'", args: cobra.MaximumNArgs(1), statuses: []Status{NotVerified, NotFound},
		run: a.status,
	})
}

func (a *app) status(args []string) error {
	path, err := a.bookPath()
	if err != nil {
		return err
	}
	state, err := a.stateDir()
	if err != nil {
		return err
	}
	var open []record.Summary
	var left []present.OpenTest
	err = a.withBook(toLook, func(ctx context.Context, b *record.Book) (err error) {
		if len(args) == 0 {
			if open, err = b.Status(ctx); err != nil {
				return err
			}
			for i := range open {
				if _, err = testsLeft(ctx, b, &open[i]); err != nil {
					return err
				}
			}
			return nil
		}
		_, s, err := a.summary(ctx, b, args[0])
		if err != nil {
			return err
		}
		if left, err = testsLeft(ctx, b, &s); s.Open {
			open = []record.Summary{s}
		}
		return err
	})
	var file *record.FileError
	if len(args) == 0 && errors.As(err, &file) && file.Class == record.NoFile {
		err = nil // no record yet: nothing is open
	}
	if err != nil {
		return err
	}
	return a.print(present.StatusOf(open, left, path, state))
}

// testsLeft are the tests of a vehicle that keep its job from being closed, in the order of the sheet.
// While there are some, a test is what comes next, not the hand-over.
func testsLeft(ctx context.Context, b *record.Book, s *record.Summary) ([]present.OpenTest, error) {
	h, err := b.History(ctx, s.Vehicle)
	if err != nil {
		return nil, err
	}
	st, err := standingOf(h, true)
	if err != nil {
		return nil, err
	}
	var left []present.OpenTest
	for _, t := range st.open() {
		result := st.result[t.ID]
		if result == "" {
			result = "not done"
		}
		left = append(left, present.OpenTest{Test: t.ID, Title: st.titles[t.ID], Result: result, Safety: t.Safety, Cure: protects(t)})
	}
	if len(left) > 0 && (s.Next == record.HandedOver || s.Next == record.Closed && s.Comeback == nil) {
		s.Next = record.Tested
	}
	return left, nil
}
