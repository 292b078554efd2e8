package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"asleft/config/record"
)

// looks are the command lines of all commands that only look; they leave every file as it was.
var looks = map[string]string{
	"sheet": "sheet $JOBS/minibus.toml", "derive": "derive $JOBS/minibus.toml", "why": "why $JOBS/minibus.toml unlock.steps",
	"buttons": "buttons $JOBS/minibus.toml", "key": "key $JOBS/minibus.toml", "check": "check $JOBS/minibus.toml",
	"devices": "devices", "settings": "settings", "which": "which 'bus 1' ramp", "compare": "compare 'bus 1' $JOBS/minibus.toml",
	"status": "status", "record show": "record show 'bus 1'", "record log": "record log 'bus 1'", "record list": "record list",
	"record search": "record search kind=left", "record code": "record code", "record verify": "record verify",
}

// leaves are the commands that do something by themselves, by their words after asleft.
func leaves(c *cobra.Command, path string, found map[string]*cobra.Command) {
	for _, sub := range c.Commands() {
		name := strings.TrimSpace(path + " " + sub.Name())
		if sub.HasSubCommands() {
			leaves(sub, name, found)
		} else if sub.Runnable() {
			found[name] = sub
		}
	}
}

// Every command is known here as one that writes or one that looks, so that none can be added
// without an entry and nobody notices.
func TestEveryCommandWritesOrLooks(t *testing.T) {
	found := map[string]*cobra.Command{}
	leaves(newRoot(&app{World: World{Getenv: func(string) string { return "" }}}), "", found)
	writes := map[string]bool{}
	for _, v := range writingVerbs(t) {
		writes["record "+v.name] = true
	}
	for name := range found {
		if _, looking := looks[name]; looking == writes[name] {
			t.Errorf("asleft %s: put it into testdata/record/writing.txt when it writes, or into looks when it does not", name)
		}
	}
	for name := range writes {
		if found[name] == nil {
			t.Errorf("asleft %s is no command", name)
		}
	}
	if len(writes) < 27 {
		t.Errorf("only %d commands write", len(writes))
	}
}

// Each command that writes leaves an entry that says who, when, on which machine, by which tool, why,
// and, where it speaks of settings, old and new value. Nobody named: nothing is written.
func TestEveryWritingCommandRecords(t *testing.T) {
	base := lived(t)
	before := base.entries()
	for _, item := range before {
		checkChanges(t, string(item.Kind), item.Changes)
	}
	found := map[string]*cobra.Command{}
	leaves(newRoot(&app{World: base.world()}), "", found)
	for _, v := range writingVerbs(t) {
		t.Run(strings.ReplaceAll(v.line, "/", "_"), func(t *testing.T) {
			w := base.copied(t)
			args := append([]string{"record"}, w.line(v.line)...)
			if a := w.run(append(args, "--reason", "because")...); !strings.Contains(v.line, "$JOBS") && a.status != BadInput {
				t.Errorf("without a name: status %d %s", a.status, a.err)
			}
			base.copyTo(w)
			if found["record "+v.name].Flags().Lookup("dry-run") != nil {
				was := folderState(t, w.dir)
				if a := w.run(append(args, "--reason", "because", "--by", "T.V.", "--dry-run")...); a.status != Done {
					t.Errorf("dry run: status %d %s", a.status, a.err)
				}
				sameState(t, was, folderState(t, w.dir))
			}
			w.must(append(args, "--reason", "because", "--by", "T.V.")...)
			after := w.entries()
			if v.name == "renew" {
				before = nil // a new book begins
			}
			if len(after) != len(before)+1 {
				t.Fatalf("%d entries before, %d after", len(before), len(after))
			}
			e := after[len(after)-1].Entry
			if string(e.Kind) != v.kind || e.By != "T.V." || !e.At.Equal(w.now) || e.Offset != 60 || e.Machine != "bay-1" || e.Tool != "asleft "+Version || e.Reason != "because" {
				t.Errorf("the entry: %+v", e)
			}
			if a := w.run("record", "verify"); a.status != Done {
				t.Errorf("afterwards: status %d %s%s", a.status, a.out, a.err)
			}
		})
	}
}

// Commands that look leave every file as it was, down to the byte.
func TestLookingWritesNothing(t *testing.T) {
	w := lived(t)
	was := folderState(t, w.dir)
	for name, line := range looks {
		for _, format := range []string{"table", "json"} {
			if a := w.run(append(w.line(line), "--format", format)...); a.status == Broken || a.status == BadInput {
				t.Errorf("%s: status %d %s", name, a.status, a.err)
			}
		}
	}
	sameState(t, was, folderState(t, w.dir))
}

// checkChanges wants the old and the new value of each setting that an entry speaks of.
func checkChanges(t *testing.T, kind string, changes []record.Change) {
	t.Helper()
	speaks := slices.Contains([]string{"found", "derived", "keyed", "left"}, kind)
	if speaks != (len(changes) > 0) {
		t.Errorf("%d changes of settings in an entry of kind %s", len(changes), kind)
	}
	old := 0
	for _, c := range changes {
		if c.Device == "" || c.Setting == "" || c.To == "" {
			t.Errorf("a change without a new value: %+v", c)
		}
		if c.From != "" {
			old++
		}
	}
	if kind == "left" && old == 0 {
		t.Error("no change names its old value")
	}
}

// folderState is every file of a folder with its bytes.
func folderState(t testing.TB, dir string) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		files[name], err = os.ReadFile(path)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func sameState(t *testing.T, was, is map[string][]byte) {
	t.Helper()
	for name, data := range is {
		if old, there := was[name]; !there {
			t.Errorf("%s was left behind", name)
		} else if !bytes.Equal(old, data) {
			t.Errorf("%s was written to", name)
		}
	}
	for name := range was {
		if _, there := is[name]; !there {
			t.Errorf("%s is gone", name)
		}
	}
}

// A dry run on an empty folder starts no record.
func TestDryRunStartsNoRecord(t *testing.T) {
	w := newWorkshop(t)
	a := w.must(append([]string{"record"}, w.line("open $JOBS/minibus.toml --by T.V. --dry-run")...)...)
	if !strings.Contains(a.out, "nothing was written") {
		t.Errorf("%s", a.out)
	}
	sameState(t, nil, folderState(t, w.dir))
}
