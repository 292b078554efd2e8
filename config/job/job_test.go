package job

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// least is the smallest job that can be read.
const least = `schema = "asleft/job/1"
title = "t"
taken = 2026-11-20
by = "T.V."
start = true
start-path = "feeds"
[vehicle]
label = "the white minibus"
nominal-volts = 12
gearbox = "automatic"
fuel = "diesel"
start-control = "blade-key"
[vehicle.identity]
plate = "TCW 014"
[device.controller]
profile = "demo-alder"
`

func TestLeastJob(t *testing.T) {
	j, err := Read("f", []byte(least))
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Warnings) != 0 || j.Title != "t" || j.Vehicle.Gearbox != "automatic" || j.Vehicle.Identity["plate"] != "TCW 014" || j.Devices[0].Profile != "demo-alder" {
		t.Errorf("got %+v", j)
	}
}

// folder is where the demo jobs are.
const folder = "../../testdata/jobs"

// TestDemoJobs reads every file of the demo folder; all of them are well
// written, also those that the rules must refuse.
func TestDemoJobs(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(folder, "*.toml"))
	if err != nil || len(files) < 10 {
		t.Fatalf("%d files: %v", len(files), err)
	}
	for _, file := range files {
		name := filepath.Base(file)
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case strings.HasSuffix(name, ".policy.toml"):
			_, err = ReadPolicy(name, data)
		case strings.HasSuffix(name, ".found.toml"):
			_, err = ReadFound(name, data)
		default:
			var j *Job
			if j, err = Read(name, data); err == nil && len(j.Warnings) > 0 {
				t.Errorf("warnings:\n%v", j.Warnings)
			}
		}
		if err != nil {
			t.Errorf("%v", err)
		}
		if !strings.Contains(string(data), "invented") {
			t.Errorf("%s does not say that it is invented", name)
		}
	}
}

// TestRolesOfDemoJobs follows the readings of the four vehicles to their roles.
func TestRolesOfDemoJobs(t *testing.T) {
	want := map[string]map[string]string{
		"minibus": {"c1-01": RoleBattery, "c1-02": RoleKeyIn, "c1-03": RoleHeld, "c1-04": RoleHeld, "c1-05": RoleDropped,
			"c1-06": RoleStarter, "c2-11": RoleData},
		"pickup": {"c2-01": RoleBattery, "c2-02": RoleKeyIn, "c2-03": RoleHeld, "c2-05": RoleHeld, "c2-04": RoleDropped,
			"c2-06": RoleStarter, "c2-07": RoleDropped, "c2-08": RoleDropped},
		"hatchback": {"c1-01": RoleBattery, "c1-02": RoleKeyIn, "c1-04": RoleHeld, "c1-05": RoleDropped,
			"c1-07": RoleStarter, "c1-09": RoleDropped},
		"estate": {"c5-01": RoleBattery, "c5-04": RoleKeyIn, "c5-06": RoleHeld, "c5-09": RoleLogic},
	}
	for name, roles := range want {
		got := map[string]string{}
		for _, c := range demo(t, name).Circuits {
			got[c.Name] = c.Role
		}
		if !reflect.DeepEqual(got, roles) {
			t.Errorf("%s: got %v, want %v", name, got, roles)
		}
	}
}

// demo reads one of the demo jobs.
func demo(t testing.TB, name string) *Job {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(folder, name+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	j, err := Read(name+".toml", data)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// TestEveryFieldIsFilled: between them the four demo jobs use everything that a
// job can hold, so that nothing is only described and never read.
func TestEveryFieldIsFilled(t *testing.T) {
	filled := map[string]bool{}
	for _, name := range []string{"minibus", "pickup", "hatchback", "estate"} {
		mark(filled, "", reflect.ValueOf(*demo(t, name)))
	}
	for path, ok := range filled {
		if !ok && !rare[path] {
			t.Errorf("no demo job fills %s", path)
		}
		if ok && rare[path] {
			t.Errorf("%s is not rare", path)
		}
	}
}

// mark notes for each field whether it holds anything.
func mark(filled map[string]bool, path string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			if name != "Doc" && name != "Warnings" {
				mark(filled, strings.TrimPrefix(path+"."+name, "."), v.Field(i))
			}
		}
	case reflect.Slice:
		if v.Type().Elem().Kind() != reflect.Struct {
			filled[path] = filled[path] || v.Len() > 0
			return
		}
		for i := range v.Len() {
			mark(filled, path, v.Index(i))
		}
	default:
		empty := v.IsZero() || v.Kind() == reflect.Map && v.Len() == 0
		filled[path] = filled[path] || !empty
	}
}

// rare is what none of the four vehicles has.
var rare = map[string]bool{
	"Profiles":              true, // the shop's own profiles
	"Proven":                true, // tests passed before the job was written down
	"Circuits.Again":        true, // no ladder
	"Circuits.LowSide":      true,
	"Circuits.Asleep.Volts": true,
	"Lock.OhmsSecret":       true,
	"Signals.Settle":        true, // no door input from a dome circuit
	"Functions.Output":      true, // the plan chooses
	"Functions.On.Gesture":  true,
	"Outputs.Function":      true,
	"Place.Silent":          true,
}
