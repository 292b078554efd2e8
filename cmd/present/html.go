package present

import (
	"embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"
	"sync"
)

//go:embed sheet.html
var sheetFiles embed.FS

var sheetTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("sheet.html").Funcs(template.FuncMap{
		"kind":    kindOf,
		"clean":   clean,
		"strip":   stripDrawing,
		"drawing": func(f Figure) svgDrawing { return svgDrawing{f.Shapes} },
		"points":  points,
		"mm":      millimetres,
		"long":    func(l List) bool { return len(l.Items) > 6 },
		"short":   func(cell string) bool { return len(cell) <= 12 },
		"last":    func(row []string, i int) bool { return i == len(row)-1 },
		"stripAt": func(g Grid, row int) *drawnStrip {
			s, ok := g.Strips[row]
			if !ok {
				return nil
			}
			d := stripDrawing(s)
			return &d
		},
	}).ParseFS(sheetFiles, "sheet.html"))
})

// HTML writes the page as one printable file: no script, no outside resource, readable in black
// and white, on A4 and Letter. Drawings are SVG inside the page.
func HTML(w io.Writer, p Page) error { return sheetTemplate().Execute(w, p) }

// kindOf tells the template which block it has in hand.
func kindOf(b Block) string {
	switch b.(type) {
	case Text:
		return "text"
	case List:
		return "list"
	case Grid:
		return "grid"
	case Strip:
		return "strip"
	default:
		return "figure"
	}
}

// millimetres prints a length for SVG: two decimals at most, so that bytes do not depend on rounding noise.
func millimetres(v float64) string {
	s := fmt.Sprintf("%.2f", math.Round(v*100)/100)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func points(l Line) string {
	parts := make([]string, len(l.Points))
	for i, p := range l.Points {
		parts[i] = millimetres(p[0]) + "," + millimetres(p[1])
	}
	return strings.Join(parts, " ")
}

type svgDrawing struct{ Drawing }

// drawnStrip is a strip laid out for the sheet: millimetres from the left.
type drawnStrip struct {
	Label  string
	Words  string
	Width  float64
	Pieces []drawnPiece
	Ticks  []float64 // one a second
}

type drawnPiece struct {
	X, W float64
	On   bool
	Mark string
}

// stripDrawing draws a strip to scale: 7 mm a second, less when it would pass 60 mm, a column's width.
func stripDrawing(s Strip) drawnStrip {
	total := 0.0
	for _, p := range s.Pieces {
		total += p.Seconds
	}
	scale := 7.0
	if total*scale > 60 {
		scale = 60 / total
	}
	d := drawnStrip{Label: clean(s.Label), Words: stripText(s, PipedColumns), Width: total * scale}
	x := 0.0
	for _, p := range s.Pieces {
		d.Pieces = append(d.Pieces, drawnPiece{X: x, W: p.Seconds * scale, On: p.On, Mark: clean(p.Mark)})
		x += p.Seconds * scale
	}
	for second := 0; float64(second) <= total+1e-9; second++ {
		d.Ticks = append(d.Ticks, float64(second)*scale)
	}
	return d
}
