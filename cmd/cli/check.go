package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/job"
	"asleft/config/profile"
	"asleft/config/source"
	"asleft/rules"
	"asleft/rules/base"
)

func newCheck(a *app) *cobra.Command {
	var whole bool
	c := a.command(verb{
		use: "check FILE...", group: "job",
		short:    "check any file that people write: jobs, profiles, policies, as-found and rule files",
		long:     "Checks each file by its schema line and tells every mistake at once, with its place. A\njob is checked together with the policy and the profiles it names. With --rules, looks at\nthe shipped rule base as a whole, with the rule files given in the place of those of their\nname or beside them, and proves that no unsafe install gets a keying card.",
		example:  "  asleft check testdata/jobs/minibus.toml testdata/jobs/ostlin.policy.toml\n  asleft check --rules\n  asleft check --rules rules/base/rules-trade-locks.toml",
		args:     cobra.ArbitraryArgs,
		statuses: []Status{Different},
		run: func(args []string) error {
			switch {
			case whole:
				return a.checkWholeBase(args)
			case len(args) == 0:
				return fail(BadInput, "see 'asleft check --help'", "name at least one file, or --rules")
			}
			return a.check(args)
		},
	})
	c.Flags().BoolVar(&whole, "rules", false, "look at the rule base as a whole, and prove it")
	return c
}

func (a *app) check(args []string) error {
	var problems source.Problems
	v := present.CheckedView{Schema: "asleft/checked/1"}
	for _, path := range args {
		kind, warnings, err := a.checkFile(path)
		if err := collect(&problems, err); err != nil {
			return err
		}
		v.Files = append(v.Files, present.CheckedFile{File: path, Kind: kind, Good: err == nil, Warnings: warnings})
	}
	if len(problems) > 0 {
		return problems
	}
	return a.print(v)
}

// checkFile checks one file as its schema line says, and returns the kind and what to look at again.
func (a *app) checkFile(path string) (kind string, warnings []string, err error) {
	text, err := readFile(path)
	if err != nil {
		return "", nil, err
	}
	doc, err := source.Parse(path, text)
	if err != nil {
		return "", nil, err
	}
	kinds := map[string]func() ([]string, error){
		"asleft/job/1":     func() ([]string, error) { return a.checkJob(path) },
		"asleft/policy/1":  func() ([]string, error) { _, err := job.ReadPolicy(path, text); return nil, err },
		"asleft/found/1":   func() ([]string, error) { _, err := job.ReadFound(path, text); return nil, err },
		"asleft/profile/1": func() ([]string, error) { return checkProfile(path, text) },
		"asleft/rules/1":   func() ([]string, error) { return nil, checkRules(path, text) },
	}
	schema := doc.Root().Text("schema")
	check, known := kinds[schema]
	if !known {
		names := []string{"asleft/job/1", "asleft/policy/1", "asleft/found/1", "asleft/profile/1", "asleft/rules/1"}
		return "", nil, source.Problems{doc.Problem(source.Problem{
			Message: "the schema line does not say what the file is", Expected: "one of " + strings.Join(names, ", "),
			Found: schema, Nearest: source.Nearest(schema, names), Example: `schema = "asleft/job/1"`,
		}, "schema")}
	}
	warnings, err = check()
	return strings.TrimSuffix(strings.TrimPrefix(schema, "asleft/"), "/1"), warnings, err
}

// checkJob checks a job with all that it names, as resolving it would.
func (a *app) checkJob(path string) ([]string, error) {
	in, err := a.load(path)
	if err != nil {
		return nil, err
	}
	if _, err := in.resolve(rules.Options{}); err != nil {
		return nil, err
	}
	var warnings []string
	for _, w := range in.job.Warnings {
		warnings = append(warnings, fmt.Sprintf("%s: %s", w.Pos, w.Message))
	}
	return warnings, nil
}

func checkProfile(path string, text []byte) ([]string, error) {
	p, err := profile.Read(path, text)
	if err != nil {
		return nil, err
	}
	if problems := rules.CheckKeying(p); len(problems) > 0 {
		return nil, problems
	}
	return nil, nil
}

// checkRules checks a rule file together with the shipped ones; a file of the shipped base's name
// stands in for it.
func checkRules(path string, text []byte) error {
	_, err := loadRules(instead(base.ShippedFiles(), path, text))
	return err
}
