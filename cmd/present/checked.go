package present

// CheckedView is what `asleft check` says of files without mistakes.
type CheckedView struct {
	Schema string        `json:"schema"` // asleft/checked/1
	Files  []CheckedFile `json:"files"`
}

// CheckedFile is one file.
type CheckedFile struct {
	File     string   `json:"file"`
	Kind     string   `json:"kind"`
	Good     bool     `json:"good"`
	Warnings []string `json:"warnings,omitempty"`
}

// Page lists the files.
func (v CheckedView) Page() Page {
	s := Section{}
	for _, f := range v.Files {
		s.Add(Text{Plain, f.File + ": good, a " + f.Kind + " file"})
		if len(f.Warnings) > 0 {
			s.Add(List{Tone: Notice, Items: f.Warnings})
		}
	}
	return Page{Sections: []Section{s}}
}
