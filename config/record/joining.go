package record

import (
	"context"
	"encoding/hex"
	"errors"
)

// The laptops of one shop find each other's vehicles by VIN and plate without
// telling the values when they share a joining key: the keyed hashes are then
// the same on all of them.

// JoiningKey is the book's joining key, to be carried to another laptop of
// the same shop. Whoever has it can test guesses of a VIN or plate against a
// record that has not erased them.
func (b *Book) JoiningKey() string { return hex.EncodeToString(b.keys.joining[:]) }

// AdoptJoiningKey takes another laptop's joining key over and files every
// vehicle whose values are here anew. Giving the same key again is harmless.
func (b *Book) AdoptJoiningKey(ctx context.Context, text string) error {
	raw, err := hex.DecodeString(text)
	if err != nil || len(raw) != len(b.keys.joining) {
		return errors.New("a joining key is 64 hexadecimal digits")
	}
	keys := b.keys
	copy(keys.joining[:], raw)
	return b.store.Write(ctx, func(w Writer) error {
		var subjects []ID
		if err := w.Subjects(ID{}, func(id ID) error { subjects = append(subjects, id); return nil }); err != nil {
			return err
		}
		old := b.keys
		b.keys = keys
		for _, id := range subjects {
			if err := b.refile(w, id); err != nil {
				b.keys = old
				return err
			}
		}
		return b.state.saveKeys(keys)
	})
}

// refile files a vehicle under the present joining key.
func (b *Book) refile(w Writer, id ID) error {
	values, err := b.openValues(w, personalClass, id)
	if err != nil || len(values) == 0 {
		return err
	}
	if err := b.dropFindingsOf(w, id); err != nil {
		return err
	}
	for _, v := range values {
		a := Attribute(v.Field)
		if !a.Personal() {
			continue
		}
		if err := b.addFinding(w, a, v.Text, id); err != nil {
			return err
		}
		if a == VIN {
			if err := b.joinByVIN(w, v.Text, id); err != nil {
				return err
			}
		}
	}
	return nil
}
