package instrument

import (
	"unicode/utf8"

	"scumble/internal/csvtable"
)

// sampleRows is how many lines tell the shape of a table.
const sampleRows = 100

// utf8Of is the text of a file; one that is not UTF-8 is taken for ISO 8859-1, where
// each byte is the sign of its number.
func utf8Of(data []byte) string {
	if utf8.Valid(data) {
		return string(data)
	}
	runes := make([]rune, len(data))
	for i, b := range data {
		runes[i] = rune(b)
	}
	return string(runes)
}

// separatorOf is the separator by which the most lines get the same number of cells.
// Of equals the one that stands in numbers and names less often is taken.
func separatorOf(text string) byte {
	best, most := byte(','), 0
	for _, sep := range []byte{'\t', ';', ','} {
		widths := sample(text, sep)
		if n := widths[widthOf(widths)]; n > most {
			best, most = sep, n
		}
	}
	if most == 0 {
		return ',' // a single column
	}
	return best
}

// sample counts the first lines by their number of cells; those of a single cell are
// left out while others are there.
func sample(text string, sep byte) map[int]int {
	widths, single := map[int]int{}, 0
	scan := csvtable.NewScanner(text, sep)
	for range sampleRows {
		rec, ok := scan.Next()
		if !ok {
			break
		}
		switch {
		case rec.Blank() || rec.Flaw != nil:
		case len(rec.Cells) == 1:
			single++
		default:
			widths[len(rec.Cells)]++
		}
	}
	if len(widths) == 0 && single > 0 {
		widths[1] = 0 // seen, but it speaks for no separator
	}
	return widths
}

// widthOf is the commonest number of cells, the larger of two; 0 where nothing was seen.
func widthOf(widths map[int]int) int {
	best := 0
	for width, n := range widths {
		if best == 0 || n > widths[best] || n == widths[best] && width > best {
			best = width
		}
	}
	return best
}
