package labels

import (
	"fmt"
	"strings"

	goqr "github.com/piglig/go-qr"
)

// QuietModules is the white border that a reader needs (ISO/IEC 18004).
const QuietModules = 4

// QR is a square code without its quiet zone: dark modules, line by line.
type QR struct {
	Text string
	dark [][]bool
}

// NewQR makes the code of a text at level M, or a better one that takes no more room.
func NewQR(text string) (QR, error) {
	code, err := goqr.EncodeText(text, goqr.Medium)
	if err != nil {
		return QR{}, fmt.Errorf("making a square code of %d bytes: %w", len(text), err)
	}
	q := QR{Text: text, dark: make([][]bool, code.Size())}
	for y := range q.dark {
		q.dark[y] = make([]bool, code.Size())
		for x := range q.dark[y] {
			q.dark[y][x] = code.Module(x, y)
		}
	}
	return q, nil
}

// Modules is the length of a side, the quiet zone included.
func (q QR) Modules() int { return len(q.dark) + 2*QuietModules }

// Bar is a run of dark modules in one line, in modules from the corner of the quiet zone.
type Bar struct{ X, Y, Length int }

// Bars lists the dark runs.
func (q QR) Bars() []Bar {
	var bars []Bar
	for y, line := range q.dark {
		for x := 0; x < len(line); x++ {
			from := x
			for x < len(line) && line[x] {
				x++
			}
			if x > from {
				bars = append(bars, Bar{from + QuietModules, y + QuietModules, x - from})
			}
		}
	}
	return bars
}

// Path is the dark modules as the path of an SVG whose view box is Modules wide.
func (q QR) Path() string {
	var d strings.Builder
	for _, b := range q.Bars() {
		fmt.Fprintf(&d, "M%d %dh%dv1h-%dz", b.X, b.Y, b.Length, b.Length)
	}
	return d.String()
}
