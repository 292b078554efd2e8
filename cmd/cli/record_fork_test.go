package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A copy of a laptop goes its own way. A third laptop that hears of both finds it at once, takes
// nothing, and keeps a proof that anybody checks without a record; a proof with one changed byte fails.
func TestForkIsProven(t *testing.T) {
	one := lived(t)
	two := one.copied(t)
	third := newWorkshop(t)
	third.must(append([]string{"record"}, third.line("open $JOBS/hatchback.toml --by J.K.")...)...)
	for name, w := range map[string]*workshop{"here": one, "there": two} {
		w.must("record", "note", "pickup", name, "--by", "T.V.")
		w.must("record", "export", filepath.Join(third.dir, name+".export"), "--by", "T.V.")
	}
	third.must("record", "import", filepath.Join(third.dir, "here.export"), "--by", "J.K.")
	size := len(third.entries())
	proof := filepath.Join(third.dir, "fork.proof")
	a := third.run("record", "import", filepath.Join(third.dir, "there.export"), "--by", "J.K.", "--proof", proof)
	if a.status != NotVerified || !strings.Contains(a.out, "NOTHING WAS TAKEN") || !strings.Contains(a.out, "continued in two ways") {
		t.Errorf("%d %s%s", a.status, a.out, a.err)
	}
	after := third.entries()
	if note := after[len(after)-1]; len(after) != size+1 || note.Blobs["fork"].IsZero() || !strings.Contains(note.Data["text"], "continued in two ways") {
		t.Errorf("%d entries, before %d; the newest: %+v", len(after), size, note.Entry)
	}
	if a := third.must("record", "log"); !strings.Contains(a.out, "import refused") {
		t.Errorf("the log of the whole record: %s", a.out)
	}
	anywhere := newWorkshop(t)
	a = anywhere.must("record", "verify", proof)
	if !strings.Contains(a.out, "The proof holds") {
		t.Errorf("%s", a.out)
	}
	good, err := os.ReadFile(proof)
	if err != nil {
		t.Fatal(err)
	}
	for at := 0; at < len(good); at += len(good) / 40 {
		bad := append([]byte(nil), good...)
		bad[at] ^= 1
		os.WriteFile(proof, bad, 0o600)
		if a := anywhere.run("record", "verify", proof); a.status != BadInput && a.status != NotVerified || !strings.Contains(a.err, "asleft: hint: ") {
			t.Errorf("byte %d changed: %d %s%s", at, a.status, a.out, a.err)
		}
	}
	sameState(t, nil, folderState(t, anywhere.dir))
}
