package record

import (
	"fmt"
	"strings"
)

// A sealed value may only go together with an entry that says so. Whoever
// deletes it beside the log leaves a commitment in our own log that nothing
// answers to. Books of other laptops often come without their values: of them
// nothing can be said.

// lacks reports whether an entry of ours names a value that is not there.
func lacks(r Reader, e *Entry) (bool, error) {
	gone, err := goneFields(r, e)
	return len(gone) > 0, err
}

// goneFields are the values that an entry commits to and that are not there.
func goneFields(r Reader, e *Entry) (map[sealClass][]string, error) {
	var gone map[sealClass][]string
	for class, named := range map[sealClass]map[string]Digest{personalClass: e.Personal, secretClass: e.Secrets} {
		if len(named) == 0 {
			continue
		}
		sealed, err := r.Beside(class.values(), e.Subject[:])
		if err != nil {
			return nil, err
		}
		have := map[Digest]bool{}
		for _, raw := range sealed {
			if len(raw) >= len(Digest{}) {
				have[Digest(raw[:len(Digest{})])] = true
			}
		}
		for _, field := range sortedKeys(named) {
			if !have[named[field]] {
				if gone == nil {
					gone = map[sealClass][]string{}
				}
				gone[class] = append(gone[class], field)
			}
		}
	}
	return gone, nil
}

// verifyThere looks, in a vehicle's entries of our own log, for values that
// are gone although no later entry erased them.
func (b *Book) verifyThere(r Reader, h *History, report *Report) error {
	erased := h.lastIndex(Erased)
	for i := range h.Items {
		item := &h.Items[i]
		if item.Log != b.own.ID || len(item.Personal)+len(item.Secrets) == 0 {
			continue
		}
		gone, err := goneFields(r, &item.Entry)
		if err != nil {
			return err
		}
		if i < erased {
			delete(gone, personalClass)
		}
		if len(gone) == 0 {
			continue
		}
		back, err := b.tookBack(r, item.N)
		if err != nil {
			return err
		}
		if back {
			continue
		}
		for _, class := range []sealClass{personalClass, secretClass} {
			for _, field := range gone[class] {
				report.Flaws = append(report.Flaws, Flaw{Class: ValueMissing, Book: item.Book, N: item.N, Subject: item.Subject,
					Text: fmt.Sprintf("its %s value %q is not there any more, and no entry says that it was erased", class, field)})
			}
		}
	}
	return nil
}

// tookBack reports whether an entry of our own was taken back from another
// laptop's export, which brings entries without their sealed values.
func (b *Book) tookBack(r Reader, n int64) (bool, error) {
	whole, err := readHistory(r, ID{})
	if err != nil {
		return false, err
	}
	for _, item := range whole.Items {
		for name, text := range item.Data {
			if item.Log != b.own.ID || !strings.HasPrefix(name, "imported.") {
				continue
			}
			rest, ours := strings.CutPrefix(text, b.own.Origin+": ")
			var size, added int64
			if _, err := fmt.Sscanf(rest, "%d entries, %d new", &size, &added); ours && err == nil && size-added <= n && n < size {
				return true, nil
			}
		}
	}
	return false, nil
}
