package record

import (
	"context"
	"encoding/base64"
	"io"
)

// ExportSchema names the format of an exported book.
const ExportSchema = "asleft/export/1"

// Progress is told how far a long work has come; total is 0 when not known.
type Progress func(done, total int64)

// ExportOptions says what to export.
type ExportOptions struct {
	Personal bool     // with the personal values and their keys: guard the file as the record itself
	All      bool     // also the other books in this record
	Progress Progress // may be nil
}

// Export writes books as lines of JSON: entries as their canonical bytes with
// the signatures of the checkpoints, documents by digest, the newest signed
// checkpoint last. Secrets never leave the record.
func (b *Book) Export(ctx context.Context, w io.Writer, o ExportOptions) error {
	return b.store.Read(ctx, func(r Reader) error {
		out := newLineWriter(w)
		header := object{"schema": ExportSchema, "tool": b.o.Tool, "made": b.o.Now().UTC().Format(timeLayout)}
		if err := out.put("header", header); err != nil {
			return err
		}
		logs, err := r.Logs()
		if err != nil {
			return err
		}
		x := &exporter{ctx: ctx, b: b, r: r, out: out, o: o, docs: map[Digest]bool{}, subjects: map[ID]bool{}}
		for _, l := range logs {
			if l.ID != b.own.ID && !o.All {
				continue
			}
			if err := x.book(l); err != nil {
				return err
			}
		}
		return out.end()
	})
}

type exporter struct {
	ctx      context.Context
	b        *Book
	r        Reader
	out      *lineWriter
	o        ExportOptions
	docs     map[Digest]bool
	subjects map[ID]bool
}

func (x *exporter) book(l Log) error {
	c, err := logCheckpoint(x.r, l)
	if err != nil || c.Size == 0 {
		return err
	}
	if err := x.out.put("book", object{"book": l.Origin, "key": l.Key, "size": c.Size}); err != nil {
		return err
	}
	err = x.r.Scan(l.ID, 0, c.Size, func(n int64, row *Row) error {
		if err := x.ctx.Err(); err != nil {
			return err
		}
		if x.o.Progress != nil {
			x.o.Progress(n+1, c.Size)
		}
		return x.row(n, row)
	})
	if err != nil {
		return err
	}
	return x.out.put("checkpoint", object{"book": l.Origin, "checkpoint": string(c.Note)})
}

// row writes an entry after the documents and values that it names.
func (x *exporter) row(n int64, row *Row) error {
	e, err := ParseEntry(row.Bytes)
	if err != nil {
		return &FlawError{Flaw{Class: Unparsable, N: n, Text: err.Error()}}
	}
	for _, role := range sortedKeys(e.Blobs) {
		d := e.Blobs[role]
		if x.docs[d] {
			continue
		}
		x.docs[d] = true
		data, err := readDocument(x.r, d)
		if err != nil {
			return err
		}
		if err := x.out.put("document", putBytes(object{"digest": d.String()}, "bytes", data)); err != nil {
			return err
		}
	}
	if !e.Subject.IsZero() && !x.subjects[e.Subject] {
		x.subjects[e.Subject] = true
		if err := x.subject(e.Subject); err != nil {
			return err
		}
	}
	line := object{"n": n, "entry": string(row.Bytes)}
	return x.out.put("entry", putBytes(line, "signature", row.Signature))
}

// subject writes by what other laptops of the shop find the vehicle, and its
// personal values when they were asked for.
func (x *exporter) subject(id ID) error {
	if x.b.keys.origin == "" {
		return nil
	}
	values, err := x.b.openValues(x.r, personalClass, id)
	if err != nil || len(values) == 0 {
		return err
	}
	for _, v := range values {
		if a := Attribute(v.Field); a.Personal() {
			err := x.b.eachFinding(a, v.Text, func(kind string, name []byte) error {
				return x.out.put("find", putBytes(object{"kind": kind, "subject": id.String()}, "name", name))
			})
			if err != nil {
				return err
			}
		}
	}
	if !x.o.Personal {
		return nil
	}
	key, err := x.b.subjectKeyOf(x.r, personalClass, id)
	if err != nil {
		return err
	}
	if err := x.out.put("key", putBytes(object{"subject": id.String()}, "key", key[:])); err != nil {
		return err
	}
	for _, v := range values {
		line := object{"subject": id.String(), "field": v.Field, "commitment": v.Commitment.String(),
			"salt": base64.StdEncoding.EncodeToString(v.salt[:])}
		putText(line, "text", v.Text)
		if err := x.out.put("value", line); err != nil {
			return err
		}
	}
	return nil
}

// ExportFile exports into a new file, readable by its owner alone, and notes
// in the record that the copy was made.
func (b *Book) ExportFile(ctx context.Context, c Copy, o ExportOptions) error {
	c.What = "export"
	return b.MakeCopy(ctx, c, ID{}, func(w io.Writer) error { return b.Export(ctx, w, o) })
}

// ExtractFile extracts a vehicle into a new file and notes in the record that
// the copy was made.
func (b *Book) ExtractFile(ctx context.Context, vehicle ID, c Copy) error {
	c.What = "extract"
	return b.MakeCopy(ctx, c, vehicle, func(w io.Writer) error { return b.Extract(ctx, vehicle, w) })
}

// MakeCopy makes a new file of the record's content, readable by its owner
// alone, and notes in the record that it was made; without the note there is
// no file. Without a vehicle it is about all of them.
func (b *Book) MakeCopy(ctx context.Context, c Copy, vehicle ID, write func(io.Writer) error) error {
	if err := (&Draft{Kind: Note, By: c.By}).check(); err != nil {
		return err
	}
	if err := saveNew(c.File, write); err != nil {
		return err
	}
	return b.noteNew(ctx, c, vehicle)
}
