package source

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"
)

// fill repeats what part gives until the file is nearly full.
func fill(part func(i int) string) string {
	var b strings.Builder
	for i := 0; ; i++ {
		p := part(i)
		if b.Len()+len(p) > MaxBytes {
			return b.String()
		}
		b.WriteString(p)
	}
}

// part is the first n pieces.
func part(piece func(i int) string, n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(piece(i))
	}
	return b.String()
}

// bombs are files up to the bound that are built to be slow or large.
var bombs = map[string]string{
	"dotted key of 20 kB":            strings.Repeat("a.", 10000) + "a = 1\n",
	"header of 20 kB":                "[" + strings.Repeat("a.", 10000) + "a]\n",
	"inline tables of 40 kB":         "a = " + strings.Repeat("{a=", 14000) + "1" + strings.Repeat("}", 14000) + "\n",
	"lists of 200 kB inside another": "a = " + strings.Repeat("[", 100000) + strings.Repeat("]", 100000) + "\n",
	"unclosed lists":                 "a = " + strings.Repeat("[", 250000),
	"unclosed inline tables":         "a = " + strings.Repeat("{a=", 80000),
	"many short keys":                fill(func(i int) string { return fmt.Sprintf("k%d=1\n", i) }),
	"many dotted keys":               fill(func(i int) string { return fmt.Sprintf("a.b.c.d.e.f.g.k%d=1\n", i) }),
	"many deep headers":              fill(func(i int) string { return fmt.Sprintf("[a.b.c.d.e.f.g.k%d]\n", i) }),
	"many wide headers":              fill(func(i int) string { return fmt.Sprintf("[k%d.a.a.a.a.a.a.a]\n", i) }),
	"keys under a deep header":       "[a.b.c.d.e.f.g.h]\n" + part(func(i int) string { return fmt.Sprintf("a.b.c.d.e.f.g.k%d=1\n", i) }, MaxValues/8-2),
	"short keys up to the bound":     part(func(i int) string { return fmt.Sprintf("k%d=1\n", i) }, MaxValues),
	"wide headers up to the bound":   part(func(i int) string { return fmt.Sprintf("[k%d.a.a.a.a.a.a.a]\n", i) }, MaxValues/8),
	"deep braces up to the bound":    part(func(i int) string { return fmt.Sprintf("k%d={a={a={a={a={a={a={}}}}}}}\n", i) }, MaxValues/8),
	"dots in braces up to the bound": part(func(i int) string { return fmt.Sprintf("k%d={a.a.a.a.a.a=1,b.b.b.b.b.b=2}\n", i) }, MaxValues/13),
	"long keys up to the bound":      part(func(i int) string { return fmt.Sprintf("a%0100d.%0128d=1\n", i, i) }, 1000),
	"long heads up to the bound":     "[" + strings.Repeat("a", 128) + strings.Repeat("."+strings.Repeat("b", 128), 6) + "]\n" + part(func(i int) string { return fmt.Sprintf("%d.a=%d\n", i, i) }, 4900),
	"long heads of tables": part(func(i int) string {
		return "[" + strings.Repeat(strings.Repeat("b", 20)+".", 7) + fmt.Sprintf("%d]\n", i)
	}, 1240),
	"one inline table of many keys": "a = {" + strings.TrimSuffix(fill(func(i int) string { return fmt.Sprintf("k%d=1,", i) })[:MaxBytes-100], ",") + "\n",
	"closed inline table":           "a = {" + wideInline() + "}\n",
	"deep inline tables, many":      fill(func(i int) string { return fmt.Sprintf("k%d={a={a={a={a={a={a={}}}}}}}\n", i) }),
	"dotted keys in inline tables":  fill(func(i int) string { return fmt.Sprintf("k%d={a.a.a.a.a.a=1,b.b.b.b.b.b=2}\n", i) }),
	"one long list":                 "a = [" + fill(func(i int) string { return "1," })[:MaxBytes-100] + "]\n",
	"list of inline tables":         "a = [" + strings.Repeat("{},", 80000) + "]\n",
	"one long text":                 `a = "` + strings.Repeat("x", MaxBytes-20) + "\"\n",
	"text of escapes":               `a = "` + strings.Repeat(`\n`, MaxBytes/2-20) + "\"\n",
	"long text of line ends":        `a = """` + strings.Repeat("\\\n", MaxBytes/2-20) + "\"\"\"\n",
	"long text of blanks":           `a = """` + strings.Repeat("\\  ", MaxBytes/3-20) + "\n\"\"\"\n",
	"one long number":               "a = " + strings.Repeat("1", MaxBytes-20) + "\n",
	"one long float":                "a = 1." + strings.Repeat("1", MaxBytes-20) + "e9\n",
	"long keys":                     fill(func(i int) string { return fmt.Sprintf("%0128d=1\n", i) }),
	"a key of 200 kB":               strings.Repeat("k", 200000) + " = 1\n",
	"a comment of 250 kB":           "# " + strings.Repeat("c", 250000) + "\n",
	"line ends":                     strings.Repeat("\n", MaxBytes),
	"blanks":                        strings.Repeat(" ", MaxBytes),
	"quotes":                        strings.Repeat(`"`, MaxBytes),
	"wide letters":                  `a = "` + strings.Repeat("日", MaxBytes/3-20) + "\"\n",
	"empty quoted keys":             strings.Repeat(`"".`, 80000),
	"mistake after a long line":     `a = "` + strings.Repeat("x", MaxBytes-50) + "\" \"b\"\n",
	"one byte too many":             strings.Repeat("\n", MaxBytes+1),
}

func wideInline() string {
	parts := make([]string, 25000)
	for i := range parts {
		parts[i] = fmt.Sprintf("k%d=1", i)
	}
	return strings.Join(parts, ",")
}

// The bounds come from what people bear (a tenth of a second) and from a small
// computer (64 MiB); that they hold for every file up to MaxBytes is what the
// other bounds are for.
func TestBombsStayWithinTimeAndSpace(t *testing.T) {
	const limit = 100 * time.Millisecond * slowed
	const tries = 40 // other programs may be running; the best one counts
	for name, data := range bombs {
		t.Run(name, func(t *testing.T) {
			best, bytes := time.Hour, uint64(0)
			for range tries {
				spent, used := burn(data)
				best, bytes = min(best, spent), max(bytes, used)
				if best <= limit {
					break
				}
			}
			t.Logf("%d bytes: %v, %d KiB", len(data), best.Round(time.Microsecond), bytes>>10)
			if best > limit {
				t.Errorf("took %v", best)
			}
			// The race detector drops pooled memory at random, so there it says nothing.
			if bytes > 64<<20 && slowed == 1 {
				t.Errorf("took %d MiB of memory", bytes>>20)
			}
		})
	}
}

// burn reads a file the way a reader that knows no key would, and says how
// long that took and how much memory was asked for in all, which is more than
// was in use at any time.
func burn(data string) (time.Duration, uint64) {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	start := time.Now()
	doc, err := Parse("bomb.toml", []byte(data))
	if err == nil {
		doc.Root().Text("known")
		doc.Root().Close()
		if found := doc.Problems(); found != nil {
			err = found
		}
	}
	if err != nil {
		_ = err.Error()
	}
	spent := time.Since(start)
	runtime.ReadMemStats(&after)
	return spent, after.TotalAlloc - before.TotalAlloc
}
