package proof

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"asleft/config/source"
	"asleft/rules/base"
)

//go:embed safety.toml
var safetyText []byte

//go:embed readings.toml
var readingsText []byte

// workedOut are facts that a reader works out from several lines of a job. A clause that read one would trust the reader, and with it
// the thought that the rules rest on.
var workedOut = []string{
	"starter.side", "starter.cut", "start.by-wire", "start.by-link", "start.by-button", "start.fed", "link.form-fits",
	"signal.NAME.level-fits", "feed.NAME.level-fits", "feed.NAME.strong-enough", "circuit.NAME.feeds", "function.NAME.interlocked",
}

// withSafety loads rule files together with the safety property. The clauses of safety are those of its file and of the rule files.
func withSafety(files []base.File) (*base.Base, error) {
	all := append(slices.Clone(files), base.File{Name: "safety.toml", Data: safetyText}, base.File{Name: "readings.toml", Data: readingsText})
	b, problems := base.Load(all)
	if problems != nil {
		return nil, problems
	}
	for _, u := range b.Unsafe {
		if fact := trusting(u.When.Lines()); fact != "" && u.Pos.File == "safety.toml" {
			problems = append(problems, source.Problem{Pos: u.Pos, Message: fmt.Sprintf("the clause %s reads %s, which a reader works out from several lines of a job", u.ID, fact)})
		}
	}
	if problems != nil {
		return nil, problems
	}
	return b, nil
}

// trusting is a fact among lines that is worked out, "" for none.
func trusting(lines []*base.Line) string {
	out := ""
	for _, l := range lines {
		l.Leaves(func(leaf *base.Line, _ string) {
			for _, pattern := range workedOut {
				head, tail, each := strings.Cut(pattern, "NAME")
				if leaf.Name == pattern || each && strings.HasPrefix(leaf.Name, head) && strings.HasSuffix(leaf.Name, tail) {
					out = leaf.Name
				}
			}
		})
	}
	return out
}
