package cli

import (
	"path/filepath"

	"asleft/cmd/present"
	"asleft/rules/base"
	"asleft/rules/proof"
)

// checkWholeBase looks at the shipped rules as a whole, with the files given in the place of shipped ones of their name, or
// added to them. It ends with status 5 when something is to be mended.
func (a *app) checkWholeBase(paths []string) error {
	files := base.ShippedFiles()
	for _, path := range paths {
		text, err := readFile(path)
		if err != nil {
			return err
		}
		files = instead(files, path, text)
	}
	if _, err := loadRules(files); err != nil {
		return err
	}
	in := &install{}
	if err := in.readDevices(a.devices); err != nil {
		return err
	}
	report, err := proof.Check(files, in.devices)
	if err != nil {
		return err
	}
	if err := a.print(present.RulesCheck(report)); err != nil {
		return err
	}
	if !report.Good() {
		return answered(Different)
	}
	return nil
}

// instead puts a file in the place of the one of its name, or adds it.
func instead(files []base.File, path string, text []byte) []base.File {
	name := filepath.Base(path)
	for i, f := range files {
		if filepath.Base(f.Name) == name {
			files[i] = base.File{Name: path, Data: text}
			return files
		}
	}
	return append(files, base.File{Name: path, Data: text})
}

// loadRules loads rule files and runs the examples of their rules.
func loadRules(files []base.File) (*base.Base, error) {
	b, problems := base.Load(files)
	if len(problems) == 0 {
		problems = b.CheckExamples()
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return b, nil
}
