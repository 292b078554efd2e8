package record

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A sheet's code is a checkpoint in a form that is read aloud and typed: two
// words for the book, the number of entries, five words and twelve digits for
// the first 79 bits of the root, three check digits. Whoever wants another
// log with the same code has to try about 2^79 logs.
//
//	maple-oboe 1204 coral-fern-garlic-hazel-ink 482-109-375-512 057
const (
	codeBits   = 79
	codeDigits = codeBits - 40
)

// SheetCode writes a checkpoint for paper.
func SheetCode(h Head) string {
	tag := bookTag(h.Book)
	root := binary.BigEndian.Uint64(h.Root[5:13]) >> (64 - codeDigits)
	body := []string{
		codeWords[tag[0]] + "-" + codeWords[tag[1]],
		strconv.FormatInt(h.Size, 10),
		codeWord(h.Root[0]) + "-" + codeWord(h.Root[1]) + "-" + codeWord(h.Root[2]) + "-" + codeWord(h.Root[3]) + "-" + codeWord(h.Root[4]),
		groups(fmt.Sprintf("%012d", root)),
	}
	text := strings.Join(body, " ")
	return text + " " + codeCheck(strings.FieldsFunc(text, codeGap))
}

func codeWord(b byte) string { return codeWords[b] }

func groups(digits string) string {
	return digits[:3] + "-" + digits[3:6] + "-" + digits[6:9] + "-" + digits[9:]
}

func codeGap(r rune) bool {
	return r == ' ' || r == '-' || r == '\t' || r == '\n' || r == '.' || r == ','
}

// bookTag is the two bytes by which a code says whose it is.
func bookTag(origin string) [2]byte {
	sum := sha256.Sum256([]byte("asleft sheet code\n" + origin))
	return [2]byte{sum[0], sum[1]}
}

// codeCheck is three digits that show a slip of the finger.
func codeCheck(parts []string) string {
	sum := sha256.Sum256([]byte(strings.Join(parts, " ")))
	return fmt.Sprintf("%03d", binary.BigEndian.Uint32(sum[:4])%1000)
}

// CodeError says what is wrong with a code that was typed. Status 2.
type CodeError struct{ Text string }

func (e *CodeError) Error() string { return "sheet code: " + e.Text }

// Hint says what to do.
func (e *CodeError) Hint() string {
	return "type it as printed: two words, a number, five words, twelve digits, three digits; dashes and capitals do not matter"
}

// sheetCode is a code taken apart.
type sheetCode struct {
	tag  [2]byte
	size int64
	root Digest // the first codeBits bits
}

func parseSheetCode(text string) (sheetCode, error) {
	var c sheetCode
	parts := strings.FieldsFunc(strings.ToLower(text), codeGap)
	if len(parts) != 2+1+5+4+1 {
		return c, &CodeError{fmt.Sprintf("it has 13 parts, here are %d", len(parts))}
	}
	for i, at := range []int{0, 1, 3, 4, 5, 6, 7} {
		n := slices.Index(codeWords, parts[at])
		if n < 0 {
			return c, &CodeError{fmt.Sprintf("%q is not one of its words", parts[at])}
		}
		if i < 2 {
			c.tag[i] = byte(n)
		} else {
			c.root[i-2] = byte(n)
		}
	}
	size, err := strconv.ParseInt(parts[2], 10, 64)
	if err != nil || size < 0 {
		return c, &CodeError{fmt.Sprintf("%q is not a number of entries", parts[2])}
	}
	rest, err := strconv.ParseUint(strings.Join(parts[8:12], ""), 10, 64)
	if err != nil || rest >= 1<<codeDigits {
		return c, &CodeError{"its twelve digits are not right"}
	}
	if codeCheck(parts[:12]) != parts[12] {
		return c, &CodeError{"a word or digit is not as printed: the check digits do not fit"}
	}
	c.size = size
	binary.BigEndian.PutUint64(c.root[5:13], rest<<(64-codeDigits))
	return c, nil
}

// LooksLikeCode reports whether a text is meant as a sheet's code, not as a file.
func LooksLikeCode(text string) bool {
	return len(strings.FieldsFunc(text, codeGap)) >= 6 && !strings.ContainsAny(text, "/\\")
}

// CodeWitness reads a sheet's code as a witness of one of this record's books.
func (b *Book) CodeWitness(ctx context.Context, text string) (Witness, error) {
	c, err := parseSheetCode(text)
	if err != nil {
		return Witness{}, err
	}
	var logs []Log
	err = b.store.Read(ctx, func(r Reader) (err error) {
		logs, err = r.Logs()
		return err
	})
	for _, l := range logs {
		if bookTag(l.Origin) == c.tag {
			return Witness{Name: "sheet code", Head: Head{l.Origin, c.size, c.root}, Bits: codeBits}, err
		}
	}
	if err == nil {
		err = &CodeError{"it is of another book: this record holds none whose code begins with " + codeWord(c.tag[0]) + "-" + codeWord(c.tag[1])}
	}
	return Witness{}, err
}

// NoteWitness reads a signed checkpoint, a head file's copy or the note in a
// sheet's QR code, as a witness of one of this record's books.
func (b *Book) NoteWitness(ctx context.Context, name string, signed []byte) (Witness, error) {
	origin, _, _ := strings.Cut(string(signed), "\n")
	if !isBookName(origin) {
		return Witness{}, &NoteError{name, "it is no signed checkpoint"}
	}
	var logs []Log
	err := b.store.Read(ctx, func(r Reader) (err error) {
		logs, err = r.Logs()
		return err
	})
	if err != nil {
		return Witness{}, err
	}
	for _, l := range logs {
		if l.Origin == origin {
			c, err := OpenCheckpoint(signed, l.Key)
			if err != nil {
				return Witness{}, &NoteError{name, err.Error()}
			}
			return Witness{Name: name, Head: c.Head, Bits: 8 * len(Digest{})}, nil
		}
	}
	return Witness{}, &NoteError{name, "it is of " + origin + ", which this record does not hold"}
}

// NoteError says why a file is no witness. Status 2.
type NoteError struct{ Name, Text string }

func (e *NoteError) Error() string { return e.Name + ": " + e.Text }

// Hint says what to do.
func (e *NoteError) Hint() string {
	return "a witness is a code as printed, or a file with a signed checkpoint of this record, such as a copy of its head file; an extract is checked by itself: 'asleft record verify FILE'"
}

// Checkpoint is the newest signed checkpoint of our own book, for sheets.
func (b *Book) Checkpoint(ctx context.Context) (Checkpoint, error) {
	var c Checkpoint
	err := b.store.Read(ctx, func(r Reader) (err error) {
		c, err = b.checkpoint(r)
		return err
	})
	return c, err
}
