package derive_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"asleft/config/source"
)

// tree is a TOML file as the oracle sees it: the reader of the house is the only thing that it shares with the engine.
type tree struct {
	text  string    // of a scalar; flags are "on" and "off", numbers shortest decimal
	list  []string  // of a list of texts
	nums  []float64 // of a list of numbers
	names []string  // of a table, in the order of the file
	under []*tree   // what stands at the names
	form  treeForm
}

type treeForm int

const (
	scalar treeForm = iota
	textList
	numberList
	table
)

func parseTree(name string, data []byte) (*tree, error) {
	doc, err := source.Parse(name, data)
	if err != nil {
		return nil, err
	}
	return readTree(doc.Root()), nil
}

func parseFile(t *testing.T, name string) *tree {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	out, err := parseTree(name, data)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// readTree asks for each key in every way that it can be read; the faults of the ways that do not fit stay in the document, which
// nobody asks again.
func readTree(t *source.Table) *tree {
	out := &tree{form: table}
	for _, key := range t.Keys() {
		out.names = append(out.names, key)
		out.under = append(out.under, readNode(t, key))
	}
	return out
}

func readNode(t *source.Table, key string) *tree {
	if t.IsTable(key) {
		return readTree(t.Sub(key))
	}
	if list := t.Texts(key); len(list) > 0 {
		return &tree{form: textList, list: list}
	}
	if nums := t.Numbers(key, math.Inf(-1), math.Inf(1)); len(nums) > 0 {
		return &tree{form: numberList, nums: nums}
	}
	return &tree{text: t.Value(key)}
}

// get walks down; nil when there is nothing.
func (t *tree) get(path ...string) *tree {
	for _, p := range path {
		i := slices.Index(t.names, p)
		if i < 0 {
			return nil
		}
		t = t.under[i]
	}
	return t
}

// str is the text at a path, "" when there is none.
func (t *tree) str(path ...string) string {
	if n := t.get(path...); n != nil {
		return n.text
	}
	return ""
}

// words are the members of a list at a path.
func (t *tree) words(path ...string) []string {
	if n := t.get(path...); n != nil {
		return n.list
	}
	return nil
}

// keys are the names in a table at a path.
func (t *tree) keys(path ...string) []string {
	if n := t.get(path...); n != nil {
		return n.names
	}
	return nil
}

// thousandths is a number as the solver counts.
func thousandths(v float64) int { return int(math.Round(v * 1000)) }

// number reads a value of a setting as a number.
func number(text string) (float64, bool) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || strings.Trim(text, "-.0123456789") != "" {
		return 0, false
	}
	return v, true
}

// write says everything of the tree as facts about a document.
func (t *tree) write(b *strings.Builder, doc string, path []string) {
	quoted := make([]string, len(path))
	for i, p := range path {
		quoted[i] = strconv.Quote(p)
	}
	at := "p(" + strings.Join(quoted, ",") + ")"
	switch t.form {
	case table:
		if len(path) > 0 {
			fmt.Fprintf(b, "tab(%s,%s).\n", doc, at)
		}
		for i, name := range t.names {
			if t.under[i].form == table && len(path) == 1 {
				fmt.Fprintf(b, "ord(%s,p(%s,%q),%d).\n", doc, quoted[0], name, i)
			}
			t.under[i].write(b, doc, append(path[:len(path):len(path)], name))
		}
	case textList:
		for _, w := range t.list {
			fmt.Fprintf(b, "e(%s,%s,%q).\n", doc, at, w)
		}
	case numberList:
		for i, v := range t.nums {
			fmt.Fprintf(b, "en(%s,%s,%d,%d).\n", doc, at, i, thousandths(v))
		}
	default:
		if t.text == "" || strings.ContainsFunc(t.text, func(r rune) bool { return r < ' ' || r > '~' || r == '"' || r == '\\' }) {
			return // free text, of which no fact is made
		}
		fmt.Fprintf(b, "r(%s,%s,%q).\n", doc, at, t.text)
		if v, ok := number(t.text); ok {
			fmt.Fprintf(b, "n(%s,%s,%d).\n", doc, at, thousandths(v))
		}
	}
}
