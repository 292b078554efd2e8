package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/source"
)

// view is what a verb answers with: it prints itself as JSON, and gives the page for all else.
type view interface{ Page() present.Page }

// formats that every verb has; a verb adds those that make sense for it.
var commonFormats = []string{"table", "json", "markdown"}

// print writes the answer on standard output in the format asked for.
func (a *app) print(v view) error {
	if err := a.draw(v); err != nil {
		return fail(Broken, "what the command did is done; see where its output goes: a full disk, or a pipe that was closed", "the answer cannot be printed: %v", err)
	}
	return nil
}

func (a *app) draw(v view) error {
	switch a.format {
	case "json":
		return present.JSON(a.Out, v)
	case "markdown":
		return present.Markdown(a.Out, v.Page())
	case "html":
		return present.HTML(a.Out, v.Page())
	case "csv":
		return present.CSV(a.Out, v.Page())
	default:
		t := present.Terminal{Columns: a.Columns, Colour: a.colour(a.noColor)}
		return t.Draw(a.Out, v.Page())
	}
}

// checkFormat refuses, before any work, a format the verb does not have.
func (a *app) checkFormat(formats []string) error {
	if slices.Contains(formats, a.format) {
		return nil
	}
	hint := ""
	if near := source.Nearest(a.format, formats); near != "" {
		hint = fmt.Sprintf("did you mean --format %s?", near)
	}
	return fail(BadInput, hint, "unknown format %q here: expected one of %s", source.Visible(a.format), strings.Join(formats, ", "))
}

// verb is the shape of every command: parse, check the format, then run without cobra.
type verb struct {
	use, group, short, long, example string
	args                             cobra.PositionalArgs
	formats                          []string // beyond table, json and markdown
	only                             []string // instead of all those
	statuses                         []Status // beyond 0, 1, 2 and 130
	brief                            bool     // done before anybody could interrupt it
	run                              func(args []string) error
}

func (a *app) command(v verb) *cobra.Command {
	c := &cobra.Command{
		Use: v.use, GroupID: v.group, Short: v.short,
		Long:    strings.TrimSpace(v.long) + "\n\n" + strings.TrimRight(exitText(v.statuses...), "\n"),
		Example: v.example,
		Args:    usage(v.args),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := a.checkFormat(v.allFormats()); err != nil {
				return err
			}
			if a.Interrupts != nil && !v.brief {
				a.Context = a.Interrupts(a.Context)
			}
			return v.run(args)
		},
	}
	return c
}

// allFormats are the formats that the verb has.
func (v verb) allFormats() []string {
	if v.only != nil {
		return v.only
	}
	return append(slices.Clone(commonFormats), v.formats...)
}

// bar is a progress bar on standard error where that is a terminal, and silent elsewhere.
func (a *app) bar(what string) *present.Bar {
	if !a.ErrTerminal {
		return &present.Bar{}
	}
	return present.NewBar(a.Err, what)
}
