package present

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

	"asleft/config/profile"
)

// DevicesView is the catalogue.
type DevicesView struct {
	Schema  string          `json:"schema"` // asleft/devices/1
	Devices []CatalogueLine `json:"devices"`
}

// CatalogueLine is one device in the catalogue.
type CatalogueLine struct {
	ID       string `json:"id"`
	Kind     string `json:"kind"`
	Label    string `json:"label"`
	Invented bool   `json:"invented"`
	Volts    int    `json:"nominal-volts,omitempty"`
	Feeds    int    `json:"feeds,omitempty"`
	Outputs  int    `json:"outputs,omitempty"`
	Options  int    `json:"options,omitempty"`
	Gestures int    `json:"gestures,omitempty"`
	Links    string `json:"links,omitempty"`
}

// Devices makes the view of a catalogue.
func Devices(all []*profile.Profile) DevicesView {
	v := DevicesView{Schema: "asleft/devices/1"}
	for _, p := range all {
		v.Devices = append(v.Devices, catalogueLine(p))
	}
	return v
}

func catalogueLine(p *profile.Profile) CatalogueLine {
	var links []string
	for _, l := range p.Links {
		links = append(links, l.Form)
	}
	return CatalogueLine{
		p.ID, string(p.Kind), p.Label, p.Invented, p.NominalVolts, len(p.Feeds), len(p.Outputs),
		len(p.Options), len(p.Gestures), strings.Join(links, ", "),
	}
}

// Page lists the catalogue.
func (v DevicesView) Page() Page {
	s := Section{Title: "Devices"}
	g := Grid{Head: []string{"id", "kind", "label", "feeds", "outputs", "options", "gestures", "links"}}
	count := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	for _, d := range v.Devices {
		g.Rows = append(g.Rows, []string{d.ID, d.Kind, d.Label, count(d.Feeds), count(d.Outputs), count(d.Options), count(d.Gestures), d.Links})
	}
	s.Add(g)
	return Page{Sections: []Section{s}}
}

// DeviceDetail is one device with all that the tool knows of it.
type DeviceDetail struct {
	Schema string `json:"schema"` // asleft/device/1
	CatalogueLine
	Papers string      `json:"papers,omitempty"`
	Tables []NamedGrid `json:"tables"`
}

// NamedGrid is a table with its heading.
type NamedGrid struct {
	Title string     `json:"title"`
	Head  []string   `json:"head"`
	Rows  [][]string `json:"rows"`
}

// DeviceOf makes the view of one device.
func DeviceOf(p *profile.Profile) DeviceDetail {
	v := DeviceDetail{Schema: "asleft/device/1", CatalogueLine: catalogueLine(p)}
	v.Papers = strings.Join(nonEmpty(p.Papers.Title, lead("revision ", p.Papers.Revision), lead("copied by ", p.Papers.CopiedBy), lead("read again by ", p.Papers.SecondReader)), ", ")
	add := func(title string, head []string, rows [][]string) {
		if len(rows) > 0 {
			v.Tables = append(v.Tables, NamedGrid{title, head, rows})
		}
	}
	add("Feeds", []string{"feed", "A", "roles"}, each(p.Feeds, func(f profile.Feed) []string {
		return []string{f.Name, fmt.Sprint(f.Amps), strings.Join(f.Roles, ", ")}
	}))
	add("Inputs", []string{"input", "signal", "active"}, each(p.Inputs, func(i profile.Input) []string {
		return []string{i.Name, i.Signal, strings.Join(i.Actives, ", ")}
	}))
	add("Outputs", []string{"output", "use", "level", "mA", "behaviours or states"}, each(p.Outputs, func(o profile.Output) []string {
		return []string{o.Name, o.Use, o.Level, fmt.Sprint(o.Milliamps), strings.Join(append(append([]string{}, o.Behaviours...), o.States...), ", ")}
	}))
	add("Channels", []string{"channel", "does"}, each(p.Channels, func(c profile.Channel) []string {
		does := c.Does
		if does == "" {
			does = "fires output " + strings.Join(c.Fires, "+")
		}
		return []string{fmt.Sprint(c.Number), does}
	}))
	add("Options", []string{"at", "option", "sets", "values", "factory", "how"}, each(p.Options, optionRow))
	add("Gestures", []string{"gesture", "buttons", "presses", "hold s", "sends"}, each(p.Gestures, gestureRow))
	add("Links", []string{"form", "tells the controller", "takes for the vehicle"}, each(p.Links, func(l profile.Link) []string {
		return []string{l.Form, strings.Join(l.ToController, ", "), strings.Join(l.ToVehicle, ", ")}
	}))
	return v
}

func each[T any](all []T, row func(T) []string) [][]string {
	var rows [][]string
	for _, x := range all {
		rows = append(rows, row(x))
	}
	return rows
}

func optionRow(o profile.Option) []string {
	at := ""
	if o.How == "keyed" {
		at = fmt.Sprintf("%d/%d", o.Bank, o.Item)
	}
	sets := map[string]bool{}
	var names, values []string
	for _, value := range o.Values {
		var is []string
		for _, name := range sortedKeys(value.Is) {
			if !sets[name] {
				sets[name] = true
				names = append(names, name)
			}
			is = append(is, value.Is[name])
		}
		text := strings.Join(is, "&")
		if value.Name != text {
			text = value.Name + "=" + text
		}
		values = append(values, text)
	}
	sort.Strings(names)
	return []string{at, o.ID, strings.Join(names, ", "), strings.Join(values, " "), o.Factory, o.How}
}

func gestureRow(g profile.Gesture) []string {
	sends := "channel " + strconv.Itoa(g.Channel)
	if g.Channel == 0 {
		sends = "teachable: " + strings.Trim(fmt.Sprint(g.Teachable), "[]")
	}
	if g.Taken != "" {
		sends = g.Taken
	}
	return []string{g.ID, strings.Join(g.Buttons, "+"), strconv.Itoa(g.Presses), fmt.Sprint(g.HoldSeconds), sends}
}

// Page shows the device.
func (v DeviceDetail) Page() Page {
	p := Page{Title: v.Label}
	if v.Invented {
		p.Marks = []string{"An invented demo device: not for a real vehicle."}
	}
	if v.Papers != "" {
		p.Sections = append(p.Sections, Section{Blocks: []Block{Text{Quiet, "From: " + v.Papers}}})
	}
	for _, t := range v.Tables {
		p.Sections = append(p.Sections, Section{Title: t.Title, Blocks: []Block{Grid{Head: t.Head, Rows: t.Rows}}})
	}
	return p
}
