// Package job reads what a technician writes down about an install: the job
// file (schema asleft/job/1), the shop's policy (asleft/policy/1) and the
// settings that a device was found with (asleft/found/1).
//
// # What a job file holds
//
// The vehicle, the vehicle as found, each measured conductor with the battery's
// voltage at the same moment, the devices and remotes by profile, what is
// joined to what, the signals of the vehicle, the openings, the functions that
// the customer wants a button for, the wishes, and the place. Conductors go by
// connector and cavity ("c1-03"), never by colour. What is not written down is
// unknown; the word "unknown" may say so.
//
// A conductor that a feed works through a relay says so, with the fuse of its own
// circuit; a state output says what the relay on it switches:
//
//	[feed.rear-blower]
//	feed = "dropped"
//	conductor = "c2-07"
//	through = "relay"          # its coil hangs on the feed
//	fuse-amperes = 20
//
//	[output.3]
//	line = "c9-01"
//	switches = "key-loop"      # or "fob-supply", "simulated-brake"
//
// # What follows while reading
//
// The role of a conductor is not written but follows from its readings (see
// Role); a pattern that no conductor can have is a mistake at the reading that
// is most likely wrong. Names that refer to each other must exist. Wishes must
// name a setting and one of its values. A vehicle identification number is
// checked as a help against slips; a failing check digit is a warning only.
//
// # What it does not do
//
// It does not know the profiles: whether an output or a gesture exists is
// checked where job and profiles meet. It opens no file and decides nothing
// that a rule decides.
package job

import (
	"fmt"
	"strings"

	"asleft/config/source"
)

// Schema is the first line of every job file.
const Schema = "asleft/job/1"

// Read reads a job file; the name is used in messages. The error is
// source.Problems with every mistake of the file. Warnings are kept in the
// job.
func Read(name string, data []byte) (*Job, error) {
	doc, err := source.Parse(name, data)
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	schema(root, Schema)
	j := &Job{Doc: doc}
	j.readHead(root)
	j.Vehicle = j.readVehicle(root.Sub("vehicle", source.Required("[vehicle]")))
	j.Intake = readIntake(root.Sub("intake"))
	for _, t := range root.Each("circuit") {
		j.Circuits = append(j.Circuits, j.readCircuit(t))
	}
	j.readBody(root)
	j.readParts(root)
	for _, t := range root.Each("function") {
		j.Functions = append(j.Functions, readFunction(t))
	}
	for _, t := range root.Each("wish") {
		j.Wishes = append(j.Wishes, readWish(t))
	}
	j.Place = readPlace(root.Sub("place"))
	root.Close()
	j.refer()
	if found := doc.Problems(); found != nil {
		return nil, found
	}
	return j, nil
}

// schema checks the line that says what kind of file it is.
func schema(t *source.Table, want string) {
	example := fmt.Sprintf("schema = %q", want)
	got := t.Text("schema", source.Required(example))
	if got == "" || got == want {
		return
	}
	t.Fault("schema", source.Problem{
		Message:  "this is another kind of file",
		Expected: example,
		Found:    got,
		Example:  example,
	})
}

// readHead reads what stands above the first table.
func (j *Job) readHead(t *source.Table) {
	j.Title = t.Text("title", source.Required(`title = "Remote start and locks for the minibus"`))
	j.Taken = t.Day("taken", source.Required("taken = 2026-11-20"))
	j.By = t.Text("by", source.Required(`by = "T.V."`))
	j.Policy = path(t, "policy", t.Text("policy"))
	j.Profiles = t.Texts("profiles")
	for _, p := range j.Profiles {
		path(t, "profiles", p)
	}
	j.Start = t.Flag("start", source.Required("start = true"))
	j.StartPath = t.Word("start-path", startPaths, source.Required(`start-path = "feeds"`))
	j.Release = known(t, "release", releases)
	j.Proven = t.Texts("proven")
	seen := map[string]bool{}
	for _, id := range j.Proven {
		if !word(id) {
			t.Fault("proven", notWord(id))
		}
		if seen[id] {
			t.Fault("proven", source.Problem{Message: fmt.Sprintf("the test %q is listed twice", source.Visible(id)), Expected: "each test once"})
		}
		seen[id] = true
	}
}

// readBody reads how the vehicle's locks, lamps, horn and alarm are worked,
// its signals and its openings.
func (j *Job) readBody(root *source.Table) {
	j.Lock = readLock(root.Sub("lock"))
	j.Lamps = readLamps(root.Sub("lamps"))
	j.Horn = readHorn(root.Sub("horn"))
	j.Alarm = readAlarm(root.Sub("factory-alarm"))
	for _, t := range root.Each("signal") {
		j.Signals = append(j.Signals, readSignal(t))
	}
	for _, t := range root.Each("opening") {
		j.Openings = append(j.Openings, readOpening(t))
	}
}

// readParts reads the devices, the remotes and what is joined to what.
func (j *Job) readParts(root *source.Table) {
	for _, t := range root.Each("device") {
		j.Devices = append(j.Devices, readDevice(t))
	}
	for _, t := range root.Each("remote") {
		j.Remotes = append(j.Remotes, readRemote(t))
	}
	for _, t := range root.Each("feed") {
		j.Feeds = append(j.Feeds, readFeed(t))
	}
	for _, t := range root.Each("output") {
		j.Outputs = append(j.Outputs, readOutput(t))
	}
}

// warn keeps a thing to look at again.
func (j *Job) warn(p source.Problem, path ...string) {
	j.Warnings = append(j.Warnings, j.Doc.Problem(p, path...))
}

// path refuses a file name that leads away from the job's own folder.
func path(t *source.Table, key, name string) string {
	bad := strings.HasPrefix(name, "/") || strings.ContainsAny(name, "\\:\x00")
	for _, part := range strings.Split(name, "/") {
		bad = bad || part == ".."
	}
	if bad {
		t.Fault(key, source.Problem{
			Message:  fmt.Sprintf("`%s` leads out of the folder of the job", key),
			Expected: "a file beside the job file or in a folder below, with / between the parts",
			Found:    name,
			Example:  `policy = "ostlin.policy.toml"`,
		})
		return ""
	}
	return name
}
