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
// the read lock meanwhile, so nothing moves. A page is looked through before any
// of its rows is visited: where one is not exactly as expected, SQLite goes on
// with the scan, and what is odd it judges.

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
	onPage   []rowCell
	visited  int64 // rows
	visit    func(row int64, r *Row) error
}

// scanPages visits rows from the file's pages, and says how many; errOddPage means
// that more may follow, which SQLite has to read.
func (v sqliteView) scanPages(from, to int64, visit func(int64, *Row) error) (visited int64, err error) {
	var root int64
	err = v.query(`SELECT rootpage FROM sqlite_schema WHERE type = 'table' AND name = 'entry'`, nil, func(q *sqlite3.Stmt) error {
		root = q.ColumnInt64(0)
		return nil
	})
	if err != nil {
		return 0, err
	}
	f, err := os.Open(v.s.path)
	if err != nil {
		return 0, errOddPage
	}
	defer f.Close()
	p := &pageScan{file: f, from: from, to: to, visit: visit}
	if err := p.start(); err != nil {
		return 0, err
	}
	err = p.tree(root, -1, 1<<62, 0)
	return p.visited, err
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
	before := low
	for _, c := range children {
		if c.high <= before || c.high > high {
			return errOddPage
		}
		before = c.high
	}
	for _, c := range children {
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

// leaf visits the rows of a page, once all of them are seen to be in order, those that nobody asked for too:
// SQLite reads nothing from a page on which one of them is damaged.
func (p *pageScan) leaf(data []byte, cells []int, low, high int64) error {
	p.onPage = p.onPage[:0]
	for _, at := range cells {
		c, ok := p.cell(data, at)
		if !ok || c.row <= low || c.row > high {
			return errOddPage
		}
		low = c.row
		p.onPage = append(p.onPage, c)
	}
	for _, c := range p.onPage {
		if c.row < p.from || c.row >= p.to {
			continue
		}
		record, err := p.payload(c)
		if err != nil {
			return err
		}
		if !p.row.unpack(record) {
			return errOddPage
		}
		p.visited++
		if err := p.visit(c.row, &p.row); err != nil {
			return err
		}
	}
	return nil
}

// rowCell is a row as it stands in its page.
type rowCell struct {
	row    int64
	length int64  // of its record
	here   []byte // what of the record stands in this page
	next   uint32 // page where it goes on, 0 when all is here
}

// cell reads the row that begins at a place of a leaf page.
func (p *pageScan) cell(data []byte, at int) (c rowCell, ok bool) {
	if at+4 > len(data) {
		return c, false
	}
	length, a := varint(data[at:])
	if a == 0 || length < 0 || length > p.pages*p.pageSize {
		return c, false
	}
	row, b := varint(data[at+a:])
	start := at + a + b
	here := p.local(length)
	end := int64(start) + here
	if b == 0 || end > int64(len(data)) {
		return c, false
	}
	c = rowCell{row: row, length: length, here: data[start:end]}
	if here < length {
		if end+4 > int64(len(data)) {
			return c, false
		}
		c.next = binary.BigEndian.Uint32(data[end:])
	}
	return c, true
}

// local is how much of a row's record stands in its own page.
func (p *pageScan) local(length int64) int64 {
	usable := p.pageSize
	most := usable - 35
	if length <= most {
		return length
	}
	least := (usable-12)*32/255 - 23
	if local := least + (length-least)%(usable-4); local <= most {
		return local
	}
	return least
}

// payload returns a row's record; what does not fit its page goes on in a
// chain of other pages.
func (p *pageScan) payload(c rowCell) ([]byte, error) {
	if int64(len(c.here)) == c.length {
		return c.here, nil
	}
	p.spare = append(p.spare[:0], c.here...)
	page := make([]byte, p.pageSize)
	for n := int64(c.next); int64(len(p.spare)) < c.length; n = int64(binary.BigEndian.Uint32(page)) {
		if n < 1 || n > p.pages {
			return nil, errOddPage
		}
		if _, err := p.file.ReadAt(page, (n-1)*p.pageSize); err != nil {
			return nil, errOddPage
		}
		p.spare = append(p.spare, page[4:min(p.pageSize, 4+c.length-int64(len(p.spare)))]...)
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
