package record

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/mod/sumdb/tlog"
)

// ForkSchema names the format of a fork's proof.
const ForkSchema = "asleft/fork/1"

// ForkProof shows that the holder of a book's key signed two histories: two
// checkpoints with that key's signature, and under each another entry at the
// same place. It needs no record to be checked.
type ForkProof struct {
	Book string
	Key  string
	N    int64
	A, B Head
}

// proveFork writes the proof.
func proveFork(l Log, n int64, a Checkpoint, ha tlog.HashReader, b Checkpoint, hb tlog.HashReader) ([]byte, error) {
	var text strings.Builder
	out := newLineWriter(&text)
	if err := out.put("header", object{"schema": ForkSchema, "book": l.Origin, "key": l.Key, "n": n}); err != nil {
		return nil, err
	}
	for _, side := range []struct {
		c Checkpoint
		h tlog.HashReader
	}{{a, ha}, {b, hb}} {
		leaf, err := side.h.ReadHashes([]int64{tlog.StoredHashIndex(0, n)})
		if err != nil {
			return nil, err
		}
		proof, err := tlog.ProveRecord(side.c.Size, n, side.h)
		if err != nil {
			return nil, err
		}
		line := object{"checkpoint": string(side.c.Note), "leaf": Digest(leaf[0]).String(), "proof": hexList(proof)}
		if err := out.put("side", line); err != nil {
			return nil, err
		}
	}
	err := out.end()
	return []byte(text.String()), err
}

// CheckForkProof checks a fork's proof without any record.
func CheckForkProof(r io.Reader, name string) (ForkProof, error) {
	lines := newLineReader(r, name)
	header, err := lines.header(ForkSchema)
	if err != nil {
		return ForkProof{}, err
	}
	p := ForkProof{Book: header.text("book"), Key: header.text("key"), N: header.whole("n")}
	if err := header.close(); err != nil {
		return p, lines.fail("%v", err)
	}
	var leaves []Digest
	for {
		kind, f, err := lines.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return p, err
		}
		if kind != "side" || len(leaves) == 2 {
			return p, lines.fail("a fork has two sides and nothing else")
		}
		head, leaf, err := p.side(f)
		if err != nil {
			return p, lines.fail("%v", err)
		}
		if p.A, p.B = p.B, head; len(leaves) == 0 {
			p.A = head
		}
		leaves = append(leaves, leaf)
	}
	if len(leaves) != 2 || leaves[0] == leaves[1] {
		return p, errors.New("it is no fork: both sides have the same entry there")
	}
	return p, nil
}

func (p *ForkProof) side(f *fields) (Head, Digest, error) {
	signed, leaf, proof := f.text("checkpoint"), f.digest("leaf"), f.proof("proof")
	if err := f.close(); err != nil {
		return Head{}, leaf, err
	}
	c, err := OpenCheckpoint([]byte(signed), p.Key)
	if err != nil {
		return c.Head, leaf, err
	}
	if c.Book != p.Book || p.N < 0 || p.N >= c.Size {
		return c.Head, leaf, fmt.Errorf("the checkpoint does not speak of entry %d of %s", p.N, p.Book)
	}
	if err := tlog.CheckRecord(proof, c.Size, tlog.Hash(c.Root), p.N, tlog.Hash(leaf)); err != nil {
		return c.Head, leaf, fmt.Errorf("the entry does not stand under the checkpoint: %w", err)
	}
	return c.Head, leaf, nil
}

// KeepProof writes a fork's proof into a new file.
func KeepProof(path string, proof []byte) error {
	return saveNew(path, func(w io.Writer) error {
		_, err := w.Write(proof)
		return err
	})
}

// ReadForkProof checks the proof of a fork in a file. is tells whether the
// file is such a proof at all; when it is not, nothing else is told.
func ReadForkProof(path string) (p ForkProof, is bool, err error) {
	f, err := openPlain(path)
	if err != nil {
		return p, false, nil
	}
	defer f.Close()
	first := make([]byte, 512)
	n, _ := io.ReadFull(f, first)
	line, _, _ := strings.Cut(string(first[:n]), "\n")
	if !strings.Contains(line, `"schema":"`+ForkSchema+`"`) {
		return p, false, nil
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return p, true, &FileError{Path: path, Class: Unreadable, Text: plain(err), Err: err}
	}
	p, err = CheckForkProof(f, path)
	return p, true, err
}
