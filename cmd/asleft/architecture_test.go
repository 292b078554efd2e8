package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// rows lists our packages from the top of the house to the bottom. A package may import
// packages of lower rows only; two in one row never import each other.
var rows = [][]string{
	{"cmd/asleft", "cmd/man"},
	{"cmd/cli"},
	{"cmd/present"},
	{"rules/proof"},
	{"rules"},
	{"rules/diagnose"},
	{"rules/assign"},
	{"rules/derive", "rules/keying"},
	{"rules/base"},
	{"rules/internal/search"},
	{"config/job", "config/profile", "config/record"},
	{"config/pressed"},
	{"config/setting", "config/source"},
}

// bans gives, for an import, the packages that alone may have it, and why.
var bans = []struct {
	prefix  string
	allowed []string
	why     string
}{
	{"github.com/spf13/cobra", []string{"cmd/cli", "cmd/asleft", "cmd/man"}, "commands are parsed in one room, so that everything else works without a command line"},
	{"github.com/jedib0t/go-pretty", []string{"cmd/present"}, "tables are drawn in one room, so that every output shows the same facts"},
	{"github.com/BurntSushi/toml", []string{"config/source"}, "TOML is bounded and positioned in one room before anybody reads it"},
	{"github.com/ncruces/go-sqlite3", []string{"config/record"}, "the store is behind one interface, so that a second store can take its place"},
	{"database/sql", []string{"config/record"}, "the store is behind one interface, so that a second store can take its place"},
	{"asleft/config/record", []string{"cmd/cli", "cmd/present"}, "the record stands beside the rules: history reaches them as snapshots"},
}

// listed is what `go list -json` tells of a package.
type listed struct {
	ImportPath, Dir, Export   string
	GoFiles, Imports, Deps    []string
	TestImports, XTestImports []string
	Standard                  bool
}

func TestPackagesImportLowerRowsOnly(t *testing.T) {
	row := map[string]int{}
	for i, names := range rows {
		for _, name := range names {
			row[name] = i
		}
	}
	for _, p := range ourPackages(t) {
		name := strings.TrimPrefix(p.ImportPath, "asleft/")
		at, known := row[name]
		if !known {
			t.Errorf("%s has no row: give it one in this test and say in DEVELOPERS.md what it is for", name)
			continue
		}
		for _, imported := range p.Imports {
			below, ours := strings.CutPrefix(imported, "asleft/")
			if ours && row[below] <= at {
				t.Errorf("%s imports %s: a package imports lower rows only, and siblings never import each other", name, below)
			}
		}
	}
}

func TestBannedImports(t *testing.T) {
	for _, p := range ourPackages(t) {
		name := strings.TrimPrefix(p.ImportPath, "asleft/")
		for _, imported := range p.Imports {
			for _, ban := range bans {
				if strings.HasPrefix(imported, ban.prefix) && !slices.Contains(ban.allowed, name) {
					t.Errorf("%s imports %s: %s", name, imported, ban.why)
				}
			}
		}
	}
}

func TestRulesNeedNoMachine(t *testing.T) {
	const why = "what follows from a job must follow from the job alone: time and history arrive as values"
	direct := []string{"os", "math/rand", "crypto/rand", "os/exec"}
	deep := []string{"net", "database/sql"}
	for _, p := range ourPackages(t) {
		if !underRules(p) {
			continue
		}
		for _, banned := range direct {
			if slices.Contains(p.Imports, banned) {
				t.Errorf("%s imports %s: %s", p.ImportPath, banned, why)
			}
		}
		for _, banned := range deep {
			if slices.Contains(p.Deps, banned) {
				t.Errorf("%s depends on %s at some depth: %s", p.ImportPath, banned, why)
			}
		}
		for _, file := range p.GoFiles {
			forEachChance(t, filepath.Join(p.Dir, file), func(pos token.Position, use string) {
				t.Errorf("%s: rand.%s draws from chance: take a generator with a seed of its own", pos, use)
			})
			forEachClockUse(t, filepath.Join(p.Dir, file), func(pos token.Position, use string) {
				t.Errorf("%s: time.%s: %s", pos, use, why)
			})
		}
	}
}

// TestRulesDoNotDependOnMapOrder refuses a plain range over a map under rules. Two kinds of loop
// are free of order by their form: those that only fill a map by the key, and those that only gather
// keys in a function that sorts. Any other loop whose order cannot matter says so in a comment
// `order-free:` with the reason, on its own line before.
func TestRulesDoNotDependOnMapOrder(t *testing.T) {
	packages := listWithExports(t)
	exports := map[string]string{}
	for _, p := range packages {
		exports[p.ImportPath] = p.Export
	}
	for _, p := range packages {
		if underRules(p) {
			checkMapRanges(t, p, exports)
		}
	}
}

