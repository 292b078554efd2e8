package cli

import (
	"context"

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
		h, report, err := b.Verified(ctx, id)
		if err != nil {
			return err
		}
		today, err := a.today(ctx, b, id, args[1:], foundFile)
		if err != nil {
			return err
		}
		c, err := h.Compare(today)
		if err != nil {
			return err
		}
		v := present.Compare(s.Label(), c, len(args) == 2, foundFile != "")
		if v.Columns < 2 {
			return fail(NotFound, "'asleft record log VEHICLE' shows what there is; name a JOB, or --found FILE", "the record of %s has fewer than two things to compare", s.Label())
		}
		v.Doubts = present.DoubtsOf(report)
		if err := a.printDoubted(v, v.Doubts); err != nil {
			return err
		}
		if c.Differ {
			return answered(Different)
		}
		return nil
	})
}

// today is what the record cannot know: what the job requires by today's rules, what was found now,
// and the factory values, which show lost power.
func (a *app) today(ctx context.Context, b *record.Book, id record.ID, jobFile []string, foundFile string) (record.Today, error) {
	var t record.Today
	if foundFile != "" {
		text, err := readFile(foundFile)
		if err != nil {
			return t, err
		}
		f, err := job.ReadFound(foundFile, text)
		if err != nil {
			return t, err
		}
		t.Found = &f.Snapshot
	}
	if len(jobFile) == 0 {
		return t, nil
	}
	in, err := a.load(jobFile[0])
	if err != nil {
		return t, err
	}
	o, err := in.resolve(rules.Options{})
	if err != nil {
		return t, err
	}
	required, factory := o.Required(), o.Factory()
	t.Required, t.Factory = &required, &factory
	for _, d := range in.documents() {
		if d.Role == "rules" {
			t.Rules = record.DigestOf(d.Bytes)
		}
	}
	t.Job, err = b.JobChanged(ctx, id, in.jobText)
	return t, err
}
