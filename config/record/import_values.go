package record

import "errors"

// find makes a vehicle found by the keyed hash of its VIN or plate: laptops
// that share a joining key find each other's vehicles without the values.
func (in *importer) find(f *fields) error {
	kind, id, name := f.text("kind"), f.id("subject", true), f.bytes("name")
	if f.err != nil {
		return nil
	}
	if (kind != VIN.beside() && kind != Plate.beside() && kind != lastEight) || len(name) != len(Digest{}) {
		return in.fail("%q is not something that a vehicle is found by", kind)
	}
	if gone, err := in.isErased(id); err != nil || gone {
		return err
	}
	if kind == VIN.beside() {
		others, err := in.w.Beside(kind, name)
		if err != nil {
			return err
		}
		for _, raw := range others {
			if len(raw) == len(ID{}) {
				if err := join(in.w, id, ID(raw)); err != nil {
					return err
				}
			}
		}
	}
	return in.w.PutBeside(kind, name, id[:])
}

// key takes the key of a vehicle's personal values and seals it under ours.
func (in *importer) key(f *fields) error {
	id, raw := f.id("subject", true), f.bytes("key")
	if f.err != nil {
		return nil
	}
	var key subjectKey
	if len(raw) != len(key) {
		return in.fail("a vehicle's key has %d bytes", len(key))
	}
	copy(key[:], raw)
	if gone, err := in.isErased(id); err != nil || gone {
		return err
	}
	have, err := in.b.subjectKeyOf(in.w, personalClass, id)
	switch {
	case errors.Is(err, ErrNoRow):
		if err := in.b.putKey(in.w, personalClass, id, key); err != nil {
			return err
		}
	case err != nil:
		return err
	case have != key:
		return in.fail("the vehicle's key is not the one that is known here")
	}
	in.keys[id] = key
	return nil
}

// value takes a personal value that fits its commitment.
func (in *importer) value(f *fields) error {
	id, field, commitment, salt := f.id("subject", true), f.text("field"), f.digest("commitment"), f.bytes("salt")
	text := f.optionalText("text")
	if f.err != nil {
		return nil
	}
	key, ok := in.keys[id]
	if !ok {
		return nil // erased here: it stays so
	}
	v := Value{Field: field, Text: text, Commitment: commitment}
	if len(salt) != len(v.salt) {
		return in.fail("a salt has %d bytes", len(v.salt))
	}
	copy(v.salt[:], salt)
	if key.commit(v.salt, field, text) != commitment {
		return in.fail("the value is not the one that was committed to")
	}
	have, err := in.b.openValues(in.w, personalClass, id)
	if err != nil {
		return err
	}
	for _, h := range have {
		if h.Commitment == commitment {
			return nil
		}
	}
	if err := in.b.putSealed(in.w, personalClass, id, key, v); err != nil {
		return err
	}
	if a := Attribute(field); a.Personal() {
		if err := in.b.addFinding(in.w, a, text, id); err != nil {
			return err
		}
		if a == VIN {
			return in.b.joinByVIN(in.w, text, id)
		}
	}
	return nil
}

// isErased reports whether the vehicle's personal values were erased here.
func (in *importer) isErased(id ID) (bool, error) {
	h, err := readHistory(in.w, id)
	if err != nil {
		return false, err
	}
	return h.lastIndex(Erased) >= 0, nil
}
