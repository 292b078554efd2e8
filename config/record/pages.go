package record

import (
	"encoding/binary"
	"errors"
	"os"

	"github.com/ncruces/go-sqlite3"
)

// A scan of a whole log reads the table's pages out of the file itself, many
// at a time, instead of asking SQLite for each row: asking costs as much as
// hashing what comes back. The layout is the one of "Database File Format",
// sqlite.org/fileformat2.html, sections 1.3, 1.5, 1.6 and 2.1. SQLite holds
// the read lock meanwhile, so nothing moves. The pages are first walked through
// without visiting anything: where one is not exactly as expected, SQLite does
// the whole scan, and what is odd it judges.

// errOddPage says that a page is not as expected.
var errOddPage = errors.New("page not as expected")

const (
	headerLength = 100
	interiorPage = 5
	leafPage     = 13
	windowBytes  = 256 << 10 // read at a time; a multiple of every page size
	maxDepth     = 20        // of the tree; SQLite's own bound
)

// pageScan visits the rows of one table in order.
type pageScan struct {
	file     *os.File
	pageSize int64
	pages    int64 // in the file; each may be met once
	met      int64
	window   []byte // consecutive pages
	first    int64  // the window's first page, 0 when it is empty
	spare    []byte // a row that is spread over several pages
	from, to int64  // row numbers, to is not visited
	row      Row
	visit    func(row int64, r *Row) error // nil while only looking
}

// scanPages visits rows from the file's pages; errOddPage means that it
// visited none.
func (v sqliteView) scanPages(from, to int64, visit func(int64, *Row) error) error {
	var root int64
	err := v.query(`SELECT rootpage FROM sqlite_schema WHERE type = 'table' AND name = 'entry'`, nil, func(q *sqlite3.Stmt) error {
		root = q.ColumnInt64(0)
		return nil
	})
	if err != nil {
		return err
	}
	f, err := os.Open(v.s.path)
	if err != nil {
		return errOddPage
	}
	defer f.Close()
	p := &pageScan{file: f, from: from, to: to}
	if err := p.start(); err != nil {
		return err
	}
	if err := p.tree(root, -1, 1<<62, 0); err != nil {
		return err
	}
	p.met, p.visit = 0, visit
	return p.tree(root, -1, 1<<62, 0)
}

// start reads the file's header.
func (p *pageScan) start() error {
	var head [headerLength]byte
	info, err := p.file.Stat()
	if err != nil {
		return errOddPage
	}
	if _, err := p.file.ReadAt(head[:], 0); err != nil {
		return errOddPage
	}
	p.pageSize = int64(binary.BigEndian.Uint16(head[16:]))
	if p.pageSize == 1 {
		p.pageSize = 1 << 16
	}
	rollback, reserved := head[18] == 1 && head[19] == 1, head[20]
	if p.pageSize < 512 || p.pageSize&(p.pageSize-1) != 0 || !rollback || reserved != 0 {
		return errOddPage
	}
	p.pages = info.Size() / p.pageSize
	p.window = make([]byte, windowBytes)
	return nil
}

// page returns a page's bytes, valid until the next call.
func (p *pageScan) page(n int64) ([]byte, error) {
	if n < 1 || n > p.pages {
		return nil, errOddPage
	}
	perWindow := windowBytes / p.pageSize
	if first := (n-1)/perWindow*perWindow + 1; first != p.first {
		p.first = 0
		size := min(perWindow, p.pages-first+1) * p.pageSize
		if _, err := p.file.ReadAt(p.window[:size], (first-1)*p.pageSize); err != nil {
			return nil, errOddPage
		}
		p.first = first
	}
	at := (n - p.first) * p.pageSize
	return p.window[at : at+p.pageSize], nil
}

// tree visits the rows under a page; all of them are above low and up to high.
func (p *pageScan) tree(n, low, high int64, depth int) error {
	if p.met++; depth > maxDepth || p.met > p.pages {
		return errOddPage
	}
	data, err := p.page(n)
	if err != nil {
		return err
	}
	cells, body, err := p.cells(data, n)
	if err != nil {
		return err
	}
	leaf := data[body] == leafPage
	if len(cells) == 0 && (depth > 0 || !leaf) { // only an empty table's root has none
		return errOddPage
	}
	if leaf {
		return p.leaf(data, cells, low, high)
	}
	type child struct{ page, high int64 }
	children := make([]child, 0, len(cells)+1)
	for _, at := range cells {
		if at+5 > len(data) {
			return errOddPage
		}
		key, width := varint(data[at+4:])
		if width == 0 {
			return errOddPage
		}
		children = append(children, child{int64(binary.BigEndian.Uint32(data[at:])), key})
	}
	children = append(children, child{int64(binary.BigEndian.Uint32(data[body+8:])), high})
	for _, c := range children {
		if c.high <= low || c.high > high {
			return errOddPage
		}
		if c.high >= p.from && low+1 < p.to {
			if err := p.tree(c.page, low, c.high, depth+1); err != nil {
				return err
			}
		}
		low = c.high
	}
	return nil
}

