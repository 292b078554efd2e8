package record

import (
	"bytes"
	"runtime"
	"strconv"
)

// Reading rows and hashing them cost about the same, so they run side by side.
// The reader fills batches; workers hash each entry and walk over it, which
// needs nothing but its bytes; then the reader takes the batches back in their
// order and does what depends on the order: the tree, the flaws, and questions
// to the store, which only the reader may ask.

// rowBatch is a run of rows with memory of their own.
type rowBatch struct {
	rows []batchRow
	buf  []byte
	done chan struct{} // one value when the rows are hashed
}

type batchRow struct {
	Row
	n       int64
	leafed  []byte // Bytes after the byte that RFC 6962 puts before a leaf
	leaf    Digest
	blobs   []byte // as in the outline
	commits bool   // as in the outline
	fits    bool   // the outline could be read, and says what the row says
}

const (
	batchRows  = 128
	batchBytes = 64 << 10
)

// add copies a row; false when the batch has no room for it.
func (b *rowBatch) add(n int64, row *Row) bool {
	need := 1 + len(row.Bytes) + len(row.Hashes) + len(row.Signature)
	if len(b.rows) > 0 && (len(b.rows) == batchRows || need > cap(b.buf)-len(b.buf)) {
		return false
	}
	if need > cap(b.buf) {
		b.buf = make([]byte, 0, need) // the batch is empty: nothing points into the old room
	}
	b.rows = b.rows[:len(b.rows)+1]
	r := &b.rows[len(b.rows)-1]
	r.n, r.Subject, r.Identity, r.Signature = n, row.Subject, row.Identity, nil
	start := len(b.buf)
	b.buf = append(b.buf, leafPrefix)
	b.keep(row.Bytes)
	r.leafed = b.buf[start:len(b.buf):len(b.buf)]
	r.Bytes, r.Hashes = r.leafed[1:], b.keep(row.Hashes)
	if row.Signature != nil {
		r.Signature = b.keep(row.Signature)
	}
	return true
}

func (b *rowBatch) keep(data []byte) []byte {
	start := len(b.buf)
	b.buf = append(b.buf, data...)
	return b.buf[start:len(b.buf):len(b.buf)]
}

// hash does what needs nothing but the rows themselves.
func (b *rowBatch) hash() {
	var text []byte // room for what an entry is expected to say
	for i := range b.rows {
		r := &b.rows[i]
		r.leaf = DigestOf(r.leafed)
		o, plain := outlineOf(r.Bytes)
		text = strconv.AppendInt(text[:0], r.n, 10)
		r.fits = plain && string(o.format) == "1" && bytes.Equal(o.n, text) && o.files(&r.Row)
		r.blobs, r.commits = o.blobs, o.commits
	}
	b.done <- struct{}{}
}

// files reports whether an entry says the identity and the vehicle that its row is filed under.
func (o *outline) files(row *Row) bool {
	var id ID
	if len(o.id) != 2*len(id) || !decodeHex(id[:], o.id) || id != row.Identity {
		return false
	}
	if o.subject == nil {
		return row.Subject.IsZero()
	}
	return len(o.subject) == 2*len(id) && decodeHex(id[:], o.subject) && id == row.Subject
}

// rowPipe hands batches to workers and takes them back in order.
type rowPipe struct {
	work  chan *rowBatch
	under []*rowBatch // handed over, oldest first
	free  []*rowBatch
	take  func(*batchRow)
}

// newRowPipe calls take for each row in order, on the goroutine of whoever adds rows.
func newRowPipe(take func(*batchRow)) *rowPipe {
	workers := runtime.GOMAXPROCS(0)
	p := &rowPipe{work: make(chan *rowBatch, 2*workers+1), take: take}
	for range cap(p.work) {
		p.free = append(p.free, &rowBatch{rows: make([]batchRow, 0, batchRows), buf: make([]byte, 0, batchBytes), done: make(chan struct{}, 1)})
	}
	for range workers {
		go func() {
			for b := range p.work {
				b.hash()
			}
		}()
	}
	return p
}

// add takes one row in; its memory is free when add returns.
func (p *rowPipe) add(n int64, row *Row) {
	if p.free[0].add(n, row) {
		return
	}
	p.hand()
	p.free[0].add(n, row)
}

// hand gives the batch being filled to the workers, and sees that there is an
// empty one.
func (p *rowPipe) hand() {
	b := p.free[0]
	p.free = p.free[1:]
	p.under = append(p.under, b)
	p.work <- b
	if len(p.free) == 0 {
		p.back()
	}
}

// back takes the oldest batch back.
func (p *rowPipe) back() {
	b := p.under[0]
	p.under = append(p.under[:0], p.under[1:]...)
	<-b.done
	for i := range b.rows {
		p.take(&b.rows[i])
	}
	b.rows, b.buf = b.rows[:0], b.buf[:0]
	p.free = append(p.free, b)
}

// end takes back what is under way and lets the workers go.
func (p *rowPipe) end() {
	p.hand()
	for len(p.under) > 0 {
		p.back()
	}
	close(p.work)
}
