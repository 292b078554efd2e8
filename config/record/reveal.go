package record

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// The kinds of secret. A field is one of them, or one with a name of the
// shop's own after a dot where a vehicle has several: "hidden-place.tracker".
const (
	OverrideCode = "override-code"
	Resistor     = "resistor"
	HiddenPlace  = "hidden-place"
)

// SecretKinds lists the kinds of secret.
func SecretKinds() []string { return []string{OverrideCode, Resistor, HiddenPlace} }

// secretField reports whether a name is that of a secret. Others are refused,
// since a code that was typed in the place of its name would be kept in the clear.
func secretField(name string) bool {
	kind, _, _ := strings.Cut(name, ".")
	return slices.Contains(SecretKinds(), kind)
}

// Reveal asks for secrets to be shown.
type Reveal struct {
	Vehicle  ID
	Field    string // one field; "" for all of the vehicle
	Sheet    string // the sheet that they are printed on; "" when they are shown on a screen
	By       string // who shows it
	To       string // who is shown it; kept as a personal value
	Reason   string
	Identity ID
}

// Revealed is what was shown, and the entry that says so.
type Revealed struct {
	Receipt
	Secrets   []Secret // newest first
	Elsewhere []string // fields that do not open here: another laptop's record keeps them, or the key is lost
}

// Secret is a secret that was opened.
type Secret struct {
	Field string
	Text  string
	Kept  Entry // the entry that it was kept with
}

// Reveal opens secrets. The showing is recorded before any value is given
// away: nobody sees a secret without an entry that says so, and nothing is
// recorded as shown that could not be. With an *AfterError the entry stands, and
// what it says was shown is given too.
func (b *Book) Reveal(ctx context.Context, q Reveal) (*Revealed, error) {
	out, err := b.openSecrets(ctx, q)
	if err != nil {
		return nil, err
	}
	var fields []string
	for _, s := range out.Secrets {
		fields = append(fields, s.Field)
	}
	slices.Sort(fields)
	d := Draft{Kind: Shown, Vehicle: q.Vehicle, Identity: q.Identity, By: q.By, Reason: q.Reason,
		Data: map[string]string{"what": strings.Join(slices.Compact(fields), ", ")}}
	if q.Sheet != "" {
		d.Data["sheet"] = q.Sheet
	}
	if strings.TrimSpace(q.To) != "" {
		d.Personal = map[string]string{ShownTo: q.To}
	}
	out.Receipt, err = b.Record(ctx, d)
	if late := (*AfterError)(nil); err != nil && !errors.As(err, &late) {
		return nil, err
	}
	return out, err
}

// ShownTo is the personal value of an entry that says to whom something was shown.
const ShownTo = "shown-to"

// openSecrets opens what was asked for, newest first. None is an error that
// says what there is.
func (b *Book) openSecrets(ctx context.Context, q Reveal) (*Revealed, error) {
	h, err := b.History(ctx, q.Vehicle)
	if err != nil {
		return nil, err
	}
	values, err := b.sealedValues(ctx, secretClass, q.Vehicle)
	if err != nil {
		return nil, err
	}
	text := map[Digest]string{}
	for _, v := range values {
		text[v.Commitment] = v.Text
	}
	out, have := &Revealed{}, map[string]bool{}
	for _, item := range slices.Backward(h.Items) {
		for _, field := range sortedKeys(item.Secrets) {
			value, opens := text[item.Secrets[field]]
			have[field] = have[field] || opens
			switch {
			case q.Field != "" && q.Field != field:
			case opens:
				out.Secrets = append(out.Secrets, Secret{field, value, item.Entry})
			case !slices.Contains(out.Elsewhere, field):
				out.Elsewhere = append(out.Elsewhere, field)
			}
		}
	}
	if len(out.Secrets) == 0 {
		return nil, noSecret(q.Field, out.Elsewhere, have)
	}
	return out, nil
}

// noSecret says why nothing can be shown.
func noSecret(field string, elsewhere []string, have map[string]bool) error {
	if len(elsewhere) > 0 {
		return &DraftError{Shown, strings.Join(elsewhere, ", ") + ": sealed, and no key here opens it", "a secret never leaves the record that keeps it: have it shown on the laptop where it was kept"}
	}
	var opens []string
	for _, name := range sortedKeys(have) {
		if have[name] {
			opens = append(opens, name)
		}
	}
	if len(opens) == 0 {
		return &DraftError{Shown, "the record has no secrets of this vehicle", "'asleft record keep VEHICLE --secret FIELD' keeps one"}
	}
	return &DraftError{Shown, fmt.Sprintf("the record has no secret %q of this vehicle", field), "it has: " + strings.Join(opens, ", ")}
}

// Personal opens the personal values of a vehicle, newest first; none after
// they were erased.
func (b *Book) Personal(ctx context.Context, vehicle ID) ([]Value, error) {
	return b.sealedValues(ctx, personalClass, vehicle)
}

// sealedValues opens a class of values, in the order of the entries that
// brought them, newest first.
func (b *Book) sealedValues(ctx context.Context, class sealClass, vehicle ID) ([]Value, error) {
	var out []Value
	err := b.store.Read(ctx, func(r Reader) error {
		h, err := readHistory(r, vehicle)
		if err != nil {
			return err
		}
		byCommitment := map[Digest]Value{}
		for _, id := range h.Subjects {
			values, err := b.openValues(r, class, id)
			if err != nil {
				return err
			}
			for _, v := range values {
				byCommitment[v.Commitment] = v
			}
		}
		for i := len(h.Items) - 1; i >= 0; i-- {
			named := h.Items[i].Personal
			if class == secretClass {
				named = h.Items[i].Secrets
			}
			for _, field := range sortedKeys(named) {
				if v, ok := byCommitment[named[field]]; ok {
					out = append(out, v)
				}
			}
		}
		return nil
	})
	return out, err
}
