package record

import (
	"context"
	"fmt"
	"strings"
)

// Reveal asks for a secret to be shown.
type Reveal struct {
	Vehicle  ID
	Field    string // "override-code", "resistor", "hidden-place"
	By       string // who shows it
	To       string // who is shown it; kept as a personal value
	Reason   string
	Identity ID
}

// Reveal opens a secret. The showing is recorded first, and only then is the
// value read: nobody sees a secret without an entry that says so.
func (b *Book) Reveal(ctx context.Context, q Reveal) ([]Value, error) {
	d := Draft{Kind: Shown, Vehicle: q.Vehicle, Identity: q.Identity, By: q.By, Reason: q.Reason, Data: map[string]string{"what": q.Field}}
	if strings.TrimSpace(q.To) != "" {
		d.Personal = map[string]string{"shown-to": q.To}
	}
	have, err := b.SecretFields(ctx, q.Vehicle)
	if err != nil {
		return nil, err
	}
	if have[q.Field] == 0 {
		return nil, &DraftError{Shown, fmt.Sprintf("the record has no secret %q of this vehicle", q.Field), "it has: " + strings.Join(sortedKeys(have), ", ")}
	}
	if _, err := b.Record(ctx, d); err != nil {
		return nil, err
	}
	values, err := b.sealedValues(ctx, secretClass, q.Vehicle)
	var out []Value
	for _, v := range values {
		if v.Field == q.Field {
			out = append(out, v)
		}
	}
	return out, err
}

// SecretFields counts the secrets of a vehicle by field without opening any.
func (b *Book) SecretFields(ctx context.Context, vehicle ID) (map[string]int, error) {
	h, err := b.History(ctx, vehicle)
	if err != nil {
		return nil, err
	}
	fields := map[string]int{}
	for _, item := range h.Items {
		for field := range item.Secrets {
			fields[field]++
		}
	}
	return fields, nil
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
