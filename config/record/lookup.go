package record

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"fmt"
	"io"
	"slices"
	"strings"
)

// A vehicle is found by what people have in their hands. Plain attributes
// are found as they are; a VIN or plate under a keyed hash, so that the
// record does not show it. Attributes are dated by the entries that bring
// them; an old plate still finds the vehicle.

// Attribute names what a vehicle can be found by.
type Attribute string

// The attributes. VIN and Plate are personal values: they can be erased.
const (
	VIN         Attribute = "vin"
	Plate       Attribute = "plate"
	Fleet       Attribute = "fleet"
	Label       Attribute = "label"
	RepairOrder Attribute = "repair-order"
	Stock       Attribute = "stock"
)

// Attributes lists them in the order in which a text is tried.
func Attributes() []Attribute {
	return []Attribute{VIN, Plate, Fleet, Label, RepairOrder, Stock}
}

// Personal reports whether the attribute is a personal value.
func (a Attribute) Personal() bool { return a == VIN || a == Plate }

// data is the key of a plain attribute in an entry.
func (a Attribute) data() string { return "vehicle." + string(a) }

// beside is the kind of loose value by which the attribute is found.
func (a Attribute) beside() string { return "find." + string(a) }

// lastEight finds a full VIN by its end: for looking only, since the end is
// not unique.
const lastEight = "find.vin-end"

// sameAs joins subjects that are one vehicle.
const sameAs = "same-as"

// Normalize writes an attribute in the one form in which it is compared: VIN
// and plate in capitals without blanks and dashes, the others in small
// letters with single blanks.
func (a Attribute) Normalize(text string) string {
	if a.Personal() {
		return strings.Map(func(r rune) rune {
			if strings.ContainsRune(" -._\t", r) {
				return -1
			}
			return r
		}, strings.ToUpper(text))
	}
	return strings.ToLower(strings.Join(strings.Fields(text), " "))
}

// FullVIN reports whether a normalised text has the 17 characters of a VIN
// (49 CFR 565.15: letters but I, O and Q, and digits).
func FullVIN(text string) bool {
	if len(text) != 17 {
		return false
	}
	for _, r := range text {
		digit := r >= '0' && r <= '9'
		letter := r >= 'A' && r <= 'Z' && r != 'I' && r != 'O' && r != 'Q'
		if !digit && !letter {
			return false
		}
	}
	return true
}

// Match is one vehicle that a text fits.
type Match struct {
	Vehicle ID
	By      []string // what fitted: "vin", "plate", "vin-end", "subject", ...
}

// Purpose says what a vehicle is looked up for.
type Purpose int

// Looking also takes the last eight of a VIN; Writing takes only what is whole.
const (
	Looking Purpose = iota
	Writing
)

// NoVehicleError says that no vehicle fits. Status 6.
type NoVehicleError struct{ Text string }

func (e *NoVehicleError) Error() string {
	return fmt.Sprintf("no vehicle in the record fits %q", e.Text)
}

// Hint says what to do.
func (e *NoVehicleError) Hint() string {
	return "'asleft record list' shows the vehicles; whole VIN, plate, fleet number, label, repair order or subject number is expected"
}

// SeveralVehiclesError lists the vehicles that fit. Status 6.
type SeveralVehiclesError struct {
	Text    string
	Matches []Match
}

func (e *SeveralVehiclesError) Error() string {
	return fmt.Sprintf("%d vehicles in the record fit %q", len(e.Matches), e.Text)
}

// Hint says what to do.
func (e *SeveralVehiclesError) Hint() string {
	return "name one of them by its subject number or its whole VIN"
}

// Vehicle resolves a text to the one vehicle that fits it exactly.
func (b *Book) Vehicle(ctx context.Context, text string, purpose Purpose) (ID, error) {
	matches, err := b.Matches(ctx, text, purpose)
	switch {
	case err != nil:
		return ID{}, err
	case len(matches) == 0:
		return ID{}, &NoVehicleError{Text: text}
	case len(matches) > 1:
		return ID{}, &SeveralVehiclesError{Text: text, Matches: matches}
	}
	return matches[0].Vehicle, nil
}

