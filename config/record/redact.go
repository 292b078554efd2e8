package record

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"asleft/config/setting"
)

// Personal values and secrets must not slip into an entry by another door: a
// job file holds the VIN, a reason may name the customer. Before anything is
// written, each value known for the vehicle is replaced by its field's name
// in brackets, wherever it stands as a whole word, in any case.

// redactor replaces the values of one vehicle.
type redactor struct{ personal, secrets []Value }

// redactorOf opens what is sealed for a vehicle under all its numbers.
func (b *Book) redactorOf(r Reader, vehicle ID) (out redactor, err error) {
	if vehicle.IsZero() {
		return out, nil
	}
	group, err := vehicleGroup(r, vehicle)
	if err != nil {
		return out, err
	}
	for _, id := range group {
		personal, err := b.openValues(r, personalClass, id)
		if err != nil {
			return out, err
		}
		secrets, err := b.openValues(r, secretClass, id)
		if err != nil {
			return out, err
		}
		out.personal, out.secrets = append(out.personal, personal...), append(out.secrets, secrets...)
	}
	out.sort()
	return out, nil
}

// sort puts long values first: a value may be a part of another.
func (r redactor) sort() {
	for _, values := range [][]Value{r.personal, r.secrets} {
		slices.SortStableFunc(values, func(a, b Value) int { return len(b.Text) - len(a.Text) })
	}
}

// add takes in what a draft brings to be sealed.
func (r *redactor) add(d *Draft) {
	personal := d.personal()
	for _, field := range sortedKeys(personal) {
		r.personal = append(r.personal, Value{Field: field, Text: personal[field]})
	}
	for _, field := range sortedKeys(d.Secrets) {
		r.secrets = append(r.secrets, Value{Field: field, Text: d.Secrets[field]})
	}
	r.sort()
}

// personal are all personal values of a draft: those it names, and attributes that are personal.
func (d *Draft) personal() map[string]string {
	out := map[string]string{}
	for field, text := range d.Personal {
		out[field] = text
	}
	for a, text := range d.Attributes {
		if a.Personal() {
			out[string(a)] = text
		}
	}
	return out
}

// redact returns text without the values.
func (r redactor) redact(text string) string {
	return replaceValues(r.withoutSecrets(text), r.personal)
}

// withoutSecrets returns text without the secrets.
func (r redactor) withoutSecrets(text string) string { return replaceValues(text, r.secrets) }

// replaceValues puts the name of its field in the place of each value.
func replaceValues(text string, values []Value) string {
	if len(values) == 0 {
		return text
	}
	folded := strings.Map(fold, text) // a rule base is long and holds none: it is looked through once
	for _, v := range values {
		for _, form := range v.forms() {
			if strings.Contains(folded, strings.Map(fold, form)) {
				text = replaceWord(text, form, "["+v.Field+"]")
			}
		}
	}
	return text
}

// fold makes one of a letter's cases.
func fold(r rune) rune { return unicode.ToLower(unicode.ToUpper(r)) }

// forms are the ways in which a value may stand in a text, in a file with
// quotes also with its quotes and backslashes written out.
func (v Value) forms() []string {
	forms := []string{v.Text}
	if quoted := setting.AppendString(nil, v.Text); len(quoted) > len(v.Text)+2 {
		forms = append(forms, string(quoted[1:len(quoted)-1]))
	}
	if a := Attribute(v.Field); a.Personal() {
		if norm := a.Normalize(v.Text); norm != v.Text {
			forms = append(forms, norm)
		}
	}
	return forms
}

// checkNames refuses a secret where nothing can stand in its place: in the name
// of whoever writes, of a reading, or of a document. The secret is not told.
func (r redactor) checkNames(d *Draft) error {
	names := append([]string{d.By}, sortedKeys(d.Data)...)
	for _, doc := range d.Documents {
		names = append(names, doc.Role)
	}
	for _, name := range names {
		if r.withoutSecrets(name) != name {
			return &DraftError{d.Kind, "a secret of this vehicle stands in a name: whose, or of a reading", "name it otherwise; in texts a secret is replaced by itself"}
		}
	}
	return nil
}

// conceal seals personal values and secrets, and returns what replaces them
// in every other text.
func (p *pen) conceal(d *Draft, e *Entry) (redactor, error) {
	var err error
	if e.Secrets, err = p.b.sealValues(p.w, secretClass, d.Vehicle, d.Secrets); err != nil {
		return redactor{}, err
	}
	personal := d.personal()
	if len(d.Personal) > 0 { // they may leave the record, secrets never do
		clean, err := p.b.redactorOf(p.w, d.Vehicle)
		if err != nil {
			return redactor{}, err
		}
		for field, text := range d.Personal {
			personal[field] = clean.withoutSecrets(text)
		}
	}
	if e.Personal, err = p.b.sealValues(p.w, personalClass, d.Vehicle, personal); err != nil {
		return redactor{}, err
	}
	for a, text := range d.Attributes {
		if err := p.b.addFinding(p.w, a, text, d.Vehicle); err != nil {
			return redactor{}, err
		}
	}
	if vin, ok := d.Attributes[VIN]; ok {
		if err := p.b.joinByVIN(p.w, vin, d.Vehicle); err != nil {
			return redactor{}, err
		}
	}
	return p.b.redactorOf(p.w, d.Vehicle)
}

// replaceWord replaces whole words that equal word but for letter case.
func replaceWord(text, word, by string) string {
	if strings.TrimSpace(word) == "" {
		return text
	}
	var b strings.Builder
	before := ' '
	for i := 0; i < len(text); {
		if !wordRune(before) || !wordRune(firstRune(word)) {
			if n := foldPrefix(text[i:], word); n > 0 && (!wordRune(firstRune(text[i+n:])) || !wordRune(lastRune(word))) {
				b.WriteString(by)
				i += n
				before = ' '
				continue
			}
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		b.WriteString(text[i : i+size])
		before = r
		i += size
	}
	return b.String()
}

func wordRune(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

func firstRune(s string) rune {
	if s == "" {
		return ' '
	}
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

func lastRune(s string) rune {
	r, _ := utf8.DecodeLastRuneInString(s)
	return r
}

// foldPrefix returns how many bytes of text equal word but for case, or 0.
func foldPrefix(text, word string) int {
	i := 0
	for _, w := range word {
		r, size := utf8.DecodeRuneInString(text[i:])
		if size == 0 || fold(r) != fold(w) {
			return 0
		}
		i += size
	}
	return i
}
