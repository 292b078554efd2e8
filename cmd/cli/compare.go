package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/job"
	"asleft/config/record"
	"asleft/rules"
)

func newCompare(a *app) *cobra.Command {
	var found string
	c := a.command(verb{
		use: "compare VEHICLE [JOB]", group: "record",
		short:    "required today, as left, found now: what differs and why it may",
		long:     "Sets side by side the settings as left and, where given, those that JOB requires by\ntoday's rules and those found now (--found FILE). Without JOB, the last required settings\nof the record are taken.",
		example:  "  asleft compare 'bus 1'\n  asleft compare 'bus 1' testdata/jobs/minibus.toml --found testdata/jobs/minibus.found.toml",
		args:     cobra.RangeArgs(1, 2),
		formats:  []string{"csv"},
		statuses: []Status{NotVerified, Different, NotFound},
		run:      func(args []string) error { return a.compare(args, found) },
	})
	c.Flags().StringVar(&found, "found", "", "file of settings as found now")
	return c
}

func (a *app) compare(args []string, foundFile string) error {
	return a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
		id, s, err := a.summary(ctx, b, args[0])
		if err != nil {
			return err
		}
		h, err := b.History(ctx, id)
		if err != nil {
			return err
		}
		columns, notes, err := a.columns(h, args[1:], foundFile)
		if err != nil {
			return err
		}
		if len(columns) < 2 {
			return fail(NotFound, "'asleft record log VEHICLE' shows what there is; name a JOB, or --found FILE", "the record of %s has fewer than two things to compare", s.Label())
		}
		v := present.Compare(s.Label(), columns, notes)
		if err := a.print(v); err != nil {
			return err
		}
		if len(v.Rows) > 0 {
			return answered(Different)
		}
		return nil
	})
}

// columns gathers what there is to compare: required, as left, found.
func (a *app) columns(h *record.History, jobFile []string, foundFile string) ([]present.Column, []string, error) {
	var out []present.Column
	var notes []string
	if len(jobFile) == 1 {
		in, err := a.load(jobFile[0])
		if err != nil {
			return nil, nil, err
		}
		o, err := in.resolve(rules.Options{})
		if err != nil {
			return nil, nil, err
		}
		out = append(out, present.Column{Name: "required today", Snapshot: o.Required()})
	} else if snap, item, err := h.Snapshot("required"); err != nil {
		return nil, nil, err
	} else if item != nil {
		out = append(out, present.Column{Name: "required", Snapshot: snap})
		notes = append(notes, fmt.Sprintf("Required as derived on %s; name the JOB to derive it by today's rules.", item.Local().Format("2006-01-02")))
	}
	if snap, item, err := h.Snapshot("left"); err != nil {
		return nil, nil, err
	} else if item != nil {
		out = append(out, present.Column{Name: "as left", Snapshot: snap})
		notes = append(notes, fmt.Sprintf("As left on %s by %s.", item.Local().Format("2006-01-02"), item.By))
	}
	if foundFile != "" {
		text, err := readFile(foundFile)
		if err != nil {
			return nil, nil, err
		}
		f, err := job.ReadFound(foundFile, text)
		if err != nil {
			return nil, nil, err
		}
		out = append(out, present.Column{Name: "found now", Snapshot: f.Snapshot})
	}
	return out, notes, nil
}