func TestTopLevelHoldsTheAgreedFoldersOnly(t *testing.T) {
	allowed := []string{"cmd", "config", "rules", "testdata", "README.md", "DEVELOPERS.md", "go.mod", "go.sum"}
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && e.Name() != "asleft" && !slices.Contains(allowed, e.Name()) {
			t.Errorf("top level holds %s: the house has %s and nothing else but dotfiles", e.Name(), strings.Join(allowed, ", "))
		}
	}
}

func TestFilesAndFunctionsCanBeHeldInTheHead(t *testing.T) {
	const fileLines, functionLines = 450, 60
	for _, p := range ourPackages(t) {
		for _, name := range p.GoFiles {
			path := filepath.Join(p.Dir, name)
			fset, file := parse(t, path)
			if n := fset.Position(file.End()).Line; n > fileLines {
				t.Errorf("%s has %d lines: split it by concept (limit %d)", path, n, fileLines)
			}
			for _, d := range file.Decls {
				f, isFunc := d.(*ast.FuncDecl)
				if !isFunc {
					continue
				}
				if n := fset.Position(f.End()).Line - fset.Position(f.Pos()).Line; n > functionLines {
					t.Errorf("%s: %s has %d lines (limit %d)", fset.Position(f.Pos()), f.Name.Name, n, functionLines)
				}
			}
		}
	}
}

func TestExportedNamesAreDocumented(t *testing.T) {
	for _, p := range ourPackages(t) {
		for _, name := range p.GoFiles {
			fset, file := parse(t, filepath.Join(p.Dir, name))
			for _, d := range file.Decls {
				for _, missing := range undocumented(d) {
					t.Errorf("%s: %s is exported and says nothing about itself", fset.Position(d.Pos()), missing)
				}
			}
		}
	}
}

// undocumented names the exported things that d declares without a doc comment.
func undocumented(d ast.Decl) []string {
	var names []string
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Name.IsExported() && d.Doc == nil && !methodOfUnexported(d) && !wellKnown(d) {
			names = append(names, d.Name.Name)
		}
	case *ast.GenDecl:
		for _, spec := range d.Specs {
			switch s := spec.(type) {
			case *ast.TypeSpec:
				if s.Name.IsExported() && d.Doc == nil && s.Doc == nil && s.Comment == nil {
					names = append(names, s.Name.Name)
				}
			case *ast.ValueSpec:
				if s.Names[0].IsExported() && d.Doc == nil && s.Doc == nil && s.Comment == nil {
					names = append(names, s.Names[0].Name)
				}
			}
		}
	}
	return names
}

// wellKnown are methods of interfaces of the standard library, which say the same everywhere.
func wellKnown(f *ast.FuncDecl) bool {
	return f.Recv != nil && slices.Contains([]string{"Error", "Unwrap", "Len", "Less", "Swap", "Push", "Pop"}, f.Name.Name)
}

func methodOfUnexported(f *ast.FuncDecl) bool {
	if f.Recv == nil {
		return false
	}
	kind := f.Recv.List[0].Type
	for {
		switch k := kind.(type) {
		case *ast.StarExpr:
			kind = k.X
		case *ast.IndexExpr:
			kind = k.X
		case *ast.IndexListExpr:
			kind = k.X
		case *ast.Ident:
			return !k.IsExported()
		default:
			return false
		}
	}
}

func underRules(p listed) bool {
	return p.ImportPath == "asleft/rules" || strings.HasPrefix(p.ImportPath, "asleft/rules/")
}

// forEachChance reports every use of math/rand/v2 but a generator with a seed written down.
func forEachChance(t *testing.T, path string, report func(token.Position, string)) {
	seeded := []string{"New", "NewPCG", "Rand", "PCG"}
	fset, file := parse(t, path)
	ast.Inspect(file, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := sel.X.(*ast.Ident); ok && x.Name == "rand" && !slices.Contains(seeded, sel.Sel.Name) {
				report(fset.Position(sel.Pos()), sel.Sel.Name)
			}
		}
		return true
	})
}

