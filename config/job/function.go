package job

import (
	"errors"
	"fmt"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
)

// OwnersWords are what the owner calls the function first of all, and its name where the job has no words for it.
func (f *Function) OwnersWords() string {
	if len(f.Words) > 0 {
		return f.Words[0]
	}
	return strings.ReplaceAll(f.Name, "-", " ")
}

// readFunction reads [function.NAME].
func readFunction(t *source.Table) Function {
	defer t.Close()
	f := Function{
		Name:         name(t),
		Words:        t.Texts("words"),
		Does:         t.Word("does", does, source.Required(`does = "boot"`)),
		Direction:    known(t, "direction", directions),
		Line:         cavity(t, "line"),
		Active:       known(t, "active", lineActives),
		Amps:         amperes(t, 60),
		Count:        t.Whole("count", 1, 4),
		Moves:        yesNo(t, "moves"),
		OutOfSight:   yesNo(t, "out-of-sight"),
		SelfReverses: yesNo(t, "self-reverses"),
		Keeps:        known(t, "keeps", keeps),
		When:         t.Words("when", interlocks),
		Joined:       t.Words("joined", interlocks),
		Output:       nameIn(t, "output"),
	}
	f.MinSeconds, f.MaxSeconds = secondsRange(t)
	if f.Does == "heated-seat" || f.Does == "heated-glass" || f.Does == "cabin-heater" {
		f.AtStart = known(t, "at-start", []string{"off", "on"})
		f.Below, f.HasBelow = t.Number("below", -40, 30), t.Has("below")
	}
	on := t.Sub("on", source.Example(`on = { big = { use = "daily" } }`))
	for _, r := range on.Keys() {
		f.On = append(f.On, readFunctionWish(on.Sub(r), r))
	}
	on.Close()
	if len(f.On) == 0 && f.AtStart != "on" {
		t.Fault("on", source.Problem{
			Message:  fmt.Sprintf("the function %s is wanted on no remote", source.Visible(f.Name)),
			Expected: "the remotes that it is wanted on",
			Example:  `on = { big = { use = "daily" } }`,
		})
	}
	return f
}

// readFunctionWish reads on which remote, and how, a function is wanted.
func readFunctionWish(t *source.Table, remote string) FunctionWish {
	defer t.Close()
	return FunctionWish{
		Remote:  remote,
		Gesture: nameIn(t, "gesture"),
		Use:     t.Word("use", uses, source.Required(`use = "daily"`)),
		Signed:  t.Text("signed"),
	}
}

// readWish reads [wish.NAME].
func readWish(t *source.Table) Wish {
	defer t.Close()
	w := Wish{
		Name:    name(t),
		Device:  nameIn(t, "device"),
		Setting: t.Text("setting", source.Required(`setting = "unlock.steps"`)),
		Value:   t.Value("value", source.Required(`value = "driver-first"`)),
		By:      t.Text("by"),
		Reason:  t.Text("reason"),
	}
	if w.Device == "" {
		w.Device = "controller"
	}
	w.Value = checkValue(t, "value", w.Setting, w.Value)
	return w
}

// checkValue checks the setting under "setting" and a value under key, and
// gives the value in its canonical form.
func checkValue(t *source.Table, key, name, value string) string {
	if name == "" {
		return value
	}
	family, ok := setting.Find(name)
	if !ok {
		t.Fault("setting", source.Problem{
			Message: "there is no setting of this name",
			Found:   name,
			Nearest: setting.Nearest(name),
			Example: `setting = "unlock.steps"`,
		})
		return value
	}
	if value == "" {
		return value
	}
	return canonical(t, key, value, family.Parse)
}

// canonical parses a value and notes what is wrong with it.
func canonical(t *source.Table, key, value string, parse func(string) (setting.Value, error)) string {
	v, err := parse(value)
	if err == nil {
		return string(v)
	}
	p := source.Problem{Message: fmt.Sprintf("`%s` is not a value of this setting", key), Found: value}
	var wrong *setting.ValueError
	if errors.As(err, &wrong) {
		p.Expected, p.Nearest, p.Found = wrong.Expected, wrong.Nearest, wrong.Found
	}
	t.Fault(key, p)
	return value
}
