package source

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// The outside check of this package is toml-test, the test suite that the TOML
// project publishes for parsers (commit b54f9ffc, of 2025-12-16). Our TOML
// library ships a copy inside its own module, so the files are where the
// library is, and are read from there.

// suite is the folder with the files of toml-test.
func suite(t *testing.T) string {
	t.Helper()
	dir, err := suiteFolder()
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

var suiteFolder = sync.OnceValues(func() (string, error) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/BurntSushi/toml").Output()
	if err != nil {
		return "", fmt.Errorf("where the TOML library is: %w", err)
	}
	dir := filepath.Join(strings.TrimSpace(string(out)), "internal", "toml-test", "tests")
	_, err = os.Stat(dir)
	return dir, err
})

// only11 are the files of the suite that belong to TOML 1.1, as the suite's own
// list of versions has them; under 1.0 they say nothing.
var only11 = []string{
	"valid/spec-1.1.0/", "invalid/spec-1.1.0/", "valid/string/escape-esc.toml", "valid/string/hex-escape.toml",
	"invalid/string/bad-hex-esc.toml", "valid/datetime/no-seconds.toml", "valid/inline-table/newline.toml",
	"valid/inline-table/newline-comment.toml",
}

// refusedOnPurpose are the files of TOML 1.0 that this package refuses although
// they are valid, with a part of what it says: the whole list of them.
var refusedOnPurpose = map[string]string{
	"array/array-subtables.toml":                   "array of tables",
	"array/open-parent-table.toml":                 "array of tables",
	"comment/everywhere.toml":                      "array of tables",
	"inline-table/key-dotted-02.toml":              "too deep",
	"inline-table/key-dotted-04.toml":              "array of tables",
	"key/dotted-04.toml":                           "array of tables",
	"key/like-date.toml":                           "array of tables",
	"spec-1.0.0/array-of-tables-0.toml":            "array of tables",
	"spec-1.0.0/array-of-tables-1.toml":            "array of tables",
	"table/array-empty-name.toml":                  "array of tables",
	"table/array-empty.toml":                       "array of tables",
	"table/array-implicit-and-explicit-after.toml": "array of tables",
	"table/array-implicit.toml":                    "array of tables",
	"table/array-many.toml":                        "array of tables",
	"table/array-nest.toml":                        "array of tables",
	"table/array-one.toml":                         "array of tables",
	"table/array-table-array.toml":                 "array of tables",
	"table/array-within-dotted.toml":               "array of tables",
}

func cases(t *testing.T, kind string) map[string][]byte {
	t.Helper()
	dir := filepath.Join(suite(t), kind)
	files := map[string][]byte{}
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(path, ".toml") {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		name = filepath.ToSlash(name)
		if slices.ContainsFunc(only11, func(p string) bool { return strings.HasPrefix(kind+"/"+name, p) }) {
			return nil
		}
		files[name], err = os.ReadFile(path)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestTomlTestInvalid(t *testing.T) {
	files := cases(t, "invalid")
	for name, data := range files {
		if _, err := Parse(name, data); err == nil {
			t.Errorf("%s is accepted:\n%s", name, data)
		}
	}
	t.Logf("%d files refused", len(files))
}

func TestTomlTestValid(t *testing.T) {
	files := cases(t, "valid")
	for name, data := range files {
		doc, err := Parse(name, data)
		if part := refusedOnPurpose[name]; part != "" {
			if err == nil || !strings.Contains(err.Error(), part) {
				t.Errorf("%s is to be refused with %q: %v", name, part, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		path := filepath.Join(suite(t), "valid", strings.TrimSuffix(name, ".toml")+".json")
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		var want any
		if err := json.Unmarshal(raw, &want); err != nil {
			t.Fatal(err)
		}
		if diff := differs(doc.root, want); diff != "" {
			t.Errorf("%s: %s\n%s", name, diff, data)
		}
	}
	t.Logf("%d files read, %d of them refused on purpose", len(files), len(refusedOnPurpose))
}

// differs compares the index and its values with the suite's tagged JSON.
func differs(n *node, want any) string {
	switch w := want.(type) {
	case []any:
		if n.kind != array || len(n.order) != len(w) {
			return fmt.Sprintf("%s: want a list of %d", n.name, len(w))
		}
		for i := range w {
			if d := differs(n.order[i], w[i]); d != "" {
				return fmt.Sprintf("%s[%d]%s", n.name, i, d)
			}
		}
		return ""
	case map[string]any:
		kind, tagged := w["type"].(string)
		value, valued := w["value"].(string)
		if tagged && valued && len(w) == 2 {
			return wrongValue(n, kind, value)
		}
		if !n.kind.table() || len(n.order) != len(w) {
			return fmt.Sprintf("%s: want a table of %d", n.name, len(w))
		}
		for k, v := range w {
			c := n.child(k)
			if c == nil {
				return fmt.Sprintf("%s: no key %q", n.name, k)
			}
			if d := differs(c, v); d != "" {
				return n.name + "." + d
			}
		}
		return ""
	}
	return "bad test"
}

func wrongValue(n *node, kind, want string) string {
	got, same := "", false
	switch kind {
	case "string":
		got, _ = n.data.(string)
		same = got == want
	case "integer":
		v, ok := n.data.(int64)
		got = strconv.FormatInt(v, 10)
		same = ok && got == want
	case "float":
		v, ok := n.data.(float64)
		w, _ := strconv.ParseFloat(want, 64)
		got = fmt.Sprint(v)
		same = ok && (v == w || v != v && w != w)
	case "bool":
		v, ok := n.data.(bool)
		got = fmt.Sprint(v)
		same = ok && got == want
	case "datetime":
		v, ok := n.data.(time.Time)
		w, err := time.Parse(time.RFC3339Nano, want)
		got = fmt.Sprint(v)
		same = ok && err == nil && v.Equal(w)
	default:
		got = strings.NewReplacer("t", "T", " ", "T").Replace(n.raw)
		same = got == want
	}
	if same {
		return ""
	}
	return fmt.Sprintf("%s: got %s %q, want %q", n.name, kind, got, want)
}