// Matches lists every vehicle that a text fits; subjects that are one vehicle
// count once.
func (b *Book) Matches(ctx context.Context, text string, purpose Purpose) ([]Match, error) {
	var out []Match
	err := b.store.Read(ctx, func(r Reader) error {
		found, err := b.fits(r, text, purpose)
		if err != nil {
			return err
		}
		seen := map[ID]int{}
		for _, m := range found {
			group, err := vehicleGroup(r, m.Vehicle)
			if err != nil {
				return err
			}
			if i, ok := seen[group[0]]; ok {
				out[i].By = append(out[i].By, m.By...)
				continue
			}
			seen[group[0]] = len(out)
			out = append(out, Match{Vehicle: group[0], By: m.By})
		}
		return nil
	})
	return out, err
}

// isThere reports whether a book has an entry of the subject.
func isThere(r Reader, subject ID) (bool, error) {
	logs, err := r.Logs()
	for _, l := range logs {
		places, failed := r.Places(l.ID, subject)
		if failed != nil || len(places) > 0 {
			return len(places) > 0, failed
		}
	}
	return false, err
}

// fits looks a text up under every attribute.
func (b *Book) fits(r Reader, text string, purpose Purpose) ([]Match, error) {
	var out []Match
	if id, err := ParseID(strings.ToLower(strings.TrimSpace(text))); err == nil {
		if there, err := isThere(r, id); err != nil {
			return nil, err
		} else if there {
			out = append(out, Match{id, []string{"subject"}})
		}
	}
	for _, a := range Attributes() {
		norm := a.Normalize(text)
		if norm == "" {
			continue
		}
		if err := b.fit(r, a.beside(), string(a), norm, &out); err != nil {
			return nil, err
		}
		if a == VIN && purpose == Looking && len(norm) == 8 {
			if err := b.fit(r, lastEight, "vin-end", norm, &out); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

func (b *Book) fit(r Reader, kind, by, norm string, out *[]Match) error {
	values, err := r.Beside(kind, b.findName(kind, norm))
	for _, v := range values {
		if len(v) == len(ID{}) {
			*out = append(*out, Match{ID(v), []string{by}})
		}
	}
	return err
}

// findName is the name under which a normalised value is found: itself, or
// its keyed hash when it is personal.
func (b *Book) findName(kind, norm string) []byte {
	if kind != VIN.beside() && kind != Plate.beside() && kind != lastEight {
		return []byte(norm)
	}
	m := hmac.New(sha256.New, b.keys.joining[:])
	io.WriteString(m, kind+"\x00"+norm)
	return m.Sum(nil)
}

// addFinding makes the vehicle found by an attribute.
func (b *Book) addFinding(w Writer, a Attribute, text string, vehicle ID) error {
	return b.eachFinding(a, text, func(kind string, name []byte) error {
		return w.PutBeside(kind, name, vehicle[:])
	})
}

// eachFinding calls f for each loose value by which an attribute is found.
func (b *Book) eachFinding(a Attribute, text string, f func(kind string, name []byte) error) error {
	norm := a.Normalize(text)
	if norm == "" {
		return nil
	}
	if err := f(a.beside(), b.findName(a.beside(), norm)); err != nil {
		return err
	}
	if a == VIN && FullVIN(norm) {
		return f(lastEight, b.findName(lastEight, norm[9:]))
	}
	return nil
}

// vehicleGroup returns all subjects that are one vehicle, sorted.
func vehicleGroup(r Reader, subject ID) ([]ID, error) {
	group := []ID{subject}
	for i := 0; i < len(group); i++ {
		joined, err := r.Beside(sameAs, group[i][:])
		if err != nil {
			return nil, err
		}
		for _, raw := range joined {
			if len(raw) == len(ID{}) && !slices.Contains(group, ID(raw)) {
				group = append(group, ID(raw))
			}
		}
	}
	slices.SortFunc(group, func(a, b ID) int { return bytes.Compare(a[:], b[:]) })
	return group, nil
}

// join notes both ways that two subjects are one vehicle.
func join(w Writer, a, b ID) error {
	if a == b {
		return nil
	}
	if err := w.PutBeside(sameAs, a[:], b[:]); err != nil {
		return err
	}
	return w.PutBeside(sameAs, b[:], a[:])
}

// joinByVIN joins a subject with the others that have the same whole VIN.
func (b *Book) joinByVIN(w Writer, text string, vehicle ID) error {
	norm := VIN.Normalize(text)
	if !FullVIN(norm) {
		return nil
	}
	others, err := w.Beside(VIN.beside(), b.findName(VIN.beside(), norm))
	if err != nil {
		return err
	}
	for _, raw := range others {
		if len(raw) == len(ID{}) {
			if err := join(w, vehicle, ID(raw)); err != nil {
				return err
			}
		}
	}
	return nil
}
