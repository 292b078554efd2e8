package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"asleft/cmd/present"
	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/record"
	"asleft/rules"
	"asleft/rules/base"
)

// documents are the files behind an entry: the job, the policy, the profiles, the rule base. An
// entry names them by digest, so that it answers when the files are gone.
func (in *install) documents() []record.Document {
	docs := []record.Document{{Role: "job", Bytes: in.jobText}}
	for _, d := range in.texts {
		if d.role != "found" {
			docs = append(docs, record.Document{Role: d.role, Bytes: d.text})
		}
	}
	docs = append(docs, in.shippedProfiles()...)
	var rulesText []byte
	for _, f := range base.ShippedFiles() {
		rulesText = fmt.Appendf(rulesText, "# %s\n%s\n", f.Name, f.Data)
	}
	return append(docs, record.Document{Role: "rules", Bytes: rulesText})
}

// shippedProfiles are the profiles of the job's devices and remotes that the shop did not give itself.
func (in *install) shippedProfiles() []record.Document {
	var ids []string
	for _, d := range in.job.Devices {
		ids = append(ids, d.Profile)
	}
	for _, r := range in.job.Remotes {
		ids = append(ids, r.Profile)
	}
	slices.Sort(ids)
	var docs []record.Document
	for _, id := range slices.Compact(ids) {
		if text, ok := profile.Text(id); ok {
			docs = append(docs, record.Document{Role: record.ProfileRole + id, Bytes: text})
		}
	}
	return docs
}

// planDocument is the button plan as the desk's question is answered from it, canonical.
// Whole is the same job's outcome with its remote start, where this one is derived without.
func planDocument(o, whole *rules.Outcome) record.Document {
	return record.Document{Role: "plan", Bytes: present.PlanOf(o, whole).Canonical()}
}

// knownVehicle finds the vehicle of a job in the record; none is no error: it is opened.
func knownVehicle(ctx context.Context, b *record.Book, in *install) (record.ID, error) {
	id, err := vehicleOf(ctx, b, in.job)
	var none *record.NoVehicleError
	if errors.As(err, &none) {
		return record.ID{}, nil
	}
	return id, err
}

// intakeData is what was asked and read before a tool was lifted.
func intakeData(j *job.Job) map[string]string {
	data := map[string]string{"title": j.Title, "keys-presented": strconv.Itoa(j.Vehicle.KeysPresented)}
	for name, answer := range j.Intake.Asked {
		data["intake."+name] = answer
	}
	for name, number := range j.Intake.Numbers {
		data["intake."+name] = decimal(number)
	}
	if len(j.Intake.Notes) > 0 {
		data["intake.notes"] = strings.Join(j.Intake.Notes, "; ")
	}
	if j.Intake.By != "" {
		data["intake.by"] = j.Intake.By
	}
	return withoutEmpty(data)
}

// measuredData is each conductor's readings, conditions and role.
func measuredData(j *job.Job) map[string]string {
	data := map[string]string{}
	for _, c := range j.Circuits {
		name := "circuit." + c.Name
		data[name+".role"] = c.Role
		data[name+".with"] = strings.Join(c.With, "+")
		for position, r := range c.Volts {
			data[name+"."+position] = decimal(r.Volts) + " of " + decimal(r.Battery)
		}
		if c.Fuse > 0 {
			data[name+".fuse"] = decimal(c.Fuse)
		}
	}
	return withoutEmpty(data)
}

// outcomeData is what the rules said about remote start.
func outcomeData(o *rules.Outcome) map[string]string {
	return map[string]string{"remote-start": string(o.Derived.Start), "rule-base": o.RuleBase}
}

// leftData adds what is off, by the rules or set off by a person: no gesture may be told for it.
func leftData(o *rules.Outcome, setOff []string) map[string]string {
	data := outcomeData(o)
	off := o.Off()
	for _, what := range setOff {
		if !slices.Contains(off, what) {
			off = append(off, what)
		}
	}
	if len(off) > 0 {
		data["off"] = strings.Join(off, "+")
	}
	return data
}

// refusedDraft keeps a refusal: which rules, which facts, what would cure it.
func refusedDraft(vehicle record.ID, o *rules.Outcome, in *install) record.Draft {
	var ids, texts []string
	for _, f := range o.Derived.Contradictions {
		ids = append(ids, "contradiction")
		texts = append(texts, f.Why)
	}
	for _, f := range o.Derived.Refusals {
		ids = append(ids, f.Rule)
		texts = append(texts, strings.TrimSpace(f.Scope.String()+": "+f.Why+" "+f.Cure))
	}
	data := outcomeData(o)
	data["rule"] = strings.Join(ids, "+")
	data["findings"] = strings.Join(texts, "; ")
	return record.Draft{Kind: record.Refused, Vehicle: vehicle, Data: withoutEmpty(data), Documents: in.documents()}
}

func withoutEmpty(data map[string]string) map[string]string {
	for name, text := range data {
		if text == "" {
			delete(data, name)
		}
	}
	return data
}

func decimal(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }
