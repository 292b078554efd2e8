package record

import (
	"context"
	"io"
	"slices"

	"golang.org/x/mod/sumdb/tlog"
)

// ExtractSchema names the format of an extract.
const ExtractSchema = "asleft/extract/1"

// Extract writes one vehicle's history as a file that verifies by itself:
// its entries, the proof that each stands in its book, the books' signed
// checkpoints, the documents, and proofs that the checkpoint continues the
// log as it was after each of the vehicle's entries, so that a sheet printed
// on such a day is a witness for the extract too. Personal values and secrets
// stay behind: the file holds their commitments alone.
func (b *Book) Extract(ctx context.Context, vehicle ID, w io.Writer) error {
	return b.store.Read(ctx, func(r Reader) error {
		h, err := readHistory(r, vehicle)
		if err != nil {
			return err
		}
		out := newLineWriter(w)
		header := object{"schema": ExtractSchema, "vehicle": vehicle.String(), "tool": b.o.Tool,
			"made": b.o.Now().UTC().Format(timeLayout)}
		if err := out.put("header", header); err != nil {
			return err
		}
		logs, err := r.Logs()
		if err != nil {
			return err
		}
		for _, l := range logs {
			if err := extractBook(r, l, h, out); err != nil {
				return err
			}
		}
		if err := extractDocuments(r, h, out); err != nil {
			return err
		}
		return out.end()
	})
}

// extractBook writes a book's checkpoint and the vehicle's entries in it.
func extractBook(r Reader, l Log, h *History, out *lineWriter) error {
	items := slices.DeleteFunc(slices.Clone(h.Items), func(i Item) bool { return i.Log != l.ID })
	if len(items) == 0 {
		return nil
	}
	c, err := logCheckpoint(r, l)
	if err != nil {
		return err
	}
	if err := out.put("book", object{"book": l.Origin, "key": l.Key, "checkpoint": string(c.Note)}); err != nil {
		return err
	}
	hashes := storedHashes{r, l.ID}
	for i := range items {
		item := &items[i]
		proof, err := tlog.ProveRecord(c.Size, item.N, hashes)
		if err != nil {
			return err
		}
		line := object{"book": l.Origin, "n": item.N, "entry": string(item.Canonical()), "proof": hexList(proof)}
		if err := out.put("entry", line); err != nil {
			return err
		}
		if item.N+1 < c.Size {
			if err := extractConsistency(l, item.N+1, c.Size, hashes, out); err != nil {
				return err
			}
		}
	}
	return nil
}

// extractConsistency proves that the checkpoint continues the log's first n
// entries.
func extractConsistency(l Log, n, size int64, hashes storedHashes, out *lineWriter) error {
	tree, err := loadFrontier(hashes.r, l.ID, n)
	if err != nil {
		return err
	}
	proof, err := tlog.ProveTree(size, n, hashes)
	if err != nil {
		return err
	}
	return out.put("continues", object{"book": l.Origin, "size": n, "root": tree.root().String(), "proof": hexList(proof)})
}

func extractDocuments(r Reader, h *History, out *lineWriter) error {
	done := map[Digest]bool{}
	for _, item := range h.Items {
		for _, role := range sortedKeys(item.Blobs) {
			d := item.Blobs[role]
			if done[d] {
				continue
			}
			done[d] = true
			data, err := readDocument(r, d)
			if err != nil {
				return err
			}
			if err := out.put("document", putBytes(object{"digest": d.String()}, "bytes", data)); err != nil {
				return err
			}
		}
	}
	return nil
}

// logCheckpoint is the newest signed checkpoint of any log of the store.
func logCheckpoint(r Reader, l Log) (Checkpoint, error) {
	size, err := r.Size(l.ID)
	if err != nil || size == 0 {
		return Checkpoint{}, err
	}
	row, err := r.Row(l.ID, size-1)
	if err != nil {
		return Checkpoint{}, err
	}
	tree, err := loadFrontier(r, l.ID, size)
	if err != nil {
		return Checkpoint{}, err
	}
	head := Head{l.Origin, size, tree.root()}
	text, err := buildNote(head, l.Key, row.Signature)
	return Checkpoint{head, text}, err
}
