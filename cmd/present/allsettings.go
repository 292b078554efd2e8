package present

import (
	"asleft/config/record"
)

// AllSettingsView is the settings as left of every vehicle, one a line, for a spreadsheet.
type AllSettingsView struct {
	Schema   string             `json:"schema"` // asleft/all-settings/1
	Settings []VehicleOfSetting `json:"settings"`
}

// VehicleOfSetting is one setting with the vehicle it belongs to.
type VehicleOfSetting struct {
	Vehicle string `json:"vehicle"`
	Label   string `json:"label"`
	PresentView
}

// Add takes the settings of one vehicle.
func (v *AllSettingsView) Add(s *record.State, label string) {
	v.Schema = "asleft/all-settings/1"
	state := State(s, label)
	for _, p := range state.Settings {
		v.Settings = append(v.Settings, VehicleOfSetting{state.Vehicle, label, p})
	}
}

// Page is one table.
func (v AllSettingsView) Page() Page {
	g := Grid{Head: []string{"vehicle", "label", "device", "setting", "value", "before", "since", "by", "why", "from"}}
	for _, s := range v.Settings {
		g.Rows = append(g.Rows, []string{s.Vehicle, s.Label, s.Device, s.Setting, s.Value, s.Before, s.Since, s.By, s.Why, s.Origin})
	}
	return Page{Sections: []Section{{Title: "Settings as left", Blocks: []Block{g}}}}
}
