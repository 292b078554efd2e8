package cli

import (
	"context"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/record"
	"asleft/config/setting"
)

func newWhich(a *app) *cobra.Command {
	return a.command(verb{
		use: "which VEHICLE [WORDS...]", group: "record",
		short:    "which button opens which door, one line for each remote",
		long:     "Answers from the newest as-left entry of the vehicle, in the customer's words: boot or\ntrunk, side door or kerb-side door; lock, unlock, start, stop and panic are the remote's own\ngestures, with what the settings as left make of them. No gesture is told for what was set\noff or refused, nor while a safety complaint is open; a record that does not verify\nsays so.",
		example:  "  asleft which 'bus 1' side door\n  asleft which 'bus 1'",
		args:     cobra.MinimumNArgs(1),
		statuses: []Status{NotVerified, NotFound, NoWitness},
		brief:    true,
		run:      a.which,
	})
}

func (a *app) which(args []string) error {
	return a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
		id, err := a.target(ctx, b, args[0], record.Looking)
		if err != nil {
			return err
		}
		var told present.Taught
		answer, err := b.Which(ctx, id, func(h *record.History) (err error) {
			told, err = taught(h)
			return err
		})
		if err != nil {
			return err
		}
		v, err := present.Which(answer, answer.Summary.Label(), args[1:], told)
		if err != nil {
			return err
		}
		if err := a.print(v); err != nil {
			return err
		}
		if status := statusOfReport(answer.Report); status != Done {
			return answered(status)
		}
		if !v.Fits {
			return answered(NotFound)
		}
		return nil
	})
}

// taught is what the record says about gestures beyond the plan: keyed by a card, shown to work by a
// test, or failed in one.
func taught(h *record.History) (present.Taught, error) {
	st, err := standingOf(h, false)
	if err != nil {
		return present.Taught{}, err
	}
	t := present.Taught{Works: map[string]bool{}, Failed: st.failed(), Open: st.unproven()}
	for i := range h.Items {
		item := &h.Items[i]
		if function, ok := strings.CutPrefix(item.Data["test"], "function-works:"); ok && item.Kind == record.Tested {
			_, result := h.Result(i)
			t.Works[function] = result == record.Passed
		}
	}
	state, err := h.State(time.Time{})
	if err != nil {
		return t, err
	}
	for _, r := range state.Settings {
		t.Left = append(t.Left, r.Reading)
	}
	for _, s := range state.States {
		if s.From == record.Found { // before the work
			continue
		}
		t.Valet = t.Valet || s.State == "valet" && s.Status == setting.StatusKnown && s.Value == "on"
	}
	t.Keyed, _, err = h.Snapshot("keyed")
	return t, err
}
