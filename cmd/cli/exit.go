package cli

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"asleft/config/source"
	"asleft/rules"
)

// Status is the exit status of asleft. This file is the one place that gives statuses their meaning.
type Status int

// The exit statuses.
const (
	Done        Status = 0
	Broken      Status = 1
	BadInput    Status = 2
	Refused     Status = 3
	NotVerified Status = 4
	Different   Status = 5
	NotFound    Status = 6
	NoWitness   Status = 7
	FactMissing Status = 8
	Interrupted Status = 130
)

// meanings is printed in every help, and its short words go into JSON errors.
var meanings = []struct {
	status Status
	word   string
	text   string
}{
	{Done, "done", "done"},
	{Broken, "machine-failed", "the machine failed: disk, permission, or a bug of ours"},
	{BadInput, "bad-input", "bad usage or bad input; nothing was written"},
	{Refused, "refused", "refused: an unsafe or contradictory install"},
	{NotVerified, "not-verified", "the record does not verify"},
	{Different, "different", "differences were found"},
	{NotFound, "not-found", "not found, or several fit"},
	{NoWitness, "no-witness", "the record verifies but there is no witness to compare with"},
	{FactMissing, "fact-missing", "a fact that safety needs is missing; it is named"},
	{Interrupted, "interrupted", "interrupted"},
}

// Word gives the status as JSON errors spell it.
func (s Status) Word() string {
	for _, m := range meanings {
		if m.status == s {
			return m.word
		}
	}
	return "machine-failed"
}

// exitText lists the given statuses for the end of a command's help; 0, 1, 2 and 130 always belong.
func exitText(more ...Status) string {
	var b strings.Builder
	b.WriteString("Exit status:\n")
	for _, m := range meanings {
		listed := m.status <= BadInput || m.status == Interrupted
		for _, s := range more {
			listed = listed || s == m.status
		}
		if listed {
			fmt.Fprintf(&b, "  %3d  %s\n", m.status, m.text)
		}
	}
	return b.String()
}

// failure is an error that knows its exit status and what the user could do next.
type failure struct {
	status Status
	err    error
	hint   string
	shown  bool // the answer on standard output already said it all
}

func (f *failure) Error() string { return f.err.Error() }
func (f *failure) Unwrap() error { return f.err }

// fail makes an error of the given status with a hint of what to do, "" for none.
func fail(status Status, hint, format string, args ...any) error {
	return &failure{status: status, err: fmt.Errorf(format, args...), hint: hint}
}

// answered ends a command whose answer, already printed, carries a status of its own.
func answered(status Status) error {
	if status == Done {
		return nil
	}
	return &failure{status: status, err: errors.New(status.Word()), shown: true}
}

// statusOf is the one table from errors to exit statuses.
func statusOf(err error) Status {
	var f *failure
	var problems source.Problems
	var prefer *rules.PreferError
	switch {
	case err == nil:
		return Done
	case errors.As(err, &prefer):
		return BadInput
	case errors.As(err, &f):
		return f.status
	case errors.As(err, &problems):
		return BadInput
	case errors.Is(err, context.Canceled):
		return Interrupted
	default:
		return Broken
	}
}

// String is the status as a decimal number.
func (s Status) String() string { return strconv.Itoa(int(s)) }
