// Command man writes asleft's manual pages, one file a verb, into a folder that is already there:
//
//	go run ./cmd/man DIR
//	man -l DIR/asleft-sheet.1
//
// It is a program of its own so that asleft itself starts without a Markdown reader. The pages are made
// from the verbs' own help, so that the two cannot say different things.
package main

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"asleft/cmd/cli"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "man: error: expected one folder to write into, as in: go run ./cmd/man DIR")
		os.Exit(int(cli.BadInput))
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "man: error:", err)
		os.Exit(int(cli.Broken))
	}
}

// write makes the pages of all verbs in the folder.
func write(folder string) error {
	root := cli.Root(cli.World{Now: time.Now, Getenv: func(string) string { return "" }})
	layOut(root)
	root.DisableAutoGenTag = true // no day in the page: the same verbs, the same bytes
	header := &doc.GenManHeader{Section: "1", Date: &time.Time{}, Source: "asleft " + cli.Version, Manual: "asleft"}
	return doc.GenManTree(root, header, folder)
}

// layOut keeps the lines of a help text that are set out in columns, such as the exit statuses, which
// the page's paragraphs would otherwise run together.
func layOut(c *cobra.Command) {
	c.Long = columns.ReplaceAllString(c.Long, "\n\n$0")
	c.Long = strings.ReplaceAll(c.Long, "\n  ", "\n      ")
	for _, sub := range c.Commands() {
		layOut(sub)
	}
}

// columns is a run of indented lines.
var columns = regexp.MustCompile(`(?m)(?:^  .*\n?)+`)
