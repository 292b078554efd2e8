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
			open, err = b.Status(ctx)
			return err
		}
		id, s, err := a.summary(ctx, b, args[0])
		if err != nil {
			return err
		}
		if open = []record.Summary{s}; !s.Open {
			open = nil
		}
		left, err = testsLeft(ctx, b, id)
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
func testsLeft(ctx context.Context, b *record.Book, id record.ID) ([]present.OpenTest, error) {
	h, err := b.History(ctx, id)
	if err != nil {
		return nil, err
	}
	s, err := standingOf(h, true)
	if err != nil {
		return nil, err
	}
	var left []present.OpenTest
	for _, t := range s.open() {
		result := s.result[t.ID]
		if result == "" {
			result = "not done"
		}
		left = append(left, present.OpenTest{Test: t.ID, Title: s.titles[t.ID], Result: result, Safety: t.Safety, Cure: protects(t)})
	}
	return left, nil
}
