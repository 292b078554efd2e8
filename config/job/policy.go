package job

import (
	"fmt"

	"asleft/config/setting"
	"asleft/config/source"
)

// PolicySchema is the first line of every policy file.
const PolicySchema = "asleft/policy/1"

// ReadPolicy reads a shop's policy. Limits stand above wishes, defaults below
// them. The error is source.Problems with every mistake of the file.
func ReadPolicy(name string, data []byte) (*Policy, error) {
	doc, err := source.Parse(name, data)
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	schema(root, PolicySchema)
	p := &Policy{
		Doc:      doc,
		Shop:     root.Text("shop", source.Required(`shop = "Ostlin Bay Workshop"`)),
		By:       root.Text("by", source.Required(`by = "T.V."`)),
		Tests:    root.Texts("tests"),
		Override: map[string][]string{},
	}
	for _, id := range p.Tests {
		if !word(id) {
			root.Fault("tests", notWord(id))
		}
	}
	for _, t := range root.Each("limit") {
		p.Limits = append(p.Limits, readBound(t))
	}
	for _, t := range root.Each("default") {
		p.Defaults = append(p.Defaults, readDefault(t))
	}
	readOverrides(root.Sub("override"), p.Override)
	root.Close()
	if found := doc.Problems(); found != nil {
		return nil, found
	}
	return p, nil
}

// readBound reads [limit.NAME]: the values allowed, or the largest number.
func readBound(t *source.Table) Bound {
	defer t.Close()
	b := Bound{
		Name:    name(t),
		Setting: settingName(t),
		AtMost:  t.Number("at-most", 0.001, 1e6),
		Reason:  t.Text("reason", source.Required(`reason = "yard rules"`)),
	}
	for _, v := range t.Texts("allowed", source.Example(`allowed = ["hold", "double"]`)) {
		b.Values = append(b.Values, checkValue(t, "allowed", b.Setting, v))
	}
	if (b.AtMost > 0) == (len(b.Values) > 0) {
		t.Fault("", source.Problem{
			Message:  fmt.Sprintf("the limit %s allows nothing, or says it twice", b.Name),
			Expected: "either at-most with a number, or allowed with the values",
			Example:  "at-most = 10",
		})
	}
	if f, ok := setting.Find(b.Setting); ok && b.AtMost > 0 && f.Kind != setting.KindNumber {
		t.Fault("at-most", source.Problem{
			Message:  fmt.Sprintf("%s is no number", b.Setting),
			Expected: "allowed with the values, " + f.Expected(),
		})
	}
	return b
}

// readDefault reads [default.NAME]: the value that is preferred.
func readDefault(t *source.Table) Bound {
	defer t.Close()
	b := Bound{
		Name:    name(t),
		Setting: settingName(t),
		Reason:  t.Text("reason"),
	}
	if v := t.Value("value", source.Required(`value = "none"`)); v != "" {
		b.Values = []string{checkValue(t, "value", b.Setting, v)}
	}
	return b
}

// settingName reads the name of a setting.
func settingName(t *source.Table) string {
	s := t.Text("setting", source.Required(`setting = "run.minutes"`))
	if s != "" {
		checkValue(t, "setting", s, "")
	}
	return s
}

// readOverrides reads [override]: who may override which settings.
func readOverrides(t *source.Table, into map[string][]string) {
	defer t.Close()
	for _, who := range t.Keys() {
		into[who] = t.Texts(who)
		for _, s := range into[who] {
			if _, ok := setting.Find(s); !ok {
				t.Fault(who, source.Problem{
					Message: fmt.Sprintf("%s may override a setting that there is not", source.Visible(who)),
					Found:   s,
					Nearest: setting.Nearest(s),
				})
			}
		}
	}
}
