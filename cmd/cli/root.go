package cli

import (
	"errors"
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"asleft/cmd/present"
	"asleft/config/source"
)

// Version is the tool's version; every entry of the record and every sheet carries it.
const Version = "0.1.0"

// app is what the verbs share: the world and the flags that every verb has.
type app struct {
	World
	format  string
	noColor bool
	record  string
	by      string
	policy  string
	devices []string
}

// Main runs one command and returns its exit status. A panic is a bug of ours: it ends with
// status 1 and one plain message, never with a stack unless ASLEFT_STACK asks for it.
func Main(w World) (status Status) {
	a := &app{World: w}
	defer func() {
		if r := recover(); r != nil {
			status = Broken
			fmt.Fprintf(w.Err, "asleft: error: a bug in asleft: %s\n", source.Visible(fmt.Sprint(r)))
			fmt.Fprintln(w.Err, "asleft: hint: nothing more was written; please report the command and its input files")
			if w.Getenv("ASLEFT_STACK") != "" {
				fmt.Fprintf(w.Err, "%s\n", debug.Stack())
			}
		}
	}()
	root := newRoot(a)
	if len(w.Args) > 0 && strings.HasPrefix(w.Args[0], cobra.ShellCompRequestCmd) {
		a.addCompletions(root)
	}
	root.SetArgs(w.Args)
	root.SetIn(w.In)
	root.SetOut(w.Out)
	root.SetErr(w.Err)
	err := root.ExecuteContext(w.Context)
	if err == nil {
		return Done
	}
	var told *failure
	if status = statusOf(err); status == Interrupted && !errors.As(err, &told) {
		err = fail(Interrupted, "", "interrupted: what was not done yet left nothing behind")
	}
	a.report(err, status)
	return status
}

// Root is the whole tree of verbs over a world, for those who read it instead of running it: the manual
// pages, and the test that no writing verb forgets to record.
func Root(w World) *cobra.Command { return newRoot(&app{World: w}) }

func newRoot(a *app) *cobra.Command {
	root := &cobra.Command{
		Use:   "asleft",
		Short: "settings as found, settings as left: from a described install to a keying card and a record",
		Long: `asleft takes the description of a remote-starter or alarm install, derives the
settings its controller needs (with reasons, refusing what is unsafe or
contradictory), works out which button fires what, prints the keying card, and
keeps a record per vehicle of settings as found, required and as left.

The main job:  asleft sheet JOB.toml`,
		Version:       Version,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          usage(cobra.NoArgs),
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	flags := root.PersistentFlags()
	flags.StringVar(&a.format, "format", "table", "how to print: table, json, markdown, csv or html, where it makes sense")
	flags.BoolVar(&a.noColor, "no-color", false, "no colour, also on a terminal")
	flags.StringVar(&a.record, "record", "", "the record file (default: ASLEFT_RECORD, or the user's data folder)")
	flags.StringVar(&a.policy, "policy", "", "the shop's policy file (default: the one the job names)")
	flags.StringArrayVar(&a.devices, "profile", nil, "a device profile of your own, beside the ones shipped (repeatable)")
	root.SetFlagErrorFunc(flagError)
	cobra.EnableCommandSorting = false // the order of the work, not of the alphabet
	root.SetCompletionCommandGroupID("book")
	root.SetHelpCommandGroupID("book")
	root.AddGroup(&cobra.Group{ID: "job", Title: "The job:"}, &cobra.Group{ID: "record", Title: "The record:"}, &cobra.Group{ID: "book", Title: "To look up:"})
	addVerbs(a, root)
	return root
}

// usage turns cobra's argument errors into ours, with status 2 and the way to the help.
func usage(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if err := check(c, args); err != nil {
			hint := fmt.Sprintf("see '%s --help'", c.CommandPath())
			if near := nearestCommand(c, args); near != "" {
				hint = fmt.Sprintf("did you mean '%s'?", near)
			}
			return fail(BadInput, hint, "%s", source.Visible(plain(err.Error())))
		}
		return nil
	}
}

// plain keeps the first line of a library's message: the rest is layout of its own.
func plain(message string) string {
	first, _, _ := strings.Cut(message, "\n")
	return first
}

func nearestCommand(c *cobra.Command, args []string) string {
	if len(args) == 0 || !c.HasSubCommands() {
		return ""
	}
	var names []string
	for _, sub := range c.Commands() {
		if sub.IsAvailableCommand() {
			names = append(names, sub.Name())
		}
	}
	if near := source.Nearest(args[0], names); near != "" {
		return c.CommandPath() + " " + near
	}
	return ""
}

// flagError names the nearest flag, which cobra does for commands only.
func flagError(c *cobra.Command, err error) error {
	hint := fmt.Sprintf("see '%s --help'", c.CommandPath())
	if word, found := strings.CutPrefix(plain(err.Error()), "unknown flag: --"); found {
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if near := source.Nearest(word, names); near != "" {
			hint = fmt.Sprintf("did you mean --%s?", near)
		}
	}
	return fail(BadInput, hint, "%s", source.Visible(plain(err.Error())))
}

// errorMessage is what --format json prints on standard error.
type errorMessage struct {
	Schema   string         `json:"schema"`
	Status   Status         `json:"status"`
	Meaning  string         `json:"meaning"`
	Message  string         `json:"message"`
	Hint     string         `json:"hint,omitempty"`
	Problems []errorProblem `json:"problems,omitempty"`
}

type errorProblem struct {
	File     string `json:"file"`
	Line     int    `json:"line"`
	Column   int    `json:"column"`
	Message  string `json:"message"`
	Expected string `json:"expected,omitempty"`
	Found    string `json:"found,omitempty"`
	Nearest  string `json:"nearest,omitempty"`
	Example  string `json:"example,omitempty"`
}

// report tells the user what went wrong, on standard error.
func (a *app) report(err error, status Status) {
	var f *failure
	hint := ""
	if errors.As(err, &f) {
		if f.shown {
			return
		}
		hint = f.hint
	}
	if a.format == "json" {
		a.reportJSON(err, status, hint)
		return
	}
	for _, line := range strings.Split(strings.TrimRight(err.Error(), "\n"), "\n") {
		if strings.HasPrefix(line, " ") || line == "" {
			fmt.Fprintln(a.Err, source.Visible(line))
			continue
		}
		fmt.Fprintf(a.Err, "asleft: error: %s\n", source.Visible(line))
	}
	if hint != "" {
		fmt.Fprintf(a.Err, "asleft: hint: %s\n", source.Visible(hint))
	}
}

func (a *app) reportJSON(err error, status Status, hint string) {
	m := errorMessage{Schema: "asleft/error/1", Status: status, Meaning: status.Word(), Message: err.Error(), Hint: hint}
	var problems source.Problems
	if errors.As(err, &problems) {
		m.Message = fmt.Sprintf("%d mistakes in what was read", len(problems))
		for _, p := range problems {
			m.Problems = append(m.Problems, errorProblem{p.Pos.File, p.Pos.Line, p.Pos.Col, p.Message, p.Expected, p.Found, p.Nearest, p.Example})
		}
	}
	_ = present.JSON(a.Err, m) // nothing is left to tell when standard error is gone
}
