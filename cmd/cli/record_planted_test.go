package cli

import (
	"bytes"
	"encoding/base64"
	"encoding/hex"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// planted are secrets that stand nowhere else, by their fields.
var planted = map[string]string{
	"override-code": "QX74711Z", "resistor": "1k18-pt9", "hidden-place": "under the heater by the left jack",
	"hidden-place.tracker": `behind "panel" \7`,
}

// everyFormat is every word that --format takes somewhere.
var everyFormat = []string{"table", "json", "markdown", "csv", "html"}

// plant keeps the secrets, and then gives them once more wherever a text is taken: in words, reasons,
// readings, in the job file, shouted and whispered.
func plant(t *testing.T) *workshop {
	w := lived(t)
	for _, field := range sortedNames(planted) {
		w.stdin = planted[field] + "\n"
		w.must("record", "keep", "bus 1", "--secret", field, "--by", "T.V.")
	}
	w.stdin = "8841\n"
	var all []string
	for _, field := range sortedNames(planted) {
		all = append(all, planted[field])
	}
	told := strings.Join(all, ", ")
	path := w.tellingJob(told)
	for _, args := range [][]string{
		{"open", path}, {"derive", path}, {"measured", path},
		{"note", "bus 1", told}, {"note", "bus 1", strings.ToUpper(told)}, {"note", "bus 1", strings.ToLower(told)},
		{"comeback", "bus 1", told}, {"observed", "bus 1", comebackEntry, "locks=" + told}, {"cause", "bus 1", comebackEntry, told},
		{"tested", "bus 1", "brake-stops", "passed", told}, {"shown", "bus 1", told}, {"handed-over", "bus 1", told},
		{"fitted", "bus 1", "relay.place=" + told}, {"correct", "bus 1", comebackEntry, "complaint=" + told},
		{"keep", "bus 1", "--personal", "customer=" + planted["override-code"]},
	} {
		w.must(append(append([]string{"record"}, args...), "--by", "T.V.", "--reason", told)...)
	}
	if err := os.RemoveAll(filepath.Dir(path)); err != nil {
		t.Fatal(err)
	}
	return w
}

// tellingJob is the minibus with words in its title and its remarks, in a folder of its own.
func (w *workshop) tellingJob(told string) string {
	w.t.Helper()
	dir := filepath.Join(w.dir, "telling")
	quoted := strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(told)
	title := regexp.MustCompile(`(?m)^title = ".*"`)
	if err := os.Mkdir(dir, 0o700); err != nil {
		w.t.Fatal(err)
	}
	for _, name := range []string{"minibus.toml", "ostlin.policy.toml"} {
		text, err := os.ReadFile(filepath.Join("../../testdata/jobs", name))
		if err != nil {
			w.t.Fatal(err)
		}
		if name == "minibus.toml" && !title.Match(text) {
			w.t.Fatal("the job has no title to tell anything in")
		}
		text = title.ReplaceAllLiteral(text, []byte(`title = "`+quoted+`"`))
		if err := os.WriteFile(filepath.Join(dir, name), append([]byte("# "+told+"\n# "+quoted+"\n"), text...), 0o600); err != nil {
			w.t.Fatal(err)
		}
	}
	return filepath.Join(dir, "minibus.toml")
}

// squeezed is a text in small letters without white space and the lines of tables, so that a secret
// that was wrapped is found too.
func squeezed(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '│' {
			return -1
		}
		return unicode.ToLower(r)
	}, text)
}

