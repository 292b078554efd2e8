package keying

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"asleft/config/setting"
)

// columns is the width of a line in following along: a phone's terminal.
const columns = 40

// Session follows a card line by line: it takes a line that a person typed and returns the lines to print. It
// keeps no time and reads no input, so that a program around it needs no more than a loop. Empty lines
// mean 'done', never an observation; the end of input is the caller's, and means an interruption.
type Session struct {
	f      *Follow
	card   string   // digest of what is followed
	lines  []string // everything typed so far: the progress
	asking bool     // the step is made, the answer is asked for
	over   bool
}

// words of a session.
const helpText = "Enter: done. A number, steady or nothing: what was answered. lost: I do not know where it is. out: it has left programming. again: say it again. stop: break off."

// NewSession begins to follow the card from a start to a target; the same as Plan.
func NewSession(d *Device, start, target setting.Snapshot, c Circumstances) (*Session, []string, error) {
	values, err := d.Values(start)
	if err != nil {
		return nil, nil, err
	}
	needs, _ := d.Needs(target)
	followed := fmt.Appendf(nil, "%s\n%s\n%s\n%q %q %v %d", d.Profile.ID, start.Canonical(), target.Canonical(), c.Wired, sortedSenders(c), c.StartButton, c.ButtonPresses)
	sum := sha256.Sum256(followed)
	s := &Session{f: NewFollow(d, values, needs, c), card: hex.EncodeToString(sum[:])}
	out := []string{}
	prep, cautions := d.preparation(c, !s.f.Finished())
	for _, p := range append(prep, cautions...) {
		out = append(out, wrap("- "+p)...)
	}
	out = append(out, wrap(helpText)...)
	return s, append(out, s.prompt()...), nil
}

func sortedSenders(c Circumstances) []string {
	var out []string
	for n := range 100 {
		if c.Senders[n] != "" {
			out = append(out, fmt.Sprintf("%d %s", n, c.Senders[n]))
		}
	}
	return out
}

// Over tells that the card is done or broken off.
func (s *Session) Over() bool { return s.over }

// Finished tells that the card was followed to its end.
func (s *Session) Finished() bool { return s.f.Finished() }

// Values is what the device holds, as far as the answers and the presses tell.
func (s *Session) Values() []int8 { return s.f.At().Stored }

// Line takes what a person typed, without the line end.
func (s *Session) Line(text string) []string {
	if s.over {
		return nil
	}
	s.lines = append(s.lines, text)
	return s.answer(strings.ToLower(strings.TrimSpace(text)))
}

func (s *Session) answer(text string) []string {
	switch text {
	case "again", "?", "help":
		return append(wrap(helpText), s.prompt()...)
	case "stop", "quit":
		s.over = true
		return wrap("Broken off. What was keyed so far is kept; go on with --resume.")
	case "lost":
		return s.advise(s.f.Lost())
	case "out":
		return s.advise(s.f.Out())
	case resumed:
		return s.advise(s.f.Interrupted())
	case "":
		return s.enter()
	}
	saw, err := ParseAnswer(text)
	if err != nil {
		return append(wrap("Not understood: "+err.Error()+"."), s.prompt()...)
	}
	return s.advise(s.f.Saw(saw))
}

// enter is the step made. Where its answer can be seen it is asked for.
func (s *Session) enter() []string {
	step, _, ok := s.f.Step()
	if !ok || s.asking || step.Expect.Seen && step.Expect.Exact != "nothing" {
		s.asking = true
		return wrap("What was answered? A number, steady or nothing.")
	}
	s.f.Done()
	return s.prompt()
}

// advise says what follows from an observation.
func (s *Session) advise(a Advice) []string {
	s.asking = false
	if a.As == AsExpected {
		return s.prompt()
	}
	out := wrap("Not as expected.")
	if a.As == Known {
		g := a.Guesses[0]
		out = wrap(fmt.Sprintf("It is %s (%s).", s.f.Where(g.At), g.Why))
		out = append(out, wrap("The card goes on from there.")...)
		return append(out, s.prompt()...)
	}
	if a.HandsOff > 0 {
		out = append(out, wrap(fmt.Sprintf("First: hands off for %s s.", decimal(a.HandsOff)))...)
	}
	const most = 4
	out = append(out, wrap("It may be:")...)
	for i, g := range a.Guesses {
		if i == most {
			out = append(out, wrap(fmt.Sprintf("- or at %d other places", len(a.Guesses)-most))...)
			break
		}
		out = append(out, wrap(fmt.Sprintf("- %s (%s)", s.f.Where(g.At), g.Why))...)
	}
	if a.As == Reenter {
		out = append(out, wrap("No press tells these apart without changing a value. Leave and enter again:")...)
		for _, in := range a.Left {
			out = append(out, wrap("- "+s.f.h.say(&State{Limit: s.f.longest()}, []Input{{Word: in}}, Step{}))...)
		}
	}
	return append(out, s.prompt()...)
}

