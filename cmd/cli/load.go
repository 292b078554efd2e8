package cli

import (
	"errors"
	"path/filepath"

	"asleft/cmd/present"
	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/record"
	"asleft/config/source"
	"asleft/rules"
	"asleft/rules/base"
)

// install is a job with everything that is read beside it.
type install struct {
	job     *job.Job
	jobText []byte // as read: the record keeps it
	policy  *job.Policy
	devices *profile.Catalogue
	found   *job.Found // where keying starts; nil = factory
	rules   *base.Base

	texts []document // every file beside the job, for the record
}

// document is a file as it was read, with the role it has.
type document struct {
	role string
	text []byte
}

// load reads a job, the policy and the profiles it names, and the shipped rule base. The mistakes
// of all files come at once.
func (a *app) load(path string) (*install, error) {
	in := &install{}
	var problems source.Problems
	text, err := readFile(path)
	if err != nil {
		return nil, err
	}
	go base.Shipped() // is needed in any case, and is read while the job is
	in.jobText = text
	in.job, err = job.Read(path, text)
	if err := collect(&problems, err); err != nil {
		return nil, err
	}
	var profiles []string
	policy := a.policy
	if in.job != nil {
		dir := filepath.Dir(path)
		if policy == "" && in.job.Policy != "" {
			policy = beside(dir, in.job.Policy)
		}
		for _, p := range in.job.Profiles {
			profiles = append(profiles, beside(dir, p))
		}
	}
	if policy != "" {
		if err := collect(&problems, in.readPolicy(policy)); err != nil {
			return nil, err
		}
	}
	if err := collect(&problems, in.readDevices(append(profiles, a.devices...))); err != nil {
		return nil, err
	}
	if len(problems) > 0 {
		return nil, problems
	}
	in.rules = base.Shipped()
	return in, nil
}

// beside resolves a path that a file names, relative to that file.
func beside(dir, path string) string {
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(dir, path)
}

// collect gathers the mistakes of a file, so that those of the next file are told as well; any
// other error ends the command.
func collect(all *source.Problems, err error) error {
	var problems source.Problems
	if errors.As(err, &problems) {
		*all = append(*all, problems...)
		return nil
	}
	return err
}

func (in *install) readPolicy(path string) error {
	text, err := readFile(path)
	if err != nil {
		return err
	}
	in.policy, err = job.ReadPolicy(path, text)
	in.texts = append(in.texts, document{"policy", text})
	return err
}

func (in *install) readDevices(paths []string) error {
	in.devices = profile.Demo()
	var problems source.Problems
	for _, path := range paths {
		text, err := readFile(path)
		if err != nil {
			return err
		}
		p, err := in.devices.Add(path, text)
		if err := collect(&problems, err); err != nil {
			return err
		}
		if p != nil {
			in.texts = append(in.texts, document{record.ProfileRole + p.ID, text})
		}
	}
	if len(problems) > 0 {
		return problems
	}
	return nil
}

// readFound reads an as-found file as the start of keying.
func (in *install) readFound(path string) error {
	text, err := readFile(path)
	if err != nil {
		return err
	}
	in.found, err = job.ReadFound(path, text)
	in.texts = append(in.texts, document{"found", text})
	return err
}

// resolve runs the pipeline.
func (in *install) resolve(o rules.Options) (*rules.Outcome, error) {
	o.Found = in.found
	return rules.Resolve(in.rules, in.job, in.devices, in.policy, o)
}

// from names where keying starts, for people.
func (in *install) from() string {
	if in.found == nil {
		return "the factory settings"
	}
	return "the settings as found in " + in.found.Doc.Name()
}

// stamp is what outputs say about their making.
func (a *app) stamp() present.Stamp {
	return present.Stamp{Tool: Version, Printed: a.Now().Format("2006-01-02")}
}

// pageStamp is the stamp of an answer that may be a page for paper: in HTML it carries the record's code
// as every sheet does.
func (a *app) pageStamp() present.Stamp {
	if a.format == "html" {
		return a.sheetStamp()
	}
	return a.stamp()
}

// sheetStamp is the stamp of what is printed and kept: with the record's code, where there is one.
func (a *app) sheetStamp() present.Stamp {
	s := a.stamp()
	s.Code = a.sheetCode()
	return s
}

// statusOfOutcome is the exit status that an answered job carries.
func statusOfOutcome(o *rules.Outcome) Status {
	switch {
	case o.Refused():
		return Refused
	case o.Open():
		return FactMissing
	default:
		return Done
	}
}
