package cli

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"asleft/cmd/present"
	"asleft/config/record"
	"asleft/config/setting"
	"asleft/config/source"
)

// showing says to whom secrets are shown, and why.
type showing struct{ to, reason string }

func (s *showing) add(a *app, c *cobra.Command) {
	addBy(a, c)
	c.Flags().StringVar(&s.to, "to", "", "who is shown it")
	c.Flags().StringVar(&s.reason, "reason", "", "why")
}

// show records that secrets of a vehicle are shown to a named person, and then prints them.
func (a *app) show(s showing, word string, q record.Reveal, draw func(*record.Revealed, record.Summary) view) error {
	var err error
	if q.By, err = a.writer(nil); err != nil {
		return err
	}
	if s.to == "" {
		return fail(BadInput, "--to says who is shown it", "nobody is named to whom it is shown")
	}
	q.To, q.Reason = s.to, s.reason
	return a.withBook(toWrite, func(ctx context.Context, b *record.Book) error {
		if q.Vehicle, err = a.target(ctx, b, word, record.Writing); err != nil {
			return err
		}
		summary, err := b.Summary(ctx, q.Vehicle)
		if err != nil {
			return err
		}
		shown, err := b.Reveal(ctx, q)
		if shown == nil {
			return err
		}
		return errors.Join(a.print(draw(shown, summary)), err) // the entry stands, so it is shown
	})
}

func recordReveal(a *app) *cobra.Command {
	var s showing
	c := a.command(verb{
		use: "reveal VEHICLE FIELD", short: "open a secret in person; the showing is recorded first",
		long:    "Opens a secret (override-code, resistor, hidden-place) for a named person. An entry that says\nwho showed it to whom is written before the value is given away. No other output holds it but\nthe owner's sheet ('asleft record owner-sheet'); it is never printed as JSON.",
		example: "  asleft record reveal 'bus 1' override-code --to M.O. --by T.V.", args: cobra.ExactArgs(2), only: []string{"table"}, statuses: []Status{NotVerified, NotFound},
		run: func(args []string) error {
			return a.show(s, args[0], record.Reveal{Field: args[1]}, func(r *record.Revealed, _ record.Summary) view { return present.Revealed(r) })
		},
	})
	s.add(a, c)
	return c
}

func recordOwnerSheet(a *app) *cobra.Command {
	var s showing
	var secrets bool
	c := a.command(verb{
		use: "owner-sheet VEHICLE --secrets", short: "the owner's own page: override code, resistor value, hidden places; to be kept at home",
		long:    "Prints all secrets of a vehicle on a page of their own, for its owner to keep at home and never\nin the vehicle. No other sheet, card or answer carries them. An entry that says who printed it\nfor whom is written before; the page carries the record's code from after that entry.",
		example: "  asleft record owner-sheet 'bus 1' --secrets --to M.O. --by T.V.\n  asleft record owner-sheet 'bus 1' --secrets --to M.O. --by T.V. --format html > owner.html", args: cobra.ExactArgs(1), only: []string{"table", "markdown", "html"}, statuses: []Status{NotVerified, NotFound},
		run: func(args []string) error {
			if !secrets {
				return fail(BadInput, "say --secrets, and print it for the owner alone", "an owner's sheet shows every secret of the vehicle in the clear")
			}
			return a.show(s, args[0], record.Reveal{Sheet: "owner's sheet"}, func(r *record.Revealed, of record.Summary) view {
				return present.OwnerSheet(r, of, s.to, a.stamp())
			})
		},
	})
	s.add(a, c)
	c.Flags().BoolVar(&secrets, "secrets", false, "yes: the secrets in the clear")
	return c
}

