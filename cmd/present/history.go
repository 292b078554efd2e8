package present

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"asleft/config/record"
	"asleft/config/setting"
)

// WrittenView tells what was written to the record.
type WrittenView struct {
	Schema     string `json:"schema"` // asleft/written/1
	Kind       string `json:"kind"`
	Vehicle    string `json:"vehicle"`
	Entry      string `json:"entry"`
	Number     int64  `json:"number"`
	At         string `json:"at"`
	By         string `json:"by"`
	Again      bool   `json:"already-there,omitempty"`
	ClockBack  int64  `json:"clock-back-seconds,omitempty"`
	Checkpoint string `json:"checkpoint"`
}

// Written makes the view of a receipt.
func Written(r record.Receipt) WrittenView {
	return WrittenView{
		Schema: "asleft/written/1", Kind: string(r.Kind), Vehicle: r.Subject.String(), Entry: r.Identity.String(),
		Number: r.N, At: stampTime(r.Entry), By: r.By, Again: r.Again, ClockBack: r.ClockBack,
		Checkpoint: checkpointWords(r.Checkpoint.Head),
	}
}

func checkpointWords(h record.Head) string {
	return fmt.Sprintf("%d entries, root %s", h.Size, short(h.Root.String()))
}

// Page says it in a few lines.
func (v WrittenView) Page() Page {
	s := Section{}
	verb := "Recorded"
	if v.Again {
		verb = "Already recorded"
	}
	s.Add(Text{Plain, fmt.Sprintf("%s: %s, entry %d, by %s at %s.", verb, strings.ReplaceAll(v.Kind, "-", " "), v.Number, v.By, v.At)})
	s.Add(Text{Quiet, "Vehicle " + v.Vehicle + "; the record now has " + v.Checkpoint + "."})
	if v.ClockBack > 0 {
		s.Add(Text{Notice, fmt.Sprintf("The clock ran %d s behind the entry before: set it. The order of entries does not depend on it.", v.ClockBack)})
	}
	return Page{Sections: []Section{s}}
}

// stampTime is the writer's local time of an entry.
func stampTime(e record.Entry) string { return e.Local().Format("2006-01-02 15:04 -0700") }

// StateView is a vehicle's settings as left, with their past.
type StateView struct {
	Schema   string        `json:"schema"` // asleft/state/1
	Vehicle  string        `json:"vehicle"`
	Label    string        `json:"label"`
	At       string        `json:"at,omitempty"`
	Left     string        `json:"left,omitempty"` // when, by whom
	Settings []PresentView `json:"settings"`
	States   []StateLine   `json:"states,omitempty"`
	Off      []string      `json:"off,omitempty"`
	Warnings []string      `json:"warnings,omitempty"`
}

// PresentView is one setting as left.
type PresentView struct {
	Device  string `json:"device"`
	Setting string `json:"setting"`
	Value   string `json:"value"`
	Origin  string `json:"origin,omitempty"`
	Since   string `json:"since"`
	By      string `json:"by"`
	Why     string `json:"why,omitempty"`
	Before  string `json:"before,omitempty"`
}

// StateLine is a state that is no setting.
type StateLine struct {
	Device string `json:"device"`
	State  string `json:"state"`
	Value  string `json:"value"`
}

// State makes the view of a state.
func State(s *record.State, label string) StateView {
	v := StateView{Schema: "asleft/state/1", Vehicle: s.Vehicle.String(), Label: label}
	if !s.At.IsZero() {
		v.At = s.At.Format(time.RFC3339)
	}
	if s.Left != nil {
		v.Left = stampTime(s.Left.Entry) + " by " + s.Left.By
		v.Off = s.Left.Off()
	}
	if s.Concurrent {
		v.Warnings = append(v.Warnings, "two as-left entries were written without knowing of each other: look at both")
	}
	for _, p := range s.Settings {
		v.Settings = append(v.Settings, PresentView{
			p.Device, p.Setting, readingWords(p.Reading), string(p.Origin),
			p.Local.Format("2006-01-02 15:04"), p.By, p.Why, string(p.Before),
		})
	}
	for _, r := range s.States {
		value := string(r.Value)
		if r.Status != setting.StatusKnown {
			value = string(r.Status)
		}
		v.States = append(v.States, StateLine{r.Device, r.State, value})
	}
	return v
}

