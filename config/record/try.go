package record

import (
	"context"
	"maps"
)

// Try checks a draft as Record would, and returns it with its texts as they
// would stand in the entry: what is sealed of the vehicle, and what the draft
// itself brings to be sealed, replaced. Nothing is written.
func (b *Book) Try(ctx context.Context, d Draft) (Draft, error) {
	if err := d.check(); err != nil {
		return d, err
	}
	err := b.store.Read(ctx, func(r Reader) error {
		if err := checkRules(&d, &past{w: r, vehicle: d.Vehicle}); err != nil {
			return err
		}
		clean, err := b.redactorOf(r, d.Vehicle)
		if err != nil {
			return err
		}
		clean.add(&d)
		if err := clean.checkNames(&d); err != nil {
			return err
		}
		d.Reason = clean.redact(d.Reason)
		d.Data = maps.Clone(d.Data)
		for name, text := range d.Data {
			d.Data[name] = clean.redact(text)
		}
		return nil
	})
	return d, err
}
