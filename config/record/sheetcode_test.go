package record

import (
	"context"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestSheetCodeRoundTrip(t *testing.T) {
	if len(codeWords) != 256 {
		t.Fatalf("%d words", len(codeWords))
	}
	rapid.Check(t, func(t *rapid.T) {
		h := Head{Book: "asleft-book-" + rapid.StringMatching(`[0-9a-f]{16}`).Draw(t, "book"), Size: rapid.Int64Range(0, 1<<40).Draw(t, "size")}
		copy(h.Root[:], rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "root"))
		code := SheetCode(h)
		c, err := parseSheetCode("  " + strings.ToUpper(strings.ReplaceAll(code, "-", " ")) + "\n")
		if err != nil {
			t.Fatalf("%s: %v", code, err)
		}
		if c.size != h.Size || c.tag != bookTag(h.Book) || !sameBits(h.Root, c.root, codeBits) {
			t.Fatalf("%s: %+v", code, c)
		}
		wrong := h.Root
		bit := rapid.IntRange(0, codeBits-1).Draw(t, "bit")
		wrong[bit/8] ^= 0x80 >> (bit % 8)
		if sameBits(wrong, c.root, codeBits) {
			t.Fatalf("bit %d does not count", bit)
		}
	})
}

// A sheet printed earlier proves that today's log continues it.
func TestSheetCodeAgainstLaterLog(t *testing.T) {
	w := newBench(t)
	v := w.minibus()
	ctx := context.Background()
	c, err := w.b.Checkpoint(ctx)
	if err != nil {
		t.Fatal(err)
	}
	w.record(Draft{Kind: Note, Vehicle: v, Data: map[string]string{"text": "later"}})
	witness, err := w.b.CodeWitness(ctx, SheetCode(c.Head))
	if err != nil {
		t.Fatal(err)
	}
	if r := w.verify(witness); r.Outcome != Witnessed || len(r.Books[0].Witnesses) != 2 {
		t.Errorf("%+v", r)
	}
	fromNote, err := w.b.NoteWitness(ctx, "note", c.Note)
	if err != nil {
		t.Fatal(err)
	}
	if r := w.verify(fromNote); r.Outcome != Witnessed {
		t.Errorf("%+v", r)
	}
	witness.Root[8] ^= 1
	if r := w.verify(witness); r.Outcome != Flawed || r.Flaws[0].Class != Forked {
		t.Errorf("a wrong code must not pass: %+v", r)
	}
	code := SheetCode(c.Head)
	slip := strings.Replace(code, codeWord(c.Root[0]), codeWord(c.Root[0]+1), 1)
	if _, err := w.b.CodeWitness(ctx, slip); err == nil {
		t.Errorf("a slip of the finger passed: %s", slip)
	}
}