func readingWords(r setting.Reading) string {
	if r.Status == setting.StatusKnown {
		return string(r.Value)
	}
	return strings.ReplaceAll(string(r.Status), "-", " ")
}

// Page shows the settings as left, the five first.
func (v StateView) Page() Page {
	p := Page{Title: "As left: " + v.Label}
	s := Section{}
	if v.Left == "" {
		s.Add(Text{Notice, "Nothing was recorded as left yet."})
	} else {
		s.Add(Text{Plain, "Newest as-left entry: " + v.Left + "."})
	}
	for _, w := range v.Warnings {
		s.Add(Text{Danger, w})
	}
	if len(v.Off) > 0 {
		s.Add(Text{Danger, "Set off or refused: " + strings.Join(v.Off, ", ") + "."})
	}
	g := Grid{Head: []string{"device", "setting", "value", "before", "since", "by", "from"}}
	for _, r := range v.Settings {
		g.Rows = append(g.Rows, []string{r.Device, r.Setting, r.Value, r.Before, r.Since, r.By, r.Origin})
	}
	s.Add(g)
	p.Sections = append(p.Sections, s)
	if len(v.States) > 0 {
		states := Section{Title: "States"}
		g := Grid{Head: []string{"device", "state", "value"}}
		for _, r := range v.States {
			g.Rows = append(g.Rows, []string{r.Device, r.State, r.Value})
		}
		states.Add(g)
		p.Sections = append(p.Sections, states)
	}
	return p
}

// LogView is a vehicle's entries in order.
type LogView struct {
	Schema  string      `json:"schema"` // asleft/log/1
	Label   string      `json:"label"`
	Entries []EntryView `json:"entries"`
}

// EntryView is one entry.
type EntryView struct {
	Number     int64             `json:"number"`
	Book       string            `json:"book"`
	Entry      string            `json:"entry"`
	Kind       string            `json:"kind"`
	At         string            `json:"at"`
	By         string            `json:"by"`
	Machine    string            `json:"machine"`
	Tool       string            `json:"tool"`
	Reason     string            `json:"reason,omitempty"`
	Points     string            `json:"points-to,omitempty"`
	Changes    int               `json:"changes,omitempty"`
	Data       map[string]string `json:"data,omitempty"`
	Concurrent int               `json:"concurrent-with,omitempty"`
	ClockBack  int64             `json:"clock-back-seconds,omitempty"`
}

// Log makes the view of a history.
func Log(h *record.History, label string) LogView {
	v := LogView{Schema: "asleft/log/1", Label: label}
	for i := range h.Items {
		x := &h.Items[i]
		e := EntryView{
			Number: x.N, Book: x.Book, Entry: x.Identity.String(), Kind: string(x.Kind), At: stampTime(x.Entry), By: x.By,
			Machine: x.Machine, Tool: x.Tool, Reason: x.Reason, Changes: len(x.Changes), Data: x.Data,
			Concurrent: len(x.Concurrent), ClockBack: x.ClockBack,
		}
		if !x.Points.IsZero() {
			e.Points = x.Points.String()
		}
		v.Entries = append(v.Entries, e)
	}
	return v
}

// Page lists the entries. An entry is named by the first digits of its number, which commands take.
func (v LogView) Page() Page {
	s := Section{Title: "Entries: " + v.Label}
	g := Grid{Head: []string{"n", "entry", "when", "by", "what", "says"}}
	for _, e := range v.Entries {
		g.Rows = append(g.Rows, []string{strconv.FormatInt(e.Number, 10), e.Entry[:8], e.At, e.By, e.Kind, e.says()})
	}
	s.Add(g)
	return Page{Sections: []Section{s}}
}

// logged are the readings that a listing shows; all of them stand in the JSON.
var logged = []string{"title", "test", "result", "reading", "text", "what", "sheet", "complaint", "safety", "cause", "as", "rule", "remote-start", "off", "copy", "file"}

