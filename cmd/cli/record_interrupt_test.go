package cli

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// countdown is a context that is cancelled at the n-th time somebody asks.
type countdown struct {
	context.Context
	left int
}

func (c *countdown) Err() error {
	if c.left--; c.left < 0 {
		return context.Canceled
	}
	return nil
}

// A long command is interrupted at each moment at which it looks: status 130, one plain message, no
// file half made, every entry as it was.
func TestInterruptedAnywhere(t *testing.T) {
	base := lived(t)
	for _, line := range []string{
		"export $WORK/new.export", "import $WORK/other.export", "backup $WORK/new.book", "restore $WORK/base.book", "verify", "extract 'bus 1' $WORK/new.extract",
	} {
		stopped, step := 0, 23
		if os.Getenv("ASLEFT_FULL") == "1" {
			step = 1
		}
		for n := 0; ; n += step {
			w := base.copied(t)
			args := append([]string{"record"}, w.line(line)...)
			if line != "verify" {
				args = append(args, "--by", "T.V.")
			}
			a := w.runIn(&countdown{context.Background(), n}, args...)
			if a.status == Done {
				break
			}
			stopped++
			if a.status != Interrupted || strings.Count(a.err, "\n") != 1 || !strings.Contains(a.err, "interrupted") || strings.Contains(a.err, "context") {
				t.Fatalf("%s, interrupted at %d: %d %s", line, n, a.status, a.err)
			}
			for name := range folderState(t, w.dir) {
				if ext := filepath.Ext(name); strings.Contains(name, ".new-") || strings.HasPrefix(filepath.Base(name), "new") || ext == ".restoring" || ext == ".holder" || strings.HasSuffix(name, "-journal") {
					t.Errorf("%s, interrupted at %d: %s was left behind", line, n, name)
				}
			}
			if v := w.run("record", "verify"); v.status != Done {
				t.Errorf("%s, interrupted at %d: verify: %d %s%s", line, n, v.status, v.out, v.err)
			}
		}
		if stopped == 0 {
			t.Errorf("%s cannot be interrupted", line)
		}
	}
}
