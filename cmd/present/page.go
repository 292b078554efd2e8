// Package present turns results into what people read: a terminal table, a printable sheet
// (HTML with drawings), Markdown, CSV and JSON.
//
// Data goes one way. A result of the rules or of the record becomes a *view*: a value whose
// fields are exactly what is shown and whose JSON keys are stable ("schema": "asleft/NAME/1").
// A view becomes a Page of sections and blocks. A Page is drawn by one of the renderers. So the
// table, the sheet and the JSON carry the same facts, and no renderer knows the trade.
//
// Text that people typed passes through source.Visible in the renderers: no control character,
// terminal escape or bidirectional override reaches a terminal, a sheet or a cell.
package present

// Page is a document to be drawn: sections in reading order.
type Page struct {
	Title    string
	Marks    []string // said on every printed page: invented devices, overrides, date
	Sections []Section
}

// Section is a headed part of a page.
type Section struct {
	Title  string
	Break  bool // starts a new sheet of paper when printed
	Blocks []Block
}

// Block is one piece of a section: Text, List, Grid, Strip or Figure.
type Block interface{ isBlock() }

// Tone says how urgent a text is. It is always said in words too; colour only repeats it.
type Tone string

// The tones of a text.
const (
	Plain  Tone = ""
	Danger Tone = "danger" // refusals and cautions of safety
	Notice Tone = "notice" // things to look at again
	Quiet  Tone = "quiet"  // remarks
)

// Text is a paragraph.
type Text struct {
	Tone Tone
	Text string
}

// List is a list of short texts; Numbered where their order matters.
type List struct {
	Tone     Tone
	Numbered bool
	Items    []string
}

// Grid is a table. Narrow columns keep their width, wide ones wrap.
type Grid struct {
	Head   []string
	Rows   [][]string
	Strips map[int]Strip // drawn below the text of the last column of a row, by row
}

// Strip is a response over time, drawn to scale: what a lamp or a horn does.
type Strip struct {
	Label  string
	Pieces []Piece
}

// Piece is one stretch of a strip. Text stands in for the drawing in words.
type Piece struct {
	Seconds float64
	On      bool
	Mark    string // letter drawn in the piece: colour never stands alone
}

// Figure is a drawing with its text form: Lines for the terminal, Caption, Shapes and Notes for the
// sheet. Both say the same.
type Figure struct {
	Caption string
	Lines   []string
	Shapes  Drawing
	Notes   []string
}

// Drawing is a small line drawing in millimetres.
type Drawing struct {
	Width, Height float64
	Boxes         []Box
	Lines         []Line
	Labels        []Label
}

// Box is a rectangle.
type Box struct {
	X, Y, W, H float64
	Filled     bool
}

// Line is a polyline through points.
type Line struct {
	Points [][2]float64
	Dashed bool
}

// Label is a text anchored at its start, middle or end.
type Label struct {
	X, Y   float64
	Anchor string // start, middle, end
	Text   string
}

func (Text) isBlock()   {}
func (List) isBlock()   {}
func (Grid) isBlock()   {}
func (Strip) isBlock()  {}
func (Figure) isBlock() {}

// Add appends blocks to the section.
func (s *Section) Add(blocks ...Block) { s.Blocks = append(s.Blocks, blocks...) }
