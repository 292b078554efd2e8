package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/record"
	"asleft/config/source"
	"asleft/rules"
	"asleft/rules/keying"
)

// keyFlags choose what is done with the keying of a job.
type keyFlags struct {
	tryFlags
	follow, resume, readOut, ask bool
	device, try                  string
	card                         int
}

func newKey(a *app) *cobra.Command {
	var f keyFlags
	c := a.command(verb{
		use: "key JOB", group: "job",
		short: "the keying card: the fewest presses, each with the response to expect",
		long: `Prints the shortest safe keying card of each device, from the factory settings or from an
as-found file, each press with the response to expect.

--follow goes through the card line by line on a phone's terminal: Enter means done, a
number or word is what was seen. When the answer is another one it says where the device
can be and gives the shortest way back. It keeps its progress in the state folder after
each line; --resume goes on. --read-out plans the shortest session that shows what the
device holds; with --ask it asks for the answers and prints an as-found file.
--try DEVICE rehearses inputs on the desk: key-run tap*3 key-off key-run wait-5.`,
		example:  "  asleft key testdata/jobs/hatchback.toml\n  asleft key testdata/jobs/hatchback.toml --from testdata/jobs/hatchback.found.toml\n  asleft key testdata/jobs/hatchback.toml --follow\n  asleft key testdata/jobs/minibus.toml --read-out --ask > found.toml\n  asleft key --try demo-alder 'key-run tap*3 key-off key-run'",
		args:     cobra.MaximumNArgs(1),
		formats:  []string{"html"},
		statuses: []Status{Refused, NotFound, FactMissing},
		run:      func(args []string) error { return a.key(args, f) },
	})
	f.add(c)
	flags := c.Flags()
	flags.StringVar(&f.found, "from", "", "as-found file: key from there, not from the factory settings")
	flags.BoolVar(&f.follow, "follow", false, "follow the card line by line (keeps its progress in the state folder)")
	flags.BoolVar(&f.resume, "resume", false, "go on following where it was broken off")
	flags.StringVar(&f.device, "device", "", "the device to follow, where the job has several (default: the first with something to key)")
	flags.IntVar(&f.card, "card", 0, "the card to follow, counted as 'asleft key JOB' prints them")
	flags.BoolVar(&f.readOut, "read-out", false, "plan the session that shows what the device holds")
	flags.BoolVar(&f.ask, "ask", false, "with --read-out: ask for the answers on standard error, print the as-found file")
	flags.StringVar(&f.try, "try", "", "rehearse inputs on this device; they are the argument, or standard input")
	return c
}

func (a *app) key(args []string, f keyFlags) error {
	if f.try != "" {
		return a.rehearse(f.try, args)
	}
	if len(args) == 0 {
		return fail(BadInput, "see 'asleft key --help'", "accepts 1 arg, the job, received 0")
	}
	o, in, err := a.outcome(args[0], f.tryFlags)
	if err != nil {
		return err
	}
	switch {
	case f.readOut:
		return a.readOut(o, f.ask)
	case f.follow || f.resume:
		return a.follow(o, f)
	}
	if err := a.print(present.Key(o, in.from(), a.pageStamp())); err != nil {
		return err
	}
	return answered(f.status(o))
}

// rehearse runs typed inputs on a device on the desk.
func (a *app) rehearse(id string, args []string) error {
	in := &install{}
	if err := in.readDevices(a.devices); err != nil {
		return err
	}
	p, found := in.devices.Find(id)
	if !found {
		hint := "'asleft devices' lists them"
		if near := source.Nearest(id, in.devices.IDs()); near != "" {
			hint = "did you mean '" + near + "'?"
		}
		return fail(NotFound, hint, "no device is called %q", source.Visible(id))
	}
	name, text := "inputs", strings.Join(args, " ")
	if len(args) == 0 {
		typed, err := io.ReadAll(io.LimitReader(a.In, fileLimit))
		if err != nil {
			return err
		}
		name, text = "standard input", string(typed)
	}
	inputs, err := keying.ParseInputs(name, text)
	if err != nil {
		return err
	}
	events, err := rules.Rehearse(p, inputs)
	if err != nil {
		return fail(BadInput, "", "%v", err)
	}
	return a.print(present.Rehearsal(p, events))
}

// readOut prints the plan, or asks for its answers and prints the as-found file.
func (a *app) readOut(o *rules.Outcome, ask bool) error {
	plans, err := o.ReadOuts()
	if err != nil {
		return err
	}
	v := present.ReadOut(o, plans, a.stamp())
	if !ask {
		return a.print(v)
	}
	lines := bufio.NewScanner(a.In)
	file := present.FoundFile{Vehicle: o.Job.Vehicle.Label, Taken: a.stamp().Printed, By: o.Job.By}
	for _, plan := range plans {
		answers := make([]string, len(plan.Asks))
		for i, q := range plan.Asks {
			for _, line := range present.Question(plan, i) {
				fmt.Fprintln(a.Err, line)
			}
			if !lines.Scan() {
				return fail(Interrupted, "an observation has no default; begin again with --read-out --ask", "interrupted at %s of %s", q.Option, plan.Device)
			}
			answers[i] = lines.Text()
		}
		snap, err := plan.Snapshot(answers)
		if err != nil {
			return fail(BadInput, "the number of flashes or sounds that stood for the value, or unseen", "%s: %v", plan.Device, err)
		}
		file.Add(plan.Device, snap)
	}
	_, err = io.WriteString(a.Out, file.String())
	return err
}

// follow goes through one device's cards, line by line.
func (a *app) follow(o *rules.Outcome, f keyFlags) error {
	if !o.Gate.Open {
		return fail(Refused, "'asleft why JOB' says what would cure it", "there is no card to follow: %s", strings.Join(o.Gate.Because, "; "))
	}
	for i, c := range o.Cards {
		if len(c.Groups) == 0 || f.device != "" && c.Device != f.device || f.card > 0 && i != f.card-1 {
			continue
		}
		path, err := a.progressPath(o, i)
		if err != nil {
			return err
		}
		return a.followCard(c, path, f.resume)
	}
	return fail(NotFound, "'asleft key JOB' shows the cards; --device or --card names one", "no card of this job has anything to key there")
}

func (a *app) followCard(c rules.Card, path string, resume bool) error {
	session, lines, err := c.Follow()
	if resume {
		progress, readErr := os.ReadFile(path)
		if errors.Is(readErr, os.ErrNotExist) {
			return fail(NotFound, "begin with --follow", "no progress is kept for this card")
		} else if readErr != nil {
			return readErr
		}
		if session, lines, err = c.Resume(progress); errors.Is(err, keying.ErrOtherCard) {
			return fail(BadInput, "begin anew with --follow", "%v", err)
		}
	}
	if err != nil {
		return err
	}
	in := bufio.NewScanner(a.In)
	for {
		for _, line := range lines {
			fmt.Fprintln(a.Out, source.Visible(line))
		}
		if session.Over() {
			break
		}
		if a.Context.Err() != nil || !in.Scan() {
			return fail(Interrupted, "go on with --resume", "interrupted; the progress is kept")
		}
		lines = session.Line(in.Text())
		if err := record.Replace(path, session.Progress()); err != nil {
			return recordFailure(err)
		}
	}
	if !session.Finished() {
		return fail(Interrupted, "go on with --resume", "broken off; the progress is kept")
	}
	return os.Remove(path)
}