// longest is the longest time limit of the device: that long to do nothing is enough everywhere.
func (f *Follow) longest() float64 {
	limit := 0.0
	for _, s := range f.d.Machine.States {
		limit = max(limit, s.Limit)
	}
	return limit
}

// prompt says what to do next.
func (s *Session) prompt() []string {
	if probe := s.f.Probe(); probe != "" {
		limit := s.f.longest()
		out := wrap("To settle it: " + s.f.h.say(&State{Limit: limit}, []Input{{Word: probe}}, Step{}))
		s.asking = true
		return append(out, wrap("What is answered? A number, steady or nothing.")...)
	}
	step, left, ok := s.f.Step()
	if !ok {
		s.over = true
		return wrap("Done. All required values are keyed.")
	}
	out := wrap(fmt.Sprintf("%d to go: %s", left, step.Title))
	hands := step.Hands
	if step.Until {
		hands = s.f.h.say(&State{}, []Input{{Word: rowOf(step.Step)[0]}}, Step{})
		out = append(out, wrap(hands)...)
		return append(out, wrap("Its value is not known: say what is answered. Wanted: "+step.Expect.Text)...)
	}
	out = append(out, wrap(hands)...)
	if step.Limit > 0 {
		out = append(out, wrap(fmt.Sprintf("Begin within %s s.", decimal(step.Limit)))...)
	}
	return append(out, wrap("Answer: "+step.Expect.Text)...)
}

// wrap breaks a text into lines of at most 40 columns, at spaces; longer words are cut.
func wrap(text string) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		for len([]rune(word)) > columns {
			if line != "" {
				lines, line = append(lines, line), ""
			}
			r := []rune(word)
			lines, word = append(lines, string(r[:columns])), string(r[columns:])
		}
		switch {
		case line == "":
			line = word
		case len([]rune(line))+1+len([]rune(word)) <= columns:
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

const progressSchema = "asleft/keying-progress/1"

// resumed is the line that a resumed session begins with: time went by.
const resumed = "resumed"

// Progress is the session so far as canonical bytes (RFC 8785): what is followed, and every line that was typed.
func (s *Session) Progress() []byte {
	b := []byte(`{"card":`)
	b = setting.AppendString(b, s.card)
	b = append(b, `,"lines":[`...)
	for i, l := range s.lines {
		if i > 0 {
			b = append(b, ',')
		}
		b = setting.AppendString(b, l)
	}
	b = append(b, `],"schema":`...)
	b = setting.AppendString(b, progressSchema)
	return append(b, '}')
}

// ErrOtherCard says that a progress belongs to another start, target or device.
var ErrOtherCard = errors.New("the progress belongs to another card: the required settings, the settings found or the device have changed since")

// Resume goes on from a progress. The device may have timed out since: the session begins by settling that.
func Resume(d *Device, start, target setting.Snapshot, c Circumstances, progress []byte) (*Session, []string, error) {
	var p struct {
		Card   string   `json:"card"`
		Lines  []string `json:"lines"`
		Schema string   `json:"schema"`
	}
	dec := json.NewDecoder(bytes.NewReader(progress))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&p); err != nil {
		return nil, nil, fmt.Errorf("the progress cannot be read: %w", err)
	}
	if p.Schema != progressSchema {
		return nil, nil, fmt.Errorf("the progress has schema %q, expected %q", p.Schema, progressSchema)
	}
	s, _, err := NewSession(d, start, target, c)
	if err != nil {
		return nil, nil, err
	}
	if s.card != p.Card {
		return nil, nil, ErrOtherCard
	}
	for _, l := range p.Lines {
		if t := strings.ToLower(strings.TrimSpace(l)); t == "stop" || t == "quit" {
			continue
		}
		s.Line(l)
	}
	if s.over {
		return s, wrap("The card was followed to its end."), nil
	}
	return s, s.Line(resumed), nil
}
