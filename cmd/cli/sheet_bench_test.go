package cli

import (
	"context"
	"io"
	"testing"
	"time"
)

// BenchmarkSheet is the main job without the start of the process.
func BenchmarkSheet(b *testing.B) {
	for b.Loop() {
		w := World{
			Args: []string{"sheet", "../../testdata/jobs/minibus.toml"}, Out: io.Discard, Err: io.Discard,
			Getenv: func(string) string { return "" }, Now: time.Now, Context: context.Background(),
		}
		if s := Main(w); s != Done {
			b.Fatal("exit status ", s)
		}
	}
}
