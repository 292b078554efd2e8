package cli

import (
	"context"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"asleft/config/profile"
	"asleft/config/record"
	"asleft/config/setting"
	"asleft/rules"
)

// completers give the words that a shell may offer, by the name an argument has in a verb's line of
// use. What comes before the argument is given; a completer that fails offers nothing.
var completers = map[string]func(a *app, before []string) []string{
	"VEHICLE": func(a *app, _ []string) []string { return a.vehicleWords() },
	"OTHER":   func(a *app, _ []string) []string { return a.vehicleWords() },
	"SETTING": func(a *app, before []string) []string { return a.settingsOfJob(before[0]) },
	"VALUE":   func(_ *app, before []string) []string { return valuesOf(before[1]) },
	"TEST":    func(a *app, before []string) []string { return a.testsOf(before[0]) },
	"FIELD":   func(*app, []string) []string { return record.SecretKinds() },
	"RESULT":  func(*app, []string) []string { return []string{record.Passed, record.Failed, record.Skipped} },
	"ID":      func(*app, []string) []string { return profile.Demo().IDs() },
	"NAME":    func(*app, []string) []string { return settingNames() },
}

// tomlFiles are the arguments and flags that name a file which people write.
var tomlFiles = []string{"JOB", "FOUND", "LEFT", "policy", "profile", "from", "found", "settings"}

// addCompletions prepares the verbs to answer a shell. It is called only when a shell asks, so that
// it costs an ordinary start nothing.
func (a *app) addCompletions(c *cobra.Command) {
	c.ValidArgsFunction = func(c *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		return a.complete(c.Use, args, begun)
	}
	mark := func(f *pflag.Flag) {
		switch {
		case slices.Contains(tomlFiles, f.Name):
			_ = c.MarkFlagFilename(f.Name, "toml") // the flag is there: it is being visited
		case f.Name == "format":
			words := append(slices.Clone(commonFormats), "csv", "html")
			_ = c.RegisterFlagCompletionFunc("format", cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
		}
	}
	c.LocalFlags().VisitAll(mark)
	for _, sub := range c.Commands() {
		a.addCompletions(sub)
	}
}

func (a *app) complete(use string, args []string, begun string) ([]string, cobra.ShellCompDirective) {
	names := strings.Fields(strings.NewReplacer("[", "", "]", "", "...", "").Replace(use))[1:]
	if len(args) >= len(names) {
		return nil, cobra.ShellCompDirectiveDefault
	}
	name := names[len(args)]
	if slices.Contains(tomlFiles, name) {
		return []string{"toml"}, cobra.ShellCompDirectiveFilterFileExt
	}
	words, ok := completers[name]
	if !ok {
		return nil, cobra.ShellCompDirectiveDefault
	}
	fits := slices.DeleteFunc(words(a, args), func(w string) bool { return !strings.HasPrefix(w, begun) })
	return fits, cobra.ShellCompDirectiveNoFileComp
}

// vehicleWords are the labels and fleet numbers of the record.
func (a *app) vehicleWords() []string {
	var words []string
	_ = a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
		all, err := b.List(ctx)
		for _, s := range all {
			for _, word := range []string{s.Label(), s.Attributes[record.Fleet]} {
				if word != "" && !slices.Contains(words, word) {
					words = append(words, word)
				}
			}
		}
		return err
	})
	return words
}

func (a *app) settingsOfJob(path string) []string {
	in, err := a.load(path)
	if err != nil {
		return nil
	}
	o, err := in.resolve(rules.Options{})
	if err != nil {
		return nil
	}
	var words []string
	for _, s := range o.Derived.Settings {
		if !slices.Contains(words, s.Key.Setting) {
			words = append(words, s.Key.Setting)
		}
	}
	return words
}

func valuesOf(name string) []string {
	f, _ := setting.Find(name)
	return slices.Clone(f.Words)
}

// testsOf are the tests of a vehicle that are still open.
func (a *app) testsOf(vehicle string) []string {
	var words []string
	_ = a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
		id, err := a.target(ctx, b, vehicle, record.Looking)
		if err != nil {
			return err
		}
		left, err := testsLeft(ctx, b, &record.Summary{Vehicle: id})
		for _, t := range left {
			words = append(words, t.Test)
		}
		return err
	})
	return words
}
