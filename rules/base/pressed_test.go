package base

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write shipped.pressed anew")

func loadWithoutExamples(t testing.TB) *Base {
	t.Helper()
	b, problems := Load(ShippedFiles())
	if problems != nil {
		t.Fatal(problems)
	}
	for _, r := range b.Rules {
		r.Examples = nil
	}
	return b
}

func TestPressedFormIsFresh(t *testing.T) {
	want := Press(loadWithoutExamples(t))
	if *update {
		if err := os.WriteFile("shipped.pressed", want, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if shipped != string(want) {
		t.Fatal("the pressed form is of other rule files; write it anew with: go generate ./rules/base")
	}
}

// Read back, the pressed form is the rule base that the files say.
func TestPressedFormSaysTheSame(t *testing.T) {
	want := loadWithoutExamples(t)
	got, err := unpress(string(Press(want)))
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got, cmp.AllowUnexported(Base{})); d != "" {
		t.Fatal(d)
	}
}

// Damage is an error or another rule base, never a panic.
func TestDamagedPressedForm(t *testing.T) {
	whole := Press(loadWithoutExamples(t))
	for at := 0; at < len(whole); at += 997 {
		if _, err := unpress(string(whole[:at])); err == nil {
			t.Fatalf("cut at %d and accepted", at)
		}
		damaged := bytes.Clone(whole)
		damaged[at] ^= 0xff
		unpress(string(damaged))
	}
}

func BenchmarkUnpress(b *testing.B) {
	data := string(Press(loadWithoutExamples(b)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := unpress(data); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDigest(b *testing.B) {
	files := ShippedFiles()
	for b.Loop() {
		Digest(files)
	}
}
