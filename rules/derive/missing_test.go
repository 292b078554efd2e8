package derive_test

import (
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"asleft/rules/derive"
)

// A setting that is open says by name what settles it: missing facts, or settings that have to be decided first; and what a missing fact
// is said to settle is on the list, or is a part of the job that is refused until then.
func TestOpenSettingsSayWhatSettlesThem(t *testing.T) {
	r := chance{rand.New(rand.NewPCG(7, 17))}
	b := &bench{world: &world{book: readRulebook(t), profiles: map[string]*tree{}}}
	b.devices(t, r, true)
	b.world.controller, b.world.module = r.one(b.ofKind("controller")), r.one(append(b.ofKind("module"), ""))
	b.shop(t, r)
	open := 0
	for _, name := range []string{"minibus", "pickup", "hatchback", "estate"} {
		data, err := os.ReadFile("../../testdata/jobs/" + name + ".toml")
		if err != nil {
			t.Fatal(err)
		}
		for range 40 {
			b.install(r, r.job(string(data), b.world))
		}
	}
	for i, in := range b.inputs {
		result, err := derive.Derive(in)
		if err != nil {
			t.Fatal(err)
		}
		open += checkOpen(t, b.texts[i], result)
	}
	if open == 0 {
		t.Error("no setting was open in any install: nothing was tried")
	}
}

func checkOpen(t *testing.T, text string, result *derive.Result) (open int) {
	t.Helper()
	names := map[string]bool{}
	for _, s := range result.Settings {
		names[s.Key.String()] = true
		if s.Kind != derive.Open {
			continue
		}
		open++
		if !strings.Contains(s.Otherwise, " to be found out first") && !strings.Contains(s.Otherwise, " to be decided first") || strings.HasPrefix(s.Otherwise, "What it rests on") {
			t.Errorf("%s is open and says %q in\n%s", s.Key, s.Otherwise, text)
		}
	}
	for _, f := range result.Refusals {
		names[f.Scope.String()] = true
	}
	for _, m := range result.Missing {
		for _, what := range m.Settles {
			if !names[what] {
				t.Errorf("%s settles %s, which is nowhere listed, in\n%s", m.Fact, what, text)
			}
		}
	}
	return open
}
