package assign

import (
	_ "embed"

	"asleft/config/pressed"
)

// What recipes.toml and words.toml say is pressed: package pressed says how.

//go:generate go test -run TestPressedFilesAreFresh -press .

var (
	//go:embed recipes.pressed
	recipesPressed string
	//go:embed words.pressed
	wordsPressed string
)

// unpress fills a model from the pressed form of a file, where it is of that file.
func unpress(form string, file []byte, walk func(*pressed.Codec)) bool {
	return pressed.Fits(form, file) && pressed.Read(form, walk) == nil
}

func (s *stock) walk(c *pressed.Codec) {
	pressed.List(c, &s.relays, func(c *pressed.Codec, r *Relay) {
		pressed.Text(c, &r.ID)
		pressed.Text(c, &r.Title)
		c.Number(&r.Volts)
		c.Real(&r.Ohms)
		c.Real(&r.Make)
		c.Real(&r.Break)
		pressed.Text(c, &r.Source)
	})
	pressed.List(c, &s.recipes, func(c *pressed.Codec, r *Recipe) {
		pressed.Text(c, &r.ID)
		pressed.Text(c, &r.Title)
		pressed.Text(c, &r.Use)
		pressed.Text(c, &r.Output)
		pressed.Text(c, &r.Line)
		c.Texts(&r.Marks)
		c.Texts(&r.Ends)
		c.Texts(&r.Notes)
		c.Flag(&r.ReleaseMatters)
	})
}

func (l *lexicon) walk(c *pressed.Codec) {
	pressed.List(c, &l.same, func(c *pressed.Codec, p *phrase) {
		c.Texts(&p.words)
		pressed.Text(c, &p.thing)
	})
	c.Texts(&l.empty)
	pressed.Map(c, &l.near, (*pressed.Codec).Texts)
}