// cells returns where the cells of a tree page begin, and where its own header does.
func (p *pageScan) cells(data []byte, n int64) (cells []int, body int, err error) {
	if n == 1 {
		body = headerLength
	}
	width := 8
	switch data[body] {
	case leafPage:
	case interiorPage:
		width = 12
	default:
		return nil, 0, errOddPage
	}
	count := int(binary.BigEndian.Uint16(data[body+3:]))
	array := body + width
	if array+2*count > len(data) || count > (len(data)-8)/6 {
		return nil, 0, errOddPage
	}
	cells = make([]int, count)
	for i := range cells {
		if cells[i] = int(binary.BigEndian.Uint16(data[array+2*i:])); cells[i] < array+2*count {
			return nil, 0, errOddPage
		}
	}
	return cells, body, nil
}

// leaf visits the rows of a page. Rows that nobody asked for are looked at too:
// SQLite reads nothing from a page on which one of them is damaged.
func (p *pageScan) leaf(data []byte, cells []int, low, high int64) error {
	for _, at := range cells {
		if at+4 > len(data) {
			return errOddPage
		}
		length, a := varint(data[at:])
		if a == 0 {
			return errOddPage
		}
		row, b := varint(data[at+a:])
		if b == 0 || row <= low || row > high || length < 0 || length > p.pages*p.pageSize {
			return errOddPage
		}
		low = row
		local, end := p.extent(at+a+b, length)
		if end > int64(len(data)) {
			return errOddPage
		}
		if row < p.from || row >= p.to {
			continue
		}
		record, err := p.payload(data[at+a+b:end], local, length)
		if err != nil {
			return err
		}
		if !p.row.unpack(record) {
			return errOddPage
		}
		if p.visit == nil {
			continue
		}
		if err := p.visit(row, &p.row); err != nil {
			return err
		}
	}
	return nil
}

// extent is how much of a row's record stands in its own page, and where its
// cell ends: behind it, or behind the number of the page where it goes on.
func (p *pageScan) extent(at int, length int64) (local, end int64) {
	usable := p.pageSize
	most := usable - 35
	if length <= most {
		return length, int64(at) + length
	}
	least := (usable-12)*32/255 - 23
	if local = least + (length-least)%(usable-4); local > most {
		local = least
	}
	return local, int64(at) + local + 4
}

// payload returns a row's record; what does not fit its page goes on in a
// chain of other pages.
func (p *pageScan) payload(cell []byte, local, length int64) ([]byte, error) {
	if local == length {
		return cell, nil
	}
	usable := p.pageSize
	p.spare = append(p.spare[:0], cell[:local]...)
	page := make([]byte, usable)
	for n := int64(binary.BigEndian.Uint32(cell[local:])); int64(len(p.spare)) < length; n = int64(binary.BigEndian.Uint32(page)) {
		if n < 1 || n > p.pages {
			return nil, errOddPage
		}
		if _, err := p.file.ReadAt(page, (n-1)*usable); err != nil {
			return nil, errOddPage
		}
		p.spare = append(p.spare, page[4:min(usable, 4+length-int64(len(p.spare)))]...)
	}
	return p.spare, nil
}

// unpack takes a record of the entry table apart: id as the row's number,
// subject, identity, bytes, hashes, signature. The row shares its memory.
func (r *Row) unpack(record []byte) bool {
	header, at := varint(record)
	if at == 0 || header > int64(len(record)) {
		return false
	}
	var columns [6][]byte
	body := header
	for i := range columns {
		if int64(at) >= header {
			return false
		}
		kind, width := varint(record[at:header])
		at += width
		switch {
		case width == 0:
			return false
		case kind == 0:
			continue
		case kind < 12 || kind%2 != 0 || i == 0:
			return false
		}
		end := body + (kind-12)/2
		if end > int64(len(record)) || end < body {
			return false
		}
		columns[i] = record[body:end:end]
		body = end
	}
	if int64(at) != header || body != int64(len(record)) {
		return false
	}
	for _, column := range columns[1:5] {
		if column == nil {
			return false
		}
	}
	if len(columns[1]) != len(r.Subject) || len(columns[2]) != len(r.Identity) {
		return false
	}
	r.Subject, r.Identity = ID(columns[1]), ID(columns[2])
	r.Bytes, r.Hashes, r.Signature = columns[3], columns[4], columns[5]
	return true
}

// varint reads SQLite's variable-length integer: seven bits a byte, highest
// first, all eight of a ninth. The width is 0 when data ends before it does.
func varint(data []byte) (value int64, width int) {
	for i, c := range data {
		if i == 8 {
			return value<<8 | int64(c), 9
		}
		value = value<<7 | int64(c&0x7f)
		if c < 0x80 {
			return value, i + 1
		}
	}
	return 0, 0
}
