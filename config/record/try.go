package record

import (
	"context"
	"maps"
	"slices"
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

// InClear are the entries of a vehicle in whose words or documents a value
// stands that the draft is about to seal. They were written before it was one,
// and nothing is overwritten: no erasure reaches them.
func (b *Book) InClear(ctx context.Context, d Draft) ([]Item, error) {
	var values redactor
	values.add(&d)
	var found []Item
	err := b.store.Read(ctx, func(r Reader) error {
		h, err := readHistory(r, d.Vehicle)
		if err != nil {
			return err
		}
		stands := func(text string) bool { return values.redact(text) != text }
		seen := map[Digest]bool{}
		for _, item := range h.Items {
			clear := stands(item.Reason) || slices.ContainsFunc(slices.Collect(maps.Values(item.Data)), stands)
			for _, digest := range item.Blobs {
				if clear || seen[digest] {
					continue
				}
				seen[digest] = true
				doc, err := h.docs(digest)
				if err != nil {
					return err
				}
				clear = stands(string(doc))
			}
			if clear {
				found = append(found, item)
			}
		}
		return nil
	})
	return found, err
}