func recordErase(a *app) *cobra.Command {
	var reason string
	var personal bool
	c := a.command(verb{
		use: "erase VEHICLE --personal", short: "remove personal values for good; every proof still verifies",
		long:    "Removes names, telephone, plate and VIN with their keys from every file that the tool owns, and\nrecords that it was done. Copies made before (backups, exports, extracts) are listed: they\nare out of reach. A reason is needed.",
		example: "  asleft record erase 'bus 1' --personal --reason 'asked by the owner' --by T.V.", args: cobra.ExactArgs(1), statuses: []Status{NotVerified, NotFound},
		run: func(args []string) error {
			by, err := a.writer(nil)
			if err != nil {
				return err
			}
			if !personal {
				return fail(BadInput, "say --personal: settings and tests are never erased", "nothing is named to erase")
			}
			return a.withBook(toWrite, func(ctx context.Context, b *record.Book) error {
				id, err := a.target(ctx, b, args[0], record.Writing)
				if err != nil {
					return err
				}
				e, err := b.Erase(ctx, record.Erase{Vehicle: id, By: by, Reason: reason})
				if err != nil {
					return err
				}
				return a.print(present.Erasure(e))
			})
		},
	})
	addBy(a, c)
	c.Flags().BoolVar(&personal, "personal", false, "personal values: names, telephone, plate, VIN")
	c.Flags().StringVar(&reason, "reason", "", "why")
	return c
}

func recordSearch(a *app) *cobra.Command {
	return a.command(verb{
		use: "search TERM...", short: "settings and entries over all vehicles",
		long:    "Searches the present as-left settings, or the entries, of all vehicles. Terms are\nSETTING=VALUE, device=NAME, since=DAY, until=DAY, by=WHO, kind=KIND, text=WORDS; all must hold.",
		example: "  asleft record search engine-speed.source=voltage\n  asleft record search kind=comeback since=2026-11-01", args: cobra.MinimumNArgs(1), formats: []string{"csv"}, statuses: []Status{NotVerified, NotFound},
		run: func(args []string) error {
			q, err := query(args)
			if err != nil {
				return err
			}
			return a.withBook(toLook, func(ctx context.Context, b *record.Book) error {
				v := present.SearchView{Schema: "asleft/search/1"}
				var hits []record.Hit // the store is read for one question at a time
				err := b.Search(ctx, q, func(hit record.Hit) error {
					hits = append(hits, hit)
					return nil
				})
				if err != nil {
					return err
				}
				for _, hit := range hits {
					s, err := b.Summary(ctx, hit.Vehicle)
					if err != nil {
						return err
					}
					v.Add(s.Label(), hit)
				}
				if err := a.print(v); err != nil {
					return err
				}
				if len(v.Hits) == 0 {
					return answered(NotFound)
				}
				return nil
			})
		},
	})
}

// nearestKind says which kind of entry was meant, or which there are.
func nearestKind(word string) string {
	var kinds []string
	for _, k := range record.Kinds() {
		kinds = append(kinds, string(k.Kind))
	}
	if near := source.Nearest(word, kinds); near != "" {
		return "did you mean '" + near + "'?"
	}
	return "expected one of " + joined(kinds)
}

// query reads the terms of a search.
func query(args []string) (record.Query, error) {
	var q record.Query
	for _, arg := range args {
		name, value, ok := cutPair(arg)
		if !ok {
			return q, fail(BadInput, "for example engine-speed.source=voltage", "%q is not NAME=VALUE", source.Visible(arg))
		}
		var err error
		switch name {
		case "device":
			q.Device = value
		case "since":
			q.Since, err = startOf(value)
		case "until":
			q.Until, err = parseTime(value)
		case "by":
			q.By = value
		case "text":
			q.Text = value
		case "kind":
			kind, known := record.KindNamed(value)
			if !known {
				return q, fail(BadInput, nearestKind(value), "no kind of entry is called %q", source.Visible(value))
			}
			q.Kind = kind.Kind
		default:
			family, known := setting.Find(name)
			if !known {
				hint := "'asleft settings' lists them"
				if near := setting.Nearest(name); near != "" {
					hint = "did you mean '" + near + "'?"
				}
				return q, fail(BadInput, hint, "no setting is called %q", source.Visible(name))
			}
			v, parseErr := family.Parse(value)
			if parseErr != nil {
				return q, fail(BadInput, "expected "+family.Expected(), "%s: %v", name, parseErr)
			}
			q.Setting, q.Value = name, v
		}
		if err != nil {
			return q, err
		}
	}
	return q, nil
}
