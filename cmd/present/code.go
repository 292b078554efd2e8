package present

import (
	"fmt"

	"rsc.io/qr"
)

// codeBlock is a sheet's code, drawn where it can be.
func codeBlock(code string) Block {
	figure, err := codeFigure(code)
	if err != nil {
		return Text{Plain, "Record: " + code}
	}
	return figure
}

// codeFigure is a sheet's code: the record's newest checkpoint in words and digits, and as a QR code
// (ISO/IEC 18004, error correction level M), so that paper in a glovebox is a witness of the record.
func codeFigure(code string) (Figure, error) {
	symbol, err := qr.Encode(code, qr.M)
	if err != nil {
		return Figure{}, fmt.Errorf("the sheet's code does not fit a QR code: %w", err)
	}
	const module, quiet = 0.5, 4 // millimetres, and modules of quiet zone (clause 5.3.8, from memory)
	side := float64(symbol.Size+2*quiet) * module
	d := Drawing{Width: side, Height: side}
	for y := range symbol.Size {
		for x := 0; x < symbol.Size; x++ {
			from := x
			for x < symbol.Size && symbol.Black(x, y) {
				x++
			}
			if x > from {
				d.Boxes = append(d.Boxes, Box{X: float64(from+quiet) * module, Y: float64(y+quiet) * module, W: float64(x-from) * module, H: module, Filled: true})
			}
		}
	}
	return Figure{Caption: "Record: " + code, Lines: []string{"record: " + code}, Shapes: d}, nil
}
