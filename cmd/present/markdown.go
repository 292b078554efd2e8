package present

import (
	"fmt"
	"io"
	"strings"
)

// Markdown writes the page as GitHub-flavoured Markdown (tables as in its specification, 4.10).
func Markdown(w io.Writer, p Page) error {
	var b strings.Builder
	if p.Title != "" {
		fmt.Fprintf(&b, "# %s\n", escapeMarkdown(p.Title))
	}
	for _, mark := range p.Marks {
		fmt.Fprintf(&b, "\n_%s_\n", escapeMarkdown(mark))
	}
	for _, s := range p.Sections {
		if s.Title != "" {
			fmt.Fprintf(&b, "\n## %s\n", escapeMarkdown(s.Title))
		}
		for _, block := range s.Blocks {
			b.WriteString("\n")
			markdownBlock(&b, block)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func markdownBlock(b *strings.Builder, block Block) {
	switch x := block.(type) {
	case Text:
		if x.Tone == Danger {
			fmt.Fprintf(b, "**%s**\n", escapeMarkdown(x.Text))
			return
		}
		fmt.Fprintf(b, "%s\n", escapeMarkdown(x.Text))
	case List:
		for i, item := range x.Items {
			lead := "-"
			if x.Numbered {
				lead = fmt.Sprintf("%d.", i+1)
			}
			fmt.Fprintf(b, "%s %s\n", lead, escapeMarkdown(item))
		}
	case Grid:
		markdownGrid(b, x)
	case Strip:
		fmt.Fprintf(b, "`%s`\n", strings.ReplaceAll(stripText(x, PipedColumns), "`", "'"))
	case Figure:
		for _, line := range x.Lines {
			fmt.Fprintf(b, "    %s\n", clean(line))
		}
	}
}

func markdownGrid(b *strings.Builder, g Grid) {
	row := func(cells []string) {
		for _, c := range cells {
			fmt.Fprintf(b, "| %s ", strings.ReplaceAll(escapeMarkdown(c), "\n", " "))
		}
		b.WriteString("|\n")
	}
	head := g.Head
	if len(head) == 0 && len(g.Rows) > 0 { // Markdown has no table without a head
		head = make([]string, len(g.Rows[0]))
	}
	row(head)
	b.WriteString(strings.Repeat("| --- ", len(head)) + "|\n")
	for i, r := range g.Rows {
		if strip, ok := g.Strips[i]; ok {
			r = append(r[:len(r)-1:len(r)-1], r[len(r)-1]+" "+stripText(strip, PipedColumns))
		}
		row(r)
	}
}

// escapeMarkdown keeps typed text from becoming markup.
func escapeMarkdown(s string) string {
	return markdownEscapes.Replace(clean(s))
}

var markdownEscapes = strings.NewReplacer(
	`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", "&lt;", ">", "&gt;", "|", `\|`, "#", `\#`,
)