// says is an entry in one line.
func (e EntryView) says() string {
	var says []string
	for _, name := range logged {
		if text := e.Data[name]; text != "" {
			says = append(says, name+": "+text)
		}
	}
	if len(says) == 0 {
		for _, name := range sortedKeys(e.Data) {
			if len(says) < 3 && !strings.Contains(name, "rule-base") {
				says = append(says, name+": "+e.Data[name])
			}
		}
	}
	if e.Changes > 0 {
		says = append(says, fmt.Sprintf("%d settings differ from before", e.Changes))
	}
	says = append(says, nonEmpty(lead("because: ", e.Reason), lead("points to ", e.Points[:min(8, len(e.Points))]))...)
	if e.Concurrent > 0 {
		says = append(says, "CONCURRENT with another book's entry")
	}
	if e.ClockBack > 0 {
		says = append(says, "the clock had stepped back")
	}
	return strings.Join(says, "; ")
}

// ListView is every vehicle of the record, or those on which something is open.
type ListView struct {
	Schema   string        `json:"schema"` // asleft/vehicles/1
	Open     bool          `json:"open-only,omitempty"`
	Vehicles []VehicleLine `json:"vehicles"`
}

// VehicleLine is one vehicle in a list.
type VehicleLine struct {
	Vehicle string `json:"vehicle"`
	Label   string `json:"label"`
	Fleet   string `json:"fleet-number,omitempty"`
	Entries int    `json:"entries"`
	Last    string `json:"last"`
	LastAt  string `json:"last-at"`
	Open    bool   `json:"open"`
	Unsafe  bool   `json:"safety-complaint,omitempty"`
	Next    string `json:"next,omitempty"`
	Command string `json:"command,omitempty"`
}

// Vehicles makes the view of a list; open lists only what is open, with the next command.
func Vehicles(all []record.Summary, open bool) ListView {
	v := ListView{Schema: "asleft/vehicles/1", Open: open}
	for _, s := range all {
		line := VehicleLine{
			Vehicle: s.Vehicle.String(), Label: s.Label(), Fleet: s.Attributes[record.Fleet], Entries: s.Entries,
			Last: string(s.Last.Kind), LastAt: stampTime(s.Last.Entry), Open: s.Open, Unsafe: s.Unsafe, Next: string(s.Next),
		}
		line.Command = nextCommand(s.Next, s.Label())
		if s.Unsafe { // first of all remote start goes off
			line.Command = "asleft record left JOB --without start"
		}
		v.Vehicles = append(v.Vehicles, line)
	}
	return v
}

// nextCommand is the command that makes the kind of entry that comes next for a vehicle.
func nextCommand(next record.Kind, vehicle string) string {
	quoted := "'" + strings.ReplaceAll(vehicle, "'", "") + "'"
	switch next {
	case "":
		return ""
	case record.Found:
		return "asleft record found JOB FOUND"
	case record.Measured, record.Left:
		return "asleft record " + string(next) + " JOB"
	case record.Derived:
		return "asleft record derive JOB"
	case record.Tested:
		return "asleft record tested " + quoted + " TEST RESULT"
	case record.HandedOver:
		return "asleft record handed-over " + quoted + " SHEET"
	case record.Observed:
		return "asleft record observed " + quoted + " COMEBACK NAME=VALUE"
	case record.Closed:
		return "asleft record close " + quoted
	default:
		return "asleft record " + string(next) + " " + quoted
	}
}

