package assign

import (
	_ "embed"
	"fmt"
	"slices"
	"sync"

	"asleft/config/source"
)

//go:embed recipes.toml
var recipesFile []byte

// Recipe says how a relay or a diode is joined: for each terminal mark the word of its far end,
// as recipes.toml lists them.
type Recipe struct {
	ID, Title      string
	Use            string // line, pilot, permission, permission-off, tied-output, tied-line
	Output, Line   string // levels it is for, empty for any
	Marks, Ends    []string
	Notes          []string
	ReleaseMatters bool // the contact must open fast: a plain diode on the coil is too slow
}

// Relay reports whether the recipe is a relay's; the others are diodes'.
func (r *Recipe) Relay() bool { return slices.Contains(r.Marks, "86") }

// marks in the order of printing.
var marks = []string{"86", "85", "30", "87", "87a", "anode", "band"}

var ends = []string{"output", "line", "supply-coil", "supply-line", "supply-motor", "ground", "ground-resistor", "motor-side", "switch-side",
	"starter-side", "key-side", "key-side-ignition",
	"feed", "loop", "vehicle-side", "pedal-side",
	"first-wire", "second-wire", "condition", "condition-return", "in-series", "coils"}

// recipeLines are what a line can be: its level, the way it is worked, or what a feed or state output switches.
var recipeLines = []string{"ground", "battery", "reversal", "ladder", "contact", "interrupt", "held", "held-to-ground", "dropped", "dropped-to-ground",
	"key-loop", "fob-supply", "simulated-brake", "simulated-brake-to-ground"}

type stock struct {
	relays  []Relay
	recipes []Recipe
}

// fitted reads the embedded file once, from its pressed form where that fits; that the file is right is tested, so an
// error is a bug.
var fitted = sync.OnceValue(func() stock {
	var ready stock
	if unpress(recipesPressed, recipesFile, ready.walk) {
		return ready
	}
	s, err := readStock("recipes.toml", recipesFile)
	if err != nil {
		panic(err)
	}
	return s
})

// Recipes returns every way of joining a part, in the order of the embedded file.
func Recipes() []Recipe { return slices.Clone(fitted().recipes) }

// StockRelays returns the relays that plans use unless the problem brings its own.
func StockRelays() []Relay { return slices.Clone(fitted().relays) }

func readStock(name string, data []byte) (stock, error) {
	var s stock
	doc, err := source.Parse(name, data)
	if err != nil {
		return s, err
	}
	root := doc.Root()
	root.Word("schema", []string{"asleft/recipes/1"}, source.Required(`schema = "asleft/recipes/1"`))
	for _, t := range root.Each("relay") {
		s.relays = append(s.relays, Relay{
			ID:     t.Name(),
			Title:  t.Text("title", source.Required(`title = "plug-in mini relay"`)),
			Volts:  t.Whole("volts", 12, 24, source.Required("volts = 12")),
			Ohms:   t.Number("ohms", 20, 1000, source.Required("ohms = 85")),
			Make:   t.Number("make-amps", 1, 100, source.Required("make-amps = 35")),
			Break:  t.Number("break-amps", 0, 100),
			Source: t.Text("source", source.Required(`source = "data sheet"`)),
		})
		t.Close()
	}
	for _, t := range root.Each("recipe") {
		s.recipes = append(s.recipes, readRecipe(t))
	}
	root.Close()
	if p := doc.Problems(); len(p) > 0 {
		return s, p
	}
	return s, nil
}

func readRecipe(t *source.Table) Recipe {
	r := Recipe{
		ID:             t.Name(),
		Title:          t.Text("title", source.Required(`title = "relay"`)),
		Use:            t.Word("use", []string{"line", "pilot", "permission", "permission-off", "tied-output", "tied-line"}, source.Required(`use = "line"`)),
		Output:         t.Word("output", []string{"ground", "battery"}),
		Line:           t.Word("line", recipeLines),
		Notes:          t.Texts("notes"),
		ReleaseMatters: t.Flag("release-matters"),
	}
	for _, m := range marks {
		if end := t.Word(m, ends); end != "" {
			r.Marks, r.Ends = append(r.Marks, m), append(r.Ends, end)
		}
	}
	t.Close()
	return r
}

// recipeFor finds the recipe; that there is one for every case is tested.
func recipeFor(use, output, line string) *Recipe {
	for i, r := range fitted().recipes {
		if r.Use == use && (r.Output == "" || r.Output == output) && (r.Line == "" || r.Line == line) {
			return &fitted().recipes[i]
		}
	}
	panic(fmt.Sprintf("no recipe for %s, output %s, line %s", use, output, line))
}
