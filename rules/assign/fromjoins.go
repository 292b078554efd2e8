package assign

import (
	"slices"
	"strings"

	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/source"
)

// joins reads what outputs are joined to already: auxiliary outputs belong to a function or are
// busy, outputs of fixed use become ties.
func (r *reader) joins() {
	if r.device == nil {
		return
	}
	for i := range r.p.Functions {
		if f := &r.p.Functions[i]; f.Output != "" {
			r.find(f.Output, "function", f.Name, "output")
		}
	}
	for _, join := range r.job.Outputs {
		o := r.find(join.Output, "output", join.Name)
		switch {
		case o == nil:
		case o.Use == "aux":
			r.auxiliary(&join)
		case o.Use != "state":
			r.tie(o, &join)
		}
	}
}

func (r *reader) find(name string, path ...string) *profile.Output {
	var names []string
	for i := range r.device.Outputs {
		if r.device.Outputs[i].Name == name {
			return &r.device.Outputs[i]
		}
		names = append(names, r.device.Outputs[i].Name)
	}
	r.fault(source.Problem{Message: r.device.Label + " has no such output", Found: name,
		Expected: "one of " + strings.Join(names, ", "), Nearest: source.Nearest(name, names)}, path...)
	return nil
}

func (r *reader) auxiliary(join *job.OutputJoin) {
	if join.Function == "" {
		r.p.Outputs[r.p.output(join.Output)].Busy = join.Line
		return
	}
	for i := range r.p.Functions {
		f := &r.p.Functions[i]
		if f.Name != join.Function {
			continue
		}
		f.Output = join.Output
		if !slices.Contains(f.Lines, join.Line) {
			f.Lines = append(f.Lines, join.Line)
		}
	}
}

// tie adds a line to an output of fixed use. What its level has to be follows from the circuit as
// identified; where that is not told here, no part is planned.
func (r *reader) tie(o *profile.Output, join *job.OutputJoin) {
	active, amps := r.circuit(o.Use)
	if active == "" {
		return
	}
	if c := slices.IndexFunc(r.job.Circuits, func(c job.Circuit) bool { return c.Name == join.Line }); c >= 0 && amps == 0 {
		amps = max(r.job.Circuits[c].Amps, 0)
	}
	for i := range r.p.Ties {
		if t := &r.p.Ties[i]; t.Output == o.Name {
			t.Lines = append(t.Lines, join.Line)
			return
		}
	}
	r.p.Ties = append(r.p.Ties, Tie{Use: o.Use, Output: o.Name, Level: o.Level, Milliamps: o.Milliamps, OpenDrain: o.OpenDrain,
		Contact: o.Contact, Lines: []string{join.Line}, Active: active, Amps: amps})
}

// circuit gives the level that works the lines of a fixed use, and their current.
func (r *reader) circuit(use string) (active string, amps float64) {
	switch use {
	case "lock", "unlock", "unlock-driver":
		return lockLevel(r.job.Lock.Kind, use), 0
	case "lamps":
		switch r.job.Lamps.Drive {
		case "positive", "positive-two-circuits":
			return "battery", r.job.Lamps.Amps
		case "negative-switch":
			return "ground", r.job.Lamps.Amps
		case "ladder-switch":
			return "ladder", r.job.Lamps.Amps
		}
	case "horn":
		if a := r.job.Horn.Active; a != "none" {
			return a, r.job.Horn.Amps
		}
	case "starter-interrupt":
		return "interrupt", 0
	}
	return "", 0
}

func lockLevel(kind, use string) string {
	switch kind {
	case "negative-pulse", "key-cylinder":
		return "ground"
	case "positive-pulse":
		return "battery"
	case "reversal", "driver-switch-only":
		return "reversal"
	case "ladder":
		return "ladder"
	case "both-polarities":
		if use == "lock" {
			return "battery"
		}
		return "ground"
	}
	return ""
}
