package present

import (
	"encoding/csv"
	"io"
	"strings"
)

// CSV writes the page's first table as RFC 4180 comma-separated values. A cell that a spreadsheet
// would take for a formula gets a leading apostrophe.
func CSV(w io.Writer, p Page) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true // RFC 4180, section 2, item 1
	for _, s := range p.Sections {
		for _, block := range s.Blocks {
			g, ok := block.(Grid)
			if !ok {
				continue
			}
			rows := append([][]string{g.Head}, g.Rows...)
			for _, r := range rows {
				cells := make([]string, len(r))
				for i, c := range r {
					cells[i] = inert(clean(c))
				}
				if err := out.Write(cells); err != nil {
					return err
				}
			}
			out.Flush()
			return out.Error()
		}
	}
	return nil
}

// inert takes the life out of a cell that begins like a formula.
func inert(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r＝＋－＠", []rune(s)[0]) {
		return "'" + s
	}
	return s
}
