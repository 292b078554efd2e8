package profile

import (
	"errors"
	"fmt"
	"slices"

	"asleft/config/setting"
	"asleft/config/source"
)

func readOption(doc *source.Document, t *source.Table) Option {
	o := Option{
		ID:      checkedName(t),
		Title:   t.Text("title", source.Required(`title = "longest crank, seconds"`)),
		How:     t.Word("how", hows, source.Required(`how = "keyed"`)),
		Bank:    t.Whole("bank", 1, 20, source.Example("bank = 1")),
		Item:    t.Whole("item", 1, 60, source.Example("item = 7")),
		Factory: t.Text("factory", source.Required(`factory = "off"`)),
		PowerUp: t.Flag("read-at-power-up"),
	}
	if t.Has("value") {
		o.Written, o.Values = true, readPositions(t)
	} else {
		o.Values = readValues(doc, t)
	}
	readAddress(t, o)
	checkFactory(t, &o)
	t.Close()
	return o
}

// readAddress: a keyed option stands somewhere in the menus, others do not.
func readAddress(t *source.Table, o Option) {
	switch {
	case o.How == "keyed" && !t.Has("bank"):
		t.Fault("how", source.Problem{Message: "a keyed option needs its place", Expected: "`bank` and `item`", Example: "bank = 1"})
	case o.How == "keyed" && !t.Has("item"):
		t.Fault("how", source.Problem{Message: "a keyed option needs its place", Expected: "`bank` and `item`", Example: "item = 7"})
	case o.How != "keyed" && o.How != "" && (t.Has("bank") || t.Has("item")):
		t.Fault("how", source.Problem{Message: fmt.Sprintf("a %s option has no place in the menus", o.How),
			Expected: `how = "keyed", or neither bank nor item`, Found: o.How})
	}
	if o.PowerUp && o.How != "strap" && o.How != "dial" {
		t.Fault("read-at-power-up", source.Problem{Message: "only straps and dials are read at power-up", Found: o.How})
	}
}

func checkFactory(t *source.Table, o *Option) {
	if o.Factory == "" || len(o.Values) == 0 {
		return
	}
	var names []string
	for _, v := range o.Values {
		names = append(names, v.Name)
	}
	if !slices.Contains(names, o.Factory) {
		t.Fault("factory", source.Problem{Message: "the factory value is not one of the values", Expected: "one of " + list(names),
			Found: fmt.Sprintf("%q", o.Factory), Nearest: source.Nearest(o.Factory, names)})
	}
}

// readValues reads the usual option: one setting and its values.
func readValues(doc *source.Document, t *source.Table) []OptionValue {
	name := t.Text("setting", source.Required(`setting = "crank.limit"`))
	texts := t.Texts("values", source.Required(`values = ["4", "6", "8"]`))
	silences, moves := t.Sub("silences"), t.Sub("moves")
	family, known := setting.Find(name)
	if name != "" && !known {
		t.Fault("setting", unknownSetting(name))
	}
	texts = atMost(t, "values", texts, 100)
	var values []OptionValue
	for i, text := range texts {
		v := OptionValue{Name: text, Silences: silences.Words(text, feedback), Moves: readMoves(moves, text)}
		if known {
			v.Is = map[string]string{name: parse(family, name, text, func(p source.Problem) {
				doc.Fault(p, append(t.Path(), "values", fmt.Sprint(i))...)
			})}
		}
		values = append(values, v)
	}
	silences.Close()
	moves.Close()
	return values
}

// readPositions reads an option that writes its positions out.
func readPositions(t *source.Table) []OptionValue {
	for _, key := range []string{"setting", "values", "silences", "moves"} {
		if t.Has(key) {
			t.Fault(key, source.Problem{Message: fmt.Sprintf("`%s` and [option.%s.value...] exclude each other", key, source.Visible(t.Name())),
				Expected: "one of the two ways to write an option"})
		}
	}
	t.Text("setting") // asked for, so that they are not reported again as unknown
	t.Texts("values")
	t.Sub("silences")
	t.Sub("moves")
	var values []OptionValue
	all := t.Sub("value")
	for _, name := range all.Keys() {
		at := all.Sub(name)
		is := at.Sub("is", source.Required(`is = { "lock.seconds" = "0.8" }`))
		values = append(values, OptionValue{Name: name, Is: readAssignments(is),
			Silences: at.Words("silences", feedback, source.Example(`silences = ["horn"]`)), Moves: readMoves(at, "moves")})
		at.Close()
	}
	return values
}

// readMoves reads option = value pairs under the key.
func readMoves(t *source.Table, key string) map[string]string {
	if !t.Has(key) {
		return nil
	}
	moved := map[string]string{}
	at := t.Sub(key)
	for _, option := range at.Keys() {
		moved[option] = at.Text(option)
	}
	return moved
}

// readFixed reads the settings that the device has no option for.
func readFixed(t *source.Table) map[string]string { return readAssignments(t) }

// readAssignments reads setting = value pairs.
func readAssignments(t *source.Table) map[string]string {
	out := map[string]string{}
	for _, name := range atMost(t, "", t.Keys(), 600) {
		text := t.Text(name, source.Example(`"brake.active" = "battery"`))
		family, known := setting.Find(name)
		switch {
		case !known:
			t.Fault(name, unknownSetting(name))
		case text != "":
			out[name] = parse(family, name, text, func(p source.Problem) { t.Fault(name, p) })
		}
	}
	return out
}

// parse gives the canonical value, "" after a fault.
func parse(f setting.Family, name, text string, fault func(source.Problem)) string {
	v, err := f.Parse(text)
	var wrong *setting.ValueError
	if errors.As(err, &wrong) {
		fault(source.Problem{Message: fmt.Sprintf("%s cannot be %q", name, text), Expected: wrong.Expected,
			Found: fmt.Sprintf("%q", wrong.Found), Nearest: wrong.Nearest})
	}
	return string(v)
}

func unknownSetting(name string) source.Problem {
	return source.Problem{Message: "no such setting", Expected: "a name of the vocabulary (asleft settings lists it)",
		Found: fmt.Sprintf("%q", name), Nearest: setting.Nearest(name)}
}