// Page lists the vehicles.
func (v ListView) Page() Page {
	s := Section{Title: "Vehicles in the record"}
	g := Grid{Head: []string{"vehicle", "number", "entries", "last", "when"}}
	if v.Open {
		s.Title = "What is open"
		g.Head = []string{"vehicle", "number", "last", "when", "next"}
	}
	if len(v.Vehicles) == 0 {
		s.Add(Text{Quiet, map[bool]string{true: "Nothing is open.", false: "No vehicle yet."}[v.Open]})
	}
	for _, x := range v.Vehicles {
		label := x.Label
		if x.Fleet != "" && !strings.Contains(label, x.Fleet) {
			label += " (" + x.Fleet + ")"
		}
		if x.Unsafe {
			label += " SAFETY COMPLAINT OPEN"
		}
		row := []string{label, x.Vehicle, strconv.Itoa(x.Entries), x.Last, x.LastAt}
		if v.Open {
			row = []string{label, x.Vehicle, x.Last, x.LastAt, x.Command}
		}
		g.Rows = append(g.Rows, row)
	}
	s.Add(g)
	return Page{Sections: []Section{s}}
}

// VerifyView says what verification proved.
type VerifyView struct {
	Schema  string     `json:"schema"` // asleft/verify/1
	Outcome string     `json:"outcome"`
	Books   []BookView `json:"books"`
	Flaws   []string   `json:"flaws,omitempty"`
}

// BookView is the part about one book.
type BookView struct {
	Book        string   `json:"book"`
	Own         bool     `json:"own"`
	Entries     int64    `json:"entries"`
	Intact      int64    `json:"intact"`
	Documents   int64    `json:"documents"`
	SignedTo    int64    `json:"signed-to"`
	WitnessedTo int64    `json:"witnessed-to"`
	Witnesses   []string `json:"witnesses,omitempty"`
	Root        string   `json:"root"`
}

// Verified makes the view of a report.
func Verified(r *record.Report) VerifyView {
	v := VerifyView{Schema: "asleft/verify/1", Outcome: string(r.Outcome)}
	for _, b := range r.Books {
		book := BookView{b.Head.Book, b.Own, b.Size, b.Intact, b.Documents, b.SignedTo, b.WitnessedTo, nil, b.Root.String()}
		for _, w := range b.Witnesses {
			word := "agrees"
			if !w.Agrees {
				word = "DISAGREES"
			}
			book.Witnesses = append(book.Witnesses, fmt.Sprintf("%s at %d entries: %s", w.Name, w.Size, word))
		}
		v.Books = append(v.Books, book)
	}
	for _, f := range r.Flaws {
		v.Flaws = append(v.Flaws, f.String())
	}
	return v
}

// Page says what is proven and what is not.
func (v VerifyView) Page() Page {
	s := Section{Title: "The record " + v.Outcome}
	for _, b := range v.Books {
		whose := "copied book"
		if b.Own {
			whose = "this laptop's book"
		}
		s.Add(Text{Plain, fmt.Sprintf("%s %s: %d of %d entries intact, %d documents whole, signed up to entry %d.", whose, b.Book, b.Intact, b.Entries, b.Documents, b.SignedTo)})
		switch {
		case b.WitnessedTo == 0:
			s.Add(Text{Danger, "No witness outside the file: nothing shows whether entries at the end are gone."})
		case b.WitnessedTo < b.Entries:
			s.Add(Text{Notice, fmt.Sprintf("Witnessed up to %d of %d entries; the rest stands on the signature alone.", b.WitnessedTo, b.Entries)})
		default:
			s.Add(Text{Plain, fmt.Sprintf("Witnessed: all %d entries.", b.Entries)})
		}
		s.Add(List{Tone: Quiet, Items: b.Witnesses})
	}
	if len(v.Flaws) > 0 {
		s.Add(List{Tone: Danger, Items: v.Flaws})
	}
	return Page{Sections: []Section{s}}
}

// StatusView is what is open, and where the files are.
type StatusView struct {
	ListView
	Record string `json:"record"`
	State  string `json:"state-folder"`
}

// StatusOf makes the view.
func StatusOf(open []record.Summary, path, state string) StatusView {
	v := StatusView{Vehicles(open, true), path, state}
	v.Schema = "asleft/status/1"
	return v
}

// Page lists what is open, then where the files are.
func (v StatusView) Page() Page {
	p := v.ListView.Page()
	s := Section{Title: "Files"}
	s.Add(Grid{Rows: [][]string{{"record", v.Record}, {"state folder (keys, head)", v.State}}})
	p.Sections = append(p.Sections, s)
	return p
}
