package bench

import (
	"fmt"
	"math/rand/v2"
	"os/exec"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"asleft/rules/assign"
)

// plans are installs of 6 remotes x 16 gestures x 20 channels x 16 functions. In a fleet the
// remotes of one model are wanted for the same things; where all can be taught, any gesture that is
// free takes any channel. The last kind is the hardest: every remote is wanted for other things.
var plans = []struct {
	name           string
	models, wanted int // wishes: of ten possible ones
	alike, taught  bool
}{
	{"fleet, 2 models, all taught", 2, 5, true, true},
	{"fleet, 2 models", 2, 5, true, false},
	{"fleet, 3 models", 3, 3, true, false},
	{"6 drivers, 3 models", 3, 3, false, false},
}

const installs = 20 // of each kind, seeds 0 to 19

func planned(kind int, seed uint64) assign.Problem {
	k := plans[kind]
	dense, odd = k.wanted, 1000
	p := randomProblem(rand.New(rand.NewPCG(seed, 7)), size{6, k.models, 16, 20, 18, 16, k.alike})
	if !k.taught {
		return p
	}
	for i := range p.Remotes {
		for g := range p.Remotes[i].Gestures {
			if gesture := &p.Remotes[i].Gestures[g]; gesture.Taken == "" {
				gesture.Channel, gesture.Teachable = 0, nil
				for c := range p.Channels {
					gesture.Teachable = append(gesture.Teachable, c+1)
				}
			}
		}
	}
	return p
}

// BenchmarkButtonPlan solves each install once a round and reports the median and the worst processor
// time of one plan (other programs on the machine do not count), how many of the installs were proven best in every aim, how many of those under 100 ms,
// and the memory that is live in the middle of it.
func BenchmarkButtonPlan(b *testing.B) {
	for kind := range plans {
		b.Run(plans[kind].name, func(b *testing.B) {
			var times []time.Duration
			proven, quick, live := 0, 0, uint64(0)
			for b.Loop() {
				times, proven, quick = times[:0], 0, 0
				for seed := range uint64(installs) {
					p := planned(kind, seed)
					start := ownTime()
					plan, err := assign.Optimum(p)
					if err != nil {
						b.Fatal(err)
					}
					took := ownTime() - start
					times = append(times, took)
					if plan.Proven == 8 {
						proven++
						if took < 100*time.Millisecond {
							quick++
						}
					}
					live = max(live, liveBytes())
				}
			}
			slices.Sort(times)
			b.ReportMetric(float64(times[installs/2].Microseconds())/1000, "ms/median")
			b.ReportMetric(float64(times[installs-1].Microseconds())/1000, "ms/worst")
			b.ReportMetric(float64(proven), "proven-of-20")
			b.ReportMetric(float64(quick), "under-100ms")
			b.ReportMetric(float64(live)/(1<<20), "MiB")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// ownTime is the processor time that this process has taken, the collection of garbage included.
func ownTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// liveBytes is the heap as it is, garbage not yet collected included.
func liveBytes() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// BenchmarkButtonPlanByClingo gives the same installs to clingo (Debian package gringo), five of
// each kind, ten seconds for each.
func BenchmarkButtonPlanByClingo(b *testing.B) {
	if _, err := exec.LookPath("clingo"); err != nil {
		fmt.Println("left out: clingo is missing (Debian package gringo); nothing to compare with")
		return
	}
	for kind := range plans {
		b.Run(plans[kind].name, func(b *testing.B) {
			var times []time.Duration
			proven := 0
			for b.Loop() {
				times, proven = times[:0], 0
				for seed := range uint64(5) {
					program, err := assign.Program(planned(kind, seed))
					if err != nil {
						b.Fatal(err)
					}
					start := time.Now()
					cmd := exec.Command("clingo", "--quiet=2,1", "--warn=none", fmt.Sprint("--time-limit=", 10), "-")
					cmd.Stdin = strings.NewReader(program)
					out, _ := cmd.Output() // its exit status is not 0 in every good case
					times = append(times, time.Since(start))
					if strings.Contains(string(out), "OPTIMUM FOUND") {
						proven++
					}
				}
			}
			slices.Sort(times)
			b.ReportMetric(float64(times[2].Milliseconds()), "ms/median")
			b.ReportMetric(float64(proven), "proven-of-5")
			b.ReportMetric(0, "ns/op")
		})
	}
}
