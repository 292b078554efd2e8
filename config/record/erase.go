package record

import (
	"context"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Erase asks for a vehicle's personal values to be removed.
type Erase struct {
	Vehicle  ID
	By       string
	Reason   string
	Identity ID
}

// Erasure says what was removed, and what had left the record before.
type Erasure struct {
	Receipt
	Fields []string // the fields that were removed; none when nothing personal was left
	Copies []Copy   // backups, exports and extracts made before: they are out of the record's reach
}

// Copy is a file that the tool made of the record's content.
type Copy struct {
	What string // "backup", "export", "extract", "settings"
	File string
	At   time.Time // when; zero when only the file is known
	By   string
	Why  string
}

// Erase removes the personal values, their salts and the vehicle's key, in
// one write with the entry that says so. The commitments stay in their
// entries: every proof holds as before, and nothing opens them any more.
func (b *Book) Erase(ctx context.Context, q Erase) (*Erasure, error) {
	d := Draft{Kind: Erased, Vehicle: q.Vehicle, Identity: q.Identity, By: q.By, Reason: q.Reason}
	if err := b.identify(&d); err != nil {
		return nil, err
	}
	if err := d.check(); err != nil {
		return nil, err
	}
	out := &Erasure{}
	err := b.write(ctx, func(w Writer) (Receipt, error) {
		p, err := b.newPen(w)
		if err != nil {
			return Receipt{}, err
		}
		h, err := readHistory(w, q.Vehicle)
		if err != nil {
			return Receipt{}, err
		}
		if out.Fields, err = b.dropPersonal(w, h); err != nil {
			return Receipt{}, err
		}
		if len(out.Fields) > 0 {
			d.Data = map[string]string{"fields": strings.Join(out.Fields, "+")}
		}
		if err := p.write(&d); err != nil {
			return Receipt{}, err
		}
		receipts, err := p.finish()
		if err != nil {
			return Receipt{}, err
		}
		out.Receipt = receipts[0]
		return out.Receipt, nil
	})
	late := (*AfterError)(nil)
	if err != nil && !errors.As(err, &late) {
		return nil, err
	}
	copies, copiesErr := b.Copies(ctx, q.Vehicle)
	if out.Copies = copies; err == nil {
		err = copiesErr
	}
	return out, err
}

// dropPersonal removes everything of a vehicle that is personal.
func (b *Book) dropPersonal(w Writer, h *History) ([]string, error) {
	fields, err := sealedFields(w, h)
	if err != nil {
		return nil, err
	}
	for _, id := range h.Subjects {
		if err := b.dropFindings(w, id); err != nil {
			return nil, err
		}
		for _, kind := range []string{personalClass.keys(), personalClass.values()} {
			if err := errors.Join(w.ShredBeside(kind, id[:], nil), w.ShredBeside(lostPrefix+kind, id[:], nil)); err != nil {
				return nil, err
			}
		}
	}
	return fields, nil
}

// sealedFields names the personal values of a vehicle that are still there.
func sealedFields(r Reader, h *History) ([]string, error) {
	there := map[Digest]bool{}
	for _, id := range h.Subjects {
		for _, kind := range []string{personalClass.values(), lostPrefix + personalClass.values()} {
			values, err := r.Beside(kind, id[:])
			if err != nil {
				return nil, err
			}
			for _, v := range values {
				if len(v) >= len(Digest{}) {
					there[Digest(v[:len(Digest{})])] = true
				}
			}
		}
	}
	fields := map[string]bool{}
	for _, item := range h.Items {
		for field, commitment := range item.Personal {
			if there[commitment] {
				fields[field] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(fields)), nil
}

// dropFindings removes what a vehicle is found by under personal attributes:
// by its values while they open, by looking through all when they do not.
func (b *Book) dropFindings(w Writer, id ID) error {
	values, err := b.openValues(w, personalClass, id)
	if err != nil {
		return b.dropFindingsOf(w, id)
	}
	for _, v := range values {
		a := Attribute(v.Field)
		if !a.Personal() {
			continue
		}
		err := b.eachFinding(a, v.Text, func(kind string, name []byte) error {
			return w.ShredBeside(kind, name, id[:])
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func (b *Book) dropFindingsOf(w Writer, id ID) error {
	for _, kind := range []string{VIN.beside(), Plate.beside(), lastEight} {
		var names [][]byte
		err := w.BesideAll(kind, func(name, value []byte) error {
			if string(value) == string(id[:]) {
				names = append(names, slices.Clone(name))
			}
			return nil
		})
		for _, name := range names {
			err = errors.Join(err, w.ShredBeside(kind, name, id[:]))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// NoteCopy records that a file was made of the record's content; without a
// vehicle it is a copy of everything.
func (b *Book) NoteCopy(ctx context.Context, c Copy, vehicle ID) error {
	_, err := b.Record(ctx, Draft{Kind: Note, Vehicle: vehicle, By: c.By, Reason: c.Why, Data: map[string]string{"copy": c.What, "file": c.File}})
	return err
}

// noteNew is NoteCopy for a file that was just made; when it cannot be noted
// the file is taken away again, so that no copy exists that nobody knows of.
func (b *Book) noteNew(ctx context.Context, c Copy, vehicle ID) error {
	err := b.NoteCopy(ctx, c, vehicle)
	var late *AfterError
	if err != nil && !errors.As(err, &late) {
		err = errors.Join(err, os.Remove(c.File))
	}
	return err
}

// Copies lists the copies that may hold a vehicle's values: those of the
// vehicle, those of the whole record, and what restore and migration put aside.
func (b *Book) Copies(ctx context.Context, vehicle ID) ([]Copy, error) {
	var out []Copy
	err := b.store.Read(ctx, func(r Reader) error {
		h, err := readHistory(r, vehicle)
		if err != nil {
			return err
		}
		whole, err := readHistory(r, ID{})
		if err != nil {
			return err
		}
		for _, item := range append(h.Items, whole.Items...) {
			if item.Data["copy"] != "" {
				out = append(out, Copy{item.Data["copy"], item.Data["file"], item.At, item.By, item.Reason})
			}
		}
		return nil
	})
	aside, _ := filepath.Glob(b.o.Path + ".before-*")
	for _, file := range aside {
		out = append(out, Copy{What: "put aside", File: file})
	}
	return out, err
}
