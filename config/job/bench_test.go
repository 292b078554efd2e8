package job

import (
	"os"
	"path/filepath"
	"testing"
)

func BenchmarkRead(b *testing.B) {
	data, err := os.ReadFile(filepath.Join(folder, "minibus.toml"))
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read("minibus.toml", data); err != nil {
			b.Fatal(err)
		}
	}
}