func forEachClockUse(t *testing.T, path string, report func(token.Position, string)) {
	clock := []string{"Now", "Since", "Until", "After", "AfterFunc", "Sleep", "Tick", "NewTimer", "NewTicker"}
	fset, file := parse(t, path)
	ast.Inspect(file, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := sel.X.(*ast.Ident); ok && x.Name == "time" && slices.Contains(clock, sel.Sel.Name) {
				report(fset.Position(sel.Pos()), sel.Sel.Name)
			}
		}
		return true
	})
}

func checkMapRanges(t *testing.T, p listed, exports map[string]string) {
	fset := token.NewFileSet()
	var files []*ast.File
	for _, name := range p.GoFiles {
		f, err := parser.ParseFile(fset, filepath.Join(p.Dir, name), nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	lookup := func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) }
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
	config := types.Config{Importer: importer.ForCompiler(fset, "gc", lookup)}
	if _, err := config.Check(p.ImportPath, fset, files, info); err != nil {
		t.Fatalf("%s: %v", p.ImportPath, err)
	}
	for _, f := range files {
		excused := map[int]bool{}
		for _, c := range f.Comments {
			if strings.Contains(c.Text(), "order-free:") {
				excused[fset.Position(c.End()).Line+1] = true
			}
		}
		for _, d := range f.Decls {
			ast.Inspect(d, func(n ast.Node) bool {
				loop, ok := n.(*ast.RangeStmt)
				if !ok {
					return true
				}
				_, isMap := info.Types[loop.X].Type.Underlying().(*types.Map)
				if at := fset.Position(loop.Pos()); isMap && !excused[at.Line] && !orderFree(info, d, loop) {
					t.Errorf("%s: range over a map: the same input must give the same bytes; sort the keys, or say `order-free:` why", at)
				}
				return true
			})
		}
	}
}

// orderFree reports whether a loop over a map cannot depend on its order, by its form.
func orderFree(info *types.Info, in ast.Decl, loop *ast.RangeStmt) bool {
	for _, s := range loop.Body.List {
		assign, ok := s.(*ast.AssignStmt)
		if !ok || len(assign.Lhs) != 1 {
			return false
		}
		if index, ok := assign.Lhs[0].(*ast.IndexExpr); ok {
			key, isKey := index.Index.(*ast.Ident)
			own, named := loop.Key.(*ast.Ident)
			if _, intoMap := info.Types[index.X].Type.Underlying().(*types.Map); intoMap && isKey && named && key.Name == own.Name {
				continue
			}
			return false
		}
		call, ok := assign.Rhs[0].(*ast.CallExpr)
		if !ok {
			return false
		}
		if name, ok := call.Fun.(*ast.Ident); !ok || name.Name != "append" || !sorts(in) {
			return false
		}
	}
	return true
}

// sorts reports whether a function sorts something.
func sorts(d ast.Decl) bool {
	found := false
	ast.Inspect(d, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := sel.X.(*ast.Ident); ok && (x.Name == "slices" || x.Name == "sort") && strings.HasPrefix(sel.Sel.Name, "Sort") || ok && x.Name == "sort" {
				found = true
			}
		}
		return true
	})
	return found
}

func parse(t *testing.T, path string) (*token.FileSet, *ast.File) {
	t.Helper()
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, path, nil, parser.ParseComments|parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	return fset, file
}

const root = "../.."

func ourPackages(t *testing.T) []listed {
	t.Helper()
	return goList(t, "list", "-json=ImportPath,Dir,GoFiles,Imports,Deps", "./...")
}

func listWithExports(t *testing.T) []listed {
	t.Helper()
	return goList(t, "list", "-deps", "-export", "-json=ImportPath,Dir,GoFiles,Export,Standard", "./rules/...")
}

func goList(t *testing.T, args ...string) []listed {
	t.Helper()
	if _, err := os.Stat(filepath.Join(root, "rules")); errors.Is(err, fs.ErrNotExist) {
		t.Fatal("no rules folder: the test does not stand in the repository")
	}
	command := exec.Command("go", args...)
	command.Dir = root
	var stderr bytes.Buffer
	command.Stderr = &stderr
	out, err := command.Output()
	if err != nil {
		t.Fatal(fmt.Errorf("go %s: %w\n%s", strings.Join(args, " "), err, stderr.String()))
	}
	var all []listed
	for dec := json.NewDecoder(bytes.NewReader(out)); dec.More(); {
		var p listed
		if err := dec.Decode(&p); err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	if len(all) < 10 {
		t.Fatalf("go list found %d packages only: the test would prove nothing", len(all))
	}
	return all
}