// leaked are the fields whose secret stands in data, plainly, escaped, in hexadecimal digits or in base64.
func leaked(data []byte) []string {
	text := squeezed(string(data))
	var fields []string
	for _, field := range sortedNames(planted) {
		secret := planted[field]
		quoted := strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(secret)
		forms := []string{secret, quoted, strings.ReplaceAll(secret, `\`, `\\`), strings.ReplaceAll(secret, `"`, "&#34;"), hex.EncodeToString([]byte(secret)), base64.RawStdEncoding.EncodeToString([]byte(secret))}
		if slices.ContainsFunc(forms, func(form string) bool { return strings.Contains(text, squeezed(form)) }) {
			fields = append(fields, field)
		}
	}
	return fields
}

var base64Run = regexp.MustCompile(`[A-Za-z0-9+/]{16,}={0,2}`)

// inFiles are the files of the workshop in which a secret stands, documents that are written as base64 opened.
func (w *workshop) inFiles() (found []string) {
	for name, data := range folderState(w.t, w.dir) {
		fields := leaked(data)
		lines := data
		if bytes.HasPrefix(data, []byte("SQLite")) { // there documents are bytes
			lines = nil
		}
		for _, run := range base64Run.FindAll(lines, -1) {
			if opened, err := base64.StdEncoding.DecodeString(string(run)); err == nil {
				fields = append(fields, leaked(opened)...)
			}
		}
		if len(fields) > 0 {
			found = append(found, name+": "+joined(fields))
		}
	}
	return found
}

// silent runs a command in every format and wants no secret in what it says, well or badly ended. Where
// a base is given, the first formats find everything as it was there, the others what those left.
func (w *workshop) silent(base *workshop, what string, args ...string) {
	w.t.Helper()
	for i, format := range everyFormat {
		if base != nil && i < 2 {
			base.copyTo(w)
		}
		a := w.run(append(slices.Clone(args), "--format", format)...)
		if fields := leaked([]byte(a.out + a.err)); len(fields) > 0 {
			w.t.Errorf("%s as %s tells %s:\n%s%s", what, format, joined(fields), a.out, a.err)
		}
		if a.status == Broken {
			w.t.Errorf("%s as %s: %s", what, format, a.err)
		}
	}
}

// Override codes, resistor values and hidden places come out by two commands alone, reveal and
// owner-sheet, as a text and a sheet. No other command tells them in any format, well or badly ended,
// nor by its progress or by what a shell completes, and no file that is kept or made holds them.
func TestPlantedSecretsStayIn(t *testing.T) {
	base := plant(t)
	base.term = true // progress is shown
	if found := base.inFiles(); len(found) > 0 {
		t.Fatalf("kept in the clear: %q", found)
	}
	w := base.copied(t)
	for name, line := range looks {
		w.silent(nil, name, w.line(line)...)
	}
	shows := []string{"reveal", "owner-sheet"}
	for _, v := range writingVerbs(t) {
		args := append([]string{"record"}, w.line(v.line)...)
		if !slices.Contains(shows, v.name) {
			w.silent(base, v.line, append(args, "--by", "T.V.", "--reason", "because")...)
			if strings.Contains(v.line, "$WORK/") { // it makes a file
				if found := w.inFiles(); len(found) > 0 {
					t.Errorf("%s: %q", v.line, found)
				}
			}
		}
	}
	base.copyTo(w)
	w.onlyShown(t)
	for _, args := range [][]string{
		{"record", "reveal", "bus 1", "override-cod", "--to", "M.O."}, {"record", "reveal", "bus 1", "resistor"}, {"record", "owner-sheet", "bus 1", "--to", "M.O."},
		{"record", "reveal", "pickup", "resistor", "--to", "M.O."}, {"record", "owner-sheet", "bus 1", "--secrets"},
		{"record", "note", "bus 1", "it is " + planted["override-code"], "--dry-run"}, {"record", "keep", "bus 1", "--secret", "code"},
		{"record", "export", filepath.Join(w.dir, "all.export"), "--all", "--personal"}, {"record", "search", "by=T.V."},
	} {
		w.silent(nil, strings.Join(args, " "), append(args, "--by", "T.V.")...)
	}
	for _, args := range [][]string{
		{"record", "extract", "bus 1", filepath.Join(w.dir, "planted.extract"), "--by", "T.V."}, {"record", "verify", filepath.Join(w.dir, "planted.extract")},
		{"__complete", "record", "reveal", "bus 1", ""}, {"__complete", "record", "log", ""},
	} {
		if a := w.run(args...); len(leaked([]byte(a.out+a.err))) > 0 || a.status != Done && a.status != NoWitness {
			t.Errorf("%s: status %d: %s%s", args, a.status, a.out, a.err)
		}
	}
	if found := w.inFiles(); len(found) > 0 {
		t.Errorf("afterwards: %q", found)
	}
}

// onlyShown wants the secrets from the two commands that show them, as text alone, and an entry of each showing.
func (w *workshop) onlyShown(t *testing.T) {
	t.Helper()
	before := len(w.entries())
	for _, field := range sortedNames(planted) {
		a := w.must("record", "reveal", "bus 1", field, "--to", "M.O.", "--by", "T.V.")
		if got := leaked([]byte(a.out)); len(got) != 1 || got[0] != field || a.err != "" {
			t.Errorf("reveal %s tells %s: %s", field, got, a.err)
		}
	}
	for _, format := range []string{"table", "markdown", "html"} {
		a := w.must("record", "owner-sheet", "bus 1", "--secrets", "--to", "M.O.", "--by", "T.V.", "--format", format)
		words := squeezed(a.out)
		if len(leaked([]byte(a.out))) != len(planted) || !strings.Contains(words, "notinthevehicle") || !strings.Contains(words, "record:") || a.err != "" {
			t.Errorf("the owner's sheet as %s: %s%s", format, a.out, a.err)
		}
	}
	after := w.entries()
	if len(after) != before+len(planted)+3 {
		t.Errorf("%d showings are recorded", len(after)-before)
	}
	if last := after[len(after)-1].Entry; last.Data["sheet"] != "owner's sheet" || last.Data["what"] != "hidden-place, hidden-place.tracker, override-code, resistor" || last.Personal["shown-to"].IsZero() || last.By != "T.V." {
		t.Errorf("the entry: %+v", last)
	}
	for _, line := range [][]string{{"reveal", "bus 1", "resistor"}, {"owner-sheet", "bus 1", "--secrets"}} {
		for _, format := range []string{"json", "csv"} {
			a := w.run(append(append([]string{"record"}, line...), "--to", "M.O.", "--by", "T.V.", "--format", format)...)
			if a.status != BadInput || len(leaked([]byte(a.out+a.err))) > 0 {
				t.Errorf("%s as %s: status %d", line, format, a.status)
			}
		}
	}
	if n := len(w.entries()); n != len(after) {
		t.Errorf("a showing that was refused is recorded")
	}
}
