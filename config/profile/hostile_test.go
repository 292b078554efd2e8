package profile

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"asleft/config/source"
)

// Files as large as the bound lets them be, each a crowd of one thing. Read must
// refuse them with a message and quickly: the aim is 100 ms on a quiet machine,
// the test allows for a busy one.
func TestCrowdsAreRefusedQuickly(t *testing.T) {
	for name, text := range crowded() {
		begin := time.Now()
		_, err := Read("crowd.toml", []byte(text))
		took := time.Since(begin)
		if err == nil {
			t.Errorf("%s: accepted", name)
		}
		t.Logf("%s: %d bytes, %v", name, len(text), took.Round(time.Millisecond))
		if took > 2*time.Second {
			t.Errorf("%s took %v", name, took)
		}
	}
}

// Names with terminal escapes and bidirectional overrides are shown, not sent.
func TestMessagesAreVisible(t *testing.T) {
	for _, text := range []string{
		strings.Replace(bench, "[option.sound]", "[option.\"so\\u001b[31mund\"]", 1),
		strings.Replace(bench, `fires = ["1"]`, `fires = ["\u001b]0;x\u0007"]`, 1),
		strings.Replace(bench, `moves = { minutes = "10" }`, `moves = { "\u202eminutes" = "10" }`, 1),
		strings.Replace(bench+exit, `from = ["left"]`, `from = ["le\u001bft"]`, 1),
		strings.Replace(perch, `buttons = ["lock"]`, `buttons = ["l\u0007ock"]`, 1),
	} {
		_, err := Read("test.toml", []byte(text))
		if err == nil {
			t.Error("accepted")
			continue
		}
		if strings.ContainsAny(err.Error(), "\x1b\x07\u202e") {
			t.Errorf("raw control in %q", err)
		}
	}
}

// crowded is one file for each thing that there can be too many of.
func crowded() map[string]string {
	head := bench[:strings.Index(bench, "[fixed]")]
	perchHead := perch[:strings.Index(perch, "[gesture")]
	return map[string]string{
		"wrong settings": fill(head+"[fixed]\n", func(i int) string { return fmt.Sprintf("\"engine-sped.sourc%d\" = \"wire\"\n", i) }),
		"gestures": fill(perchHead, func(i int) string {
			return fmt.Sprintf("[gesture.a%d]\nbuttons=[\"lock\"]\npresses=1\nease=1\nchannel=1\n", i)
		}),
		"outputs": fill(head, func(i int) string {
			return fmt.Sprintf("[output.x%d]\nuse=\"horn\"\nlevel=\"ground\"\nmilliamperes=9\n", i)
		}),
		"options": fill(head, func(i int) string {
			return fmt.Sprintf("[option.o%d]\ntitle=\"t\"\nhow=\"dial\"\nsetting=\"aux.%d.count\"\nvalues=[\"1\",\"2\"]\nfactory=\"1\"\n", i, i)
		}),
		"buttons":       fill(perchHead, func(i int) string { return fmt.Sprintf("[button.b%d]\nmark=\"x\"\nrow=1\ncolumn=1\n", i) }),
		"fired outputs": words(head, "[channel.9]\nfires = [", `"x"`, "]\n", 9000),
		"option values": words(head, "[option.v]\ntitle=\"t\"\nhow=\"dial\"\nsetting=\"unlock.steps\"\nfactory=\"all\"\nvalues = [", `"drivre-first"`, "]\n", 9000),
		"exit states": fill(bench+exit, func(i int) string {
			return fmt.Sprintf("[exit-proof.step.s%d]\nfrom=[\"f%d\"]\non=[\"stall\"]\nto=\"f%d\"\n", i, i, i+1)
		}),
		"exit products":  bench + exit + "[exit-proof.step.z]\nto = \"none\"\non = [\"stall\", \"alarm\", \"limit\", \"lock\", \"key-in\"]\n" + words("", "from = [", `"left"`, "]\n", 9000),
		"wrong channels": fill(head, func(i int) string { return fmt.Sprintf("[channel.%d]\nfires=[\"nowhere\"]\n", i+100) }),
	}
}

// fill puts lines behind head until the file is as large as it may be.
func fill(head string, line func(i int) string) string {
	var b strings.Builder
	b.WriteString(head)
	for i := 0; ; i++ {
		next := line(i)
		if b.Len()+len(next) > source.MaxBytes {
			return b.String()
		}
		b.WriteString(next)
	}
}

// words puts one long list behind head.
func words(head, open, word, shut string, most int) string {
	return head + open + strings.TrimSuffix(strings.Repeat(word+",", most), ",") + shut
}
