package record

import (
	"io"

	"golang.org/x/mod/sumdb/tlog"
)

// A file is read, taken apart and hashed by one goroutine while the database
// takes in what came before: the two cost about the same. Only the database's
// part decides; this part hands over lines in their order, with the first
// error as the last of them.

// importLine is one line of an import, taken apart.
type importLine struct {
	kind  string
	n     int64 // number of the line in the file
	f     *fields
	entry *importEntry // of a line of that kind that is in order
	err   error        // ends the file; io.EOF after the end line
}

// importEntry is the content of an entry's line.
type importEntry struct {
	Entry
	n         int64 // position that the line says
	data      []byte
	leaf      tlog.Hash
	signature []byte
}

// A batch is handed over when it has so many lines or bytes.
const (
	aheadLines = 64
	aheadBytes = 256 << 10
)

// ahead starts reading; whoever takes the batches closes stop when it needs no
// more, and then reads the channel to its end.
func (l *lineReader) ahead(stop <-chan struct{}) <-chan []importLine {
	out := make(chan []importLine, 4)
	go func() {
		defer close(out)
		entries := new(canonReader)
		for done := false; !done; {
			batch := make([]importLine, 0, aheadLines)
			for size := 0; !done && len(batch) < aheadLines && size < aheadBytes; size += l.size {
				batch = append(batch, l.importLine(entries))
				done = batch[len(batch)-1].err != nil
			}
			select {
			case out <- batch:
			case <-stop:
				return
			}
		}
	}()
	return out
}

func (l *lineReader) importLine(canon *canonReader) importLine {
	kind, f, err := l.next()
	line := importLine{kind: kind, n: l.n, f: f, err: err}
	if err == nil && kind == "entry" {
		line.entry, line.err = l.importEntry(canon, f)
	} else {
		l.canon.keep()
	}
	return line
}

func (l *lineReader) importEntry(canon *canonReader, f *fields) (*importEntry, error) {
	n, text, signature := f.whole("n"), f.text("entry"), f.bytes("signature")
	if err := f.close(); err != nil {
		return nil, l.fail("%v", err)
	}
	e, err := parseEntry(canon, text)
	if err != nil {
		return nil, l.fail("%v", err)
	}
	x := &importEntry{Entry: e, n: n, data: []byte(text), signature: signature}
	if len(signature) == 0 {
		x.signature = nil
	}
	x.leaf = tlog.RecordHash(x.data)
	return x, nil
}

// readAll takes the lines of the file in, one after the other.
func (in *importer) readAll() error {
	header, err := in.lines.header(ExportSchema)
	if err != nil {
		return err
	}
	header.text("tool")
	header.time("made")
	if err := header.close(); err != nil {
		return in.lines.fail("%v", err)
	}
	stop := make(chan struct{})
	batches := in.lines.ahead(stop)
	defer func() {
		close(stop)
		for range batches { // nobody reads the file any more once this returns
		}
	}()
	for batch := range batches {
		if err := in.ctx.Err(); err != nil {
			return err
		}
		for i := range batch {
			if err := in.line(&batch[i]); err == io.EOF {
				return nil
			} else if err != nil {
				return err
			}
		}
	}
	return nil
}
