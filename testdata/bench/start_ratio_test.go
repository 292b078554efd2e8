package bench

import (
	"io"
	"os"
	"os/exec"
	"slices"
	"testing"
	"time"
)

// BenchmarkStartRatio runs whole processes in turns, so that a busy machine is busy for all of them, and reports for
// each the median, how many times the median of an empty cobra program that is, and the same of the time on the
// processors (user and system), which says less about who else is at work. The goals are twice the empty program for
// "which", and twice and 20 ms for a sheet.
//
//	go test -bench StartRatio -run NONE -benchtime 40x
func BenchmarkStartRatio(b *testing.B) {
	empty := build(b, ".", "./empty")
	asleft := build(b, "../..", "./cmd/asleft")
	b.Setenv("ASLEFT_RECORD", b.TempDir()+"/shop.book")
	b.Setenv("ASLEFT_STATE", b.TempDir())
	const jobs = "../jobs/"
	for _, args := range [][]string{
		{"record", "open", jobs + "minibus.toml", "--by", "T.V."}, {"record", "found", jobs + "minibus.toml", jobs + "minibus.found.toml", "--by", "T.V."},
		{"record", "measured", jobs + "minibus.toml", "--by", "T.V."}, {"record", "derive", jobs + "minibus.toml", "--by", "T.V."},
		{"record", "keyed", jobs + "minibus.toml", "--by", "T.V."}, {"record", "left", jobs + "minibus.toml", "--by", "T.V."},
	} {
		once(b, asleft, args...)
	}
	commands := []struct {
		name string
		line []string
	}{
		{"empty", []string{empty}}, {"version", []string{asleft, "--version"}}, {"help", []string{asleft, "--help"}},
		{"which", []string{asleft, "which", "bus 1", "side", "door"}}, {"minibus", []string{asleft, "sheet", jobs + "minibus.toml"}},
		{"pickup", []string{asleft, "sheet", jobs + "pickup.toml"}}, {"hatchback", []string{asleft, "sheet", jobs + "hatchback.toml"}},
		{"estate", []string{asleft, "sheet", jobs + "estate.toml"}},
	}
	spent, worked := make([][]time.Duration, len(commands)), make([][]time.Duration, len(commands))
	for b.Loop() {
		for i, c := range commands {
			wall, work := once(b, c.line[0], c.line[1:]...)
			spent[i], worked[i] = append(spent[i], wall), append(worked[i], work)
		}
	}
	for i, c := range commands {
		b.ReportMetric(median(spent[i]).Seconds()*1000, c.name+"-ms")
		b.ReportMetric(float64(median(spent[i]))/float64(median(spent[0])), c.name+"-x")
		b.ReportMetric(float64(median(worked[i]))/float64(median(worked[0])), c.name+"-cpu-x")
	}
}

// once runs a command, and tells how long it took and how long the processors were at work for it.
func once(b *testing.B, bin string, args ...string) (wall, work time.Duration) {
	b.Helper()
	c := exec.Command(bin, args...)
	c.Stdout, c.Stderr = io.Discard, os.Stderr
	began := time.Now()
	if err := c.Run(); err != nil {
		b.Fatalf("%v: %v", args, err)
	}
	return time.Since(began), c.ProcessState.UserTime() + c.ProcessState.SystemTime()
}

func median(all []time.Duration) time.Duration {
	sorted := slices.Sorted(slices.Values(all))
	return sorted[len(sorted)/2]
}
