package derive

import (
	"testing"

	"asleft/config/setting"
)

func BenchmarkDerive(b *testing.B) {
	in := readJob(b, "minibus")
	for b.Loop() {
		if _, err := Derive(in); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkRun is the inner loop alone: everything is decided, nothing is allocated.
func BenchmarkRun(b *testing.B) {
	d, err := prepare(readJob(b, "minibus"))
	if err != nil {
		b.Fatal(err)
	}
	d.program.load(d.state)
	b.ReportAllocs()
	for b.Loop() {
		d.program.run(d.state)
	}
}

func BenchmarkWhyNot(b *testing.B) {
	a, err := Ask(readJob(b, "minibus"))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := a.WhyNot(setting.Key{Device: "controller", Setting: "engine-speed.source"}, "voltage", true); err != nil {
			b.Fatal(err)
		}
	}
}
