package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"asleft/config/job"
	"asleft/config/record"
)

// bookPath is where the record lies: --record, ASLEFT_RECORD, or the user's data folder.
func (a *app) bookPath() (string, error) {
	for _, path := range []string{a.record, a.Getenv("ASLEFT_RECORD")} {
		if path != "" {
			return path, nil
		}
	}
	dir := a.Getenv("XDG_DATA_HOME")
	if dir == "" {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", fail(Broken, "name the record's file with --record", "no home folder: %v", err)
		}
		dir = filepath.Join(home, ".local", "share")
	}
	return filepath.Join(dir, "asleft", "shop.book"), nil
}

// stateDir holds the head file and the keys, never beside the record.
func (a *app) stateDir() (string, error) {
	if dir := a.Getenv("ASLEFT_STATE"); dir != "" {
		return dir, nil
	}
	dir := a.Getenv("XDG_STATE_HOME")
	if dir == "" {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", fail(Broken, "name the state folder with ASLEFT_STATE", "no home folder: %v", err)
		}
		dir = filepath.Join(home, ".local", "state")
	}
	return filepath.Join(dir, "asleft"), nil
}

// use says how a book is opened.
type use int

const (
	toLook use = iota
	toWrite
	toStart // may start a new book
)

// openBook opens the record.
func (a *app) openBook(how use) (*record.Book, error) {
	path, err := a.bookPath()
	if err != nil {
		return nil, err
	}
	state, err := a.stateDir()
	if err != nil {
		return nil, err
	}
	b, err := record.Open(a.Context, record.Options{
		Path: path, StateDir: state, Create: how == toStart, Looking: how == toLook,
		Now: a.Now, Tool: "asleft " + Version, Machine: a.Getenv("ASLEFT_MACHINE"),
	})
	return b, recordFailure(err)
}

// noRecord reports whether nothing lies at the record's path yet.
func (a *app) noRecord() bool {
	path, err := a.bookPath()
	if err != nil {
		return false
	}
	_, err = os.Lstat(path)
	return errors.Is(err, os.ErrNotExist)
}

// withBook runs f with the record open.
func (a *app) withBook(how use, f func(context.Context, *record.Book) error) error {
	b, err := a.openBook(how)
	if err != nil {
		return err
	}
	err = f(a.Context, b)
	return recordFailure(errors.Join(err, b.Close()))
}

// recordFailure gives the record's errors their exit statuses.
func recordFailure(err error) error {
	var (
		mine   *failure
		none   *record.NoVehicleError
		many   *record.SeveralVehiclesError
		draft  *record.DraftError
		rule   *record.RuleError
		flaw   *record.FlawError
		file   *record.FileError
		late   *record.AfterError
		code   *record.CodeError
		line   *record.LineError
		note   *record.NoteError
		loss   *record.LossError
		status = Broken
	)
	switch {
	case err == nil, errors.As(err, &mine):
		return err
	case errors.As(err, &none), errors.As(err, &many):
		status = NotFound
	case errors.As(err, &draft), errors.As(err, &rule), errors.As(err, &code), errors.As(err, &loss), errors.As(err, &line), errors.As(err, &note):
		status = BadInput
	case errors.As(err, &flaw):
		status = NotVerified
	case errors.As(err, &late): // the machine failed after the write
	case errors.As(err, &file):
		status = statusOfFile(file.Class)
	default:
		return err
	}
	hint := ""
	var hinted interface{ Hint() string }
	if errors.As(err, &hinted) {
		hint = hinted.Hint()
	}
	if many != nil {
		hint += matchList(many.Matches)
	}
	return &failure{status: status, err: err, hint: hint}
}

// statusOfFile tells a file that is not there, or that is not the right one, from a machine that fails.
func statusOfFile(class record.Class) Status {
	switch class {
	case record.NoFile:
		return NotFound
	case record.NoInput, record.Taken, record.NotARecord, record.Foreign, record.NewerVersion, record.OlderVersion, record.NetworkFolder:
		return BadInput
	}
	return Broken
}

func matchList(matches []record.Match) string {
	var b strings.Builder
	for _, m := range matches {
		fmt.Fprintf(&b, "; %s (by %s)", m.Vehicle, strings.Join(m.By, ", "))
	}
	return b.String()
}

// writer names who writes: --by, ASLEFT_BY, or the shop's policy file. No entry is anonymous.
func (a *app) writer(policy *job.Policy) (string, error) {
	for _, by := range []string{a.by, a.Getenv("ASLEFT_BY")} {
		if by != "" {
			return by, nil
		}
	}
	if policy == nil && a.policy != "" {
		text, err := readFile(a.policy)
		if err != nil {
			return "", err
		}
		if policy, err = job.ReadPolicy(a.policy, text); err != nil {
			return "", err
		}
	}
	if policy != nil && policy.By != "" {
		return policy.By, nil
	}
	return "", fail(BadInput, "say who with --by, for example --by T.V.", "nobody is named; no entry is anonymous")
}

// attributesOf is what a job's vehicle can be found by.
func attributesOf(j *job.Job) map[record.Attribute]string {
	names := map[string]record.Attribute{"vin": record.VIN, "plate": record.Plate, "fleet-number": record.Fleet, "stock-number": record.Stock}
	out := map[record.Attribute]string{}
	for key, text := range j.Vehicle.Identity {
		if a, known := names[key]; known && text != "" {
			out[a] = text
		}
	}
	if j.Vehicle.Label != "" {
		out[record.Label] = j.Vehicle.Label
	}
	return out
}

// vehicleOf finds the one vehicle that a job is about, by what it can be found by, strongest first.
func vehicleOf(ctx context.Context, b *record.Book, j *job.Job) (record.ID, error) {
	attributes := attributesOf(j)
	for _, a := range record.Attributes() {
		text := attributes[a]
		if text == "" {
			continue
		}
		id, err := b.Vehicle(ctx, text, record.Writing)
		var none *record.NoVehicleError
		if errors.As(err, &none) {
			continue
		}
		return id, err
	}
	return record.ID{}, &record.NoVehicleError{Text: j.Vehicle.Label}
}

// target finds the vehicle that a word on the command line means: a job file, or what a vehicle is
// found by.
func (a *app) target(ctx context.Context, b *record.Book, word string, purpose record.Purpose) (record.ID, error) {
	if !strings.HasSuffix(word, ".toml") {
		return b.Vehicle(ctx, word, purpose)
	}
	text, err := readFile(word)
	if err != nil {
		return record.ID{}, err
	}
	j, err := job.Read(word, text)
	if err != nil {
		return record.ID{}, err
	}
	return vehicleOf(ctx, b, j)
}

func addBy(a *app, c *cobra.Command) {
	c.Flags().StringVar(&a.by, "by", "", "who writes: initials or name (default: ASLEFT_BY, or the shop's policy file)")
}
