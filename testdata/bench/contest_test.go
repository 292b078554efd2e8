package bench

import (
	"fmt"
	"slices"
	"testing"
	"time"
)

// contest times several ways of doing one thing in turn, so that whatever else the machine does falls
// on all of them alike. The first way is the reference.
type contest struct {
	names []string
	times map[string][]time.Duration
}

func (c *contest) time(tb testing.TB, name string, f func() error) {
	tb.Helper()
	if c.times == nil {
		c.times = map[string][]time.Duration{}
	}
	if c.times[name] == nil {
		c.names = append(c.names, name)
	}
	start := time.Now()
	err := f()
	c.times[name] = append(c.times[name], time.Since(start))
	if err != nil {
		tb.Fatalf("%s: %v", name, err)
	}
}

func (c *contest) median(name string) time.Duration {
	sorted := slices.Sorted(slices.Values(c.times[name]))
	return sorted[len(sorted)/2]
}

// report tells each way's median and its speed as a share of the reference's.
func (c *contest) report(b *testing.B) {
	b.ReportMetric(0, "ns/op") // of all ways together: says nothing
	reference := c.median(c.names[0])
	for i, name := range c.names {
		median := c.median(name)
		line := fmt.Sprintf("%-44s %-26s %12v", b.Name(), name, median.Round(time.Microsecond))
		if i > 0 {
			speed := float64(reference) / float64(median)
			line += fmt.Sprintf("   speed %.2f of %s, time %.2f", speed, c.names[0], 1/speed)
			b.ReportMetric(speed, name+"-x")
		}
		fmt.Println(line)
	}
}
