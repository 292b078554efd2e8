package present

import (
	"slices"
	"strconv"
	"strings"

	"asleft/config/record"
)

// ListView is every vehicle of the record, or those on which something is open.
type ListView struct {
	Schema   string        `json:"schema"` // asleft/vehicles/1
	Open     bool          `json:"open-only,omitempty"`
	Vehicles []VehicleLine `json:"vehicles"`
}

// VehicleLine is one vehicle in a list.
type VehicleLine struct {
	Vehicle   string `json:"vehicle"`
	Label     string `json:"label"`
	Fleet     string `json:"fleet-number,omitempty"`
	Entries   int    `json:"entries"`
	Last      string `json:"last"`
	LastAt    string `json:"last-at"`
	Open      bool   `json:"open"`
	Unsafe    bool   `json:"safety-complaint,omitempty"`
	Complaint string `json:"complaint,omitempty"` // of the oldest open comeback
	Next      string `json:"next,omitempty"`
	Command   string `json:"command,omitempty"`
}

// Vehicles makes the view of a list; open lists only what is open, with the next command.
func Vehicles(all []record.Summary, open bool) ListView {
	v := ListView{Schema: "asleft/vehicles/1", Open: open}
	for _, s := range all {
		line := VehicleLine{
			Vehicle: s.Vehicle.String(), Label: s.Label(), Fleet: s.Attributes[record.Fleet], Entries: s.Entries,
			Last: string(s.Last.Kind), LastAt: stampTime(s.Last.Entry), Open: s.Open, Unsafe: s.Unsafe, Next: string(s.Next),
		}
		line.Command = nextCommand(s.Next, s.Label(), s.Comeback)
		if s.Comeback != nil {
			line.Complaint = s.Comeback.Data["complaint"]
		}
		if s.Unsafe { // first of all remote start goes off
			line.Command = "asleft record left JOB --without start"
		}
		v.Vehicles = append(v.Vehicles, line)
	}
	return v
}

// nextCommand is the command that makes the kind of entry that comes next for a vehicle.
func nextCommand(next record.Kind, vehicle string, comeback *record.Item) string {
	quoted := "'" + strings.ReplaceAll(vehicle, "'", "") + "'"
	if comeback != nil {
		entry := comeback.Identity.String()[:8]
		switch next {
		case record.Observed:
			return "asleft record observed " + quoted + " " + entry + " NAME=VALUE"
		case record.Cause:
			return "asleft record cause " + quoted + " " + entry + " WORDS"
		case record.Closed:
			return "asleft record close " + quoted + " --comeback " + entry + " --retest TEST"
		}
	}
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
		g.Head = []string{"vehicle", "last", "when", "next"}
	}
	alike := v.alike()
	if v.Open && alike { // else the number only takes the room of the command
		g.Head = slices.Insert(g.Head, 1, "number")
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
		} else if x.Complaint != "" {
			label += " comeback open: " + x.Complaint
		}
		row := []string{label, x.Vehicle, strconv.Itoa(x.Entries), x.Last, x.LastAt}
		if v.Open {
			row = []string{label, x.Last, x.LastAt, x.Command}
			if alike {
				row = slices.Insert(row, 1, x.Vehicle)
			}
		}
		g.Rows = append(g.Rows, row)
	}
	s.Add(g)
	return Page{Sections: []Section{s}}
}

// alike reports whether two vehicles are called the same.
func (v ListView) alike() bool {
	seen := map[string]bool{}
	for _, x := range v.Vehicles {
		if seen[x.Label] {
			return true
		}
		seen[x.Label] = true
	}
	return false
}

// StatusView is what is open, of one vehicle also the tests that are left, and where the files are.
type StatusView struct {
	ListView
	Tests  []OpenTest `json:"tests-left,omitempty"`
	Record string     `json:"record"`
	State  string     `json:"state-folder"`
}

// OpenTest is a test without whose result a job is not closed.
type OpenTest struct {
	Test   string `json:"test"`
	Title  string `json:"title,omitempty"`
	Safety bool   `json:"safety"`
	Result string `json:"result"` // failed, skipped or not done
	Cure   string `json:"cure"`   // what closes it
}

// StatusOf makes the view.
func StatusOf(open []record.Summary, left []OpenTest, path, state string) StatusView {
	v := StatusView{Vehicles(open, true), left, path, state}
	v.Schema = "asleft/status/1"
	return v
}

// Page lists what is open, then where the files are.
func (v StatusView) Page() Page {
	p := v.ListView.Page()
	if len(v.Tests) > 0 {
		g := Grid{Head: []string{"test", "what", "so far", "what closes it"}}
		for _, t := range v.Tests {
			g.Rows = append(g.Rows, []string{t.Test, t.Title, t.Result, t.Cure})
		}
		left := Section{Title: "Tests left (" + strconv.Itoa(len(v.Tests)) + ")"}
		left.Add(g)
		p.Sections = append(p.Sections, left)
	}
	s := Section{Title: "Files"}
	s.Add(Grid{Rows: [][]string{{"record", v.Record}, {"state folder (keys, head)", v.State}}})
	p.Sections = append(p.Sections, s)
	return p
}
