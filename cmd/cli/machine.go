package cli

import (
	"context"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"golang.org/x/term"
)

// World is everything outside the program that a command may touch, so that tests can bring their own.
type World struct {
	Args     []string
	In       io.Reader
	Out, Err io.Writer
	Getenv   func(string) string
	Now      func() time.Time // the one clock; output and entries carry its time
	Columns  int              // width of the terminal, 0 when output is not a terminal

	ErrTerminal bool // standard error is a terminal
	Context     context.Context

	// Interrupts has a context end when the user interrupts or ends the process. A verb whose work is done before
	// anybody could do that goes without: then the system ends it.
	Interrupts func(context.Context) context.Context
}

// Machine is the real world: this process's arguments, streams, environment and clock.
// ASLEFT_NOW (RFC 3339) stands in for the clock, for rehearsals and for tests of the real binary.
func Machine() World {
	w := World{
		Args: os.Args[1:], In: os.Stdin, Out: os.Stdout, Err: os.Stderr,
		Getenv: os.Getenv, Now: time.Now, Context: context.Background(),
		Interrupts: func(ctx context.Context) context.Context {
			ctx, stop := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
			_ = stop // the process ends with the command
			return ctx
		},
	}
	if at, err := time.Parse(time.RFC3339, os.Getenv("ASLEFT_NOW")); err == nil {
		w.Now = func() time.Time { return at }
	}
	w.ErrTerminal = term.IsTerminal(int(os.Stderr.Fd()))
	if fd := int(os.Stdout.Fd()); term.IsTerminal(fd) {
		w.Columns = 80
		if columns, _, err := term.GetSize(fd); err == nil && columns > 20 {
			w.Columns = columns
		}
	}
	return w
}

// colour says whether output may carry colour: a terminal, and nobody asked for none
// (NO_COLOR counts when it is set and not empty, https://no-color.org).
func (w World) colour(forbidden bool) bool {
	return w.Columns > 0 && !forbidden && w.Getenv("NO_COLOR") == "" && w.Getenv("TERM") != "dumb"
}
