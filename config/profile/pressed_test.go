package profile

import (
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"asleft/config/pressed"
	"asleft/config/source"
)

var update = flag.Bool("update", false, "write shipped.pressed anew")

// fromTOML reads the embedded devices as a shop's own would be read.
func fromTOML(t testing.TB) (all []*Profile, texts map[string][]byte) {
	t.Helper()
	files, err := devices.ReadDir("devices")
	if err != nil {
		t.Fatal(err)
	}
	texts = map[string][]byte{}
	for _, f := range files {
		name := "devices/" + f.Name()
		data, err := devices.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Read(name, data)
		if err != nil {
			t.Fatal(err)
		}
		all, texts[p.ID] = append(all, p), data
	}
	return all, texts
}

func TestPressedDevicesAreFresh(t *testing.T) {
	all, texts := fromTOML(t)
	want := pressAll(all, func(p *Profile) string { return pressed.FileDigest(texts[p.ID]) })
	if *update {
		if err := os.WriteFile("shipped.pressed", want, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if shipped != string(want) {
		t.Fatal("the pressed form is of other device files; write it anew with: go generate ./config/profile")
	}
}

// What the catalogue gives is what the files say, and it knows the places in them.
func TestPressedDevicesSayTheSame(t *testing.T) {
	all, texts := fromTOML(t)
	for _, want := range all {
		got, fits := unpress(unpressAll(shipped)[want.ID], want.Doc.Name(), texts[want.ID])
		if !fits {
			t.Fatalf("%s is not read from its pressed form", want.ID)
		}
		if d := cmp.Diff(want, got, cmpopts.IgnoreFields(Profile{}, "Doc")); d != "" {
			t.Error(d)
		}
		for _, path := range [][]string{{"id"}, {"option", want.ID, "values"}, {"papers", "title"}} {
			problem := source.Problem{Message: "somewhere"}
			if d := cmp.Diff(want.Doc.Problem(problem, path...), got.Doc.Problem(problem, path...)); d != "" {
				t.Error(d)
			}
		}
	}
}

// A device file that was edited since is read itself, and so is one whose pressed form is damaged.
func TestOtherPressedDevicesAreNotUsed(t *testing.T) {
	text, _ := Text("demo-wren")
	form := unpressAll(shipped)["demo-wren"]
	if _, fits := unpress(form, "demo-wren.toml", append(text, '\n')); fits {
		t.Error("the pressed form of another text was used")
	}
	for at := range form {
		if _, fits := unpress(form[:at], "demo-wren.toml", text); fits {
			t.Errorf("cut at %d and used", at)
		}
		unpress(form[:at]+strings.ToUpper(form[at:]), "demo-wren.toml", text) // another device or none, never a panic
	}
	if p := readDemo("demo-wren", form[:len(form)-1]); p.ID != "demo-wren" {
		t.Errorf("%q was read instead", p.ID)
	}
}

func BenchmarkUnpressController(b *testing.B) {
	text, _ := Text("demo-alder")
	form := unpressAll(shipped)["demo-alder"]
	b.ReportAllocs()
	for b.Loop() {
		unpress(form, "demo-alder.toml", text)
	}
}
