package present

import (
	"io"
	"time"

	"github.com/jedib0t/go-pretty/v6/progress"
)

// Bar shows how far a long command is, with its rate and the time left. The zero value is silent.
type Bar struct {
	writer  progress.Writer
	tracker *progress.Tracker
	shown   int64
}

// NewBar draws on w, which is a terminal.
func NewBar(w io.Writer, what string) *Bar {
	p := progress.NewWriter()
	p.SetOutputWriter(w)
	p.SetTrackerPosition(progress.PositionRight)
	p.SetUpdateFrequency(200 * time.Millisecond)
	p.SetAutoStop(false)
	p.Style().Visibility.ETA, p.Style().Visibility.Speed = true, true
	b := &Bar{writer: p, tracker: &progress.Tracker{Message: what, Units: progress.UnitsDefault}}
	p.AppendTracker(b.tracker)
	go p.Render()
	return b
}

// Step says how much is done of how much.
func (b *Bar) Step(done, total int64) {
	if b.writer == nil || done-b.shown < total/200 && done != total {
		return
	}
	b.shown = done
	b.tracker.UpdateTotal(total)
	b.tracker.SetValue(done)
}

// End takes the bar away.
func (b *Bar) End() {
	if b.writer == nil {
		return
	}
	b.tracker.MarkAsDone()
	b.writer.Stop()
	for b.writer.IsRenderInProgress() {
		time.Sleep(10 * time.Millisecond)
	}
	b.writer = nil
}
