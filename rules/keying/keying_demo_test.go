package keying

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"asleft/config/profile"
)

func demoDevice(t testing.TB, id string) *Device {
	t.Helper()
	p, ok := profile.Find(id)
	if !ok {
		t.Fatalf("no demo device %s", id)
	}
	d, err := Compile("controller", p)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

var demoIDs = []string{"demo-alder", "demo-birch", "demo-cedar", "demo-damson", "demo-elder"}

func fullCircumstances() Circumstances {
	senders := map[int]string{}
	for n := 1; n <= 13; n++ {
		senders[n] = "on the test remote"
	}
	return Circumstances{Wired: []string{"led", "horn", "siren", "lamps", "button", "brake", "ignition", "supply"}, Senders: senders, ButtonPresses: 2}
}

func randomValues(m *Machine, r *rand.Rand) []int8 {
	v := make([]int8, len(m.Options))
	for i, o := range m.Options {
		v[i] = int8(r.IntN(len(o.Values)))
	}
	return v
}

var update = flag.Bool("update", false, "write the golden cards anew")

// TestGoldenCards: the cards of the demo devices from factory to a fixed target, word by word. A change of a word
// is seen here before a technician sees it; -update writes them anew.
func TestGoldenCards(t *testing.T) {
	for _, id := range demoIDs {
		d := demoDevice(t, id)
		start, target := jobOf(t, d)
		c := fullCircumstances()
		c.StartButton = id == "demo-damson"
		card, err := Plan(d, start, target, c)
		if err != nil {
			t.Fatal(err)
		}
		got := cardText(card)
		path := filepath.Join("testdata", strings.TrimPrefix(id, "demo-")+".card.txt")
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s:\n%s", id, diff)
		}
	}
}

func cardText(c Card) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %d presses, %d in the order of the menus, %.0f s, proved %v, at least %d\n", c.Label, c.Presses, c.InOrder, c.Seconds, c.Proved, c.AtLeast)
	list := func(title string, lines []string) {
		fmt.Fprintf(&b, "\n%s\n", title)
		for _, l := range lines {
			fmt.Fprintf(&b, "  %s\n", l)
		}
	}
	steps := func(title string, steps []Step) {
		fmt.Fprintf(&b, "\n%s\n", title)
		for _, s := range steps {
			fmt.Fprintf(&b, "  %s  [%s]\n    -> %s", s.Hands, s.Inputs, s.Expect.Text)
			if s.Limit > 0 {
				fmt.Fprintf(&b, "; within %s s", decimal(s.Limit))
			}
			fmt.Fprintf(&b, "\n    else: %s\n", s.Otherwise)
		}
	}
	list("preparation", c.Preparation)
	list("cautions", c.Cautions)
	steps("entry", c.Entry)
	for _, g := range c.Groups {
		steps(fmt.Sprintf("bank %d item %d, %s: %s to %s (%s)", g.Bank, g.Item, g.Option, g.From, g.To, g.Bearing), g.Steps)
	}
	steps("exit", c.Exit)
	steps("closing check", c.Check)
	list("cannot be seen", []string{c.Blind})
	for _, r := range c.Remaining {
		list("remaining", []string{r.Setting + " " + string(r.Want) + ": " + r.Why})
	}
	return b.String()
}
