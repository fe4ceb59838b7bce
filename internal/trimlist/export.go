package trimlist

import (
	"io"
	"strconv"

	"scumble/internal/restoration"
)

// WritePieces writes a trim list that [ParsePieces] reads.
func WritePieces(w io.Writer, pieces []restoration.NewPiece) error {
	out := NewWriter(w)
	out.Write(pieceSheet().columns...)
	for _, p := range pieces {
		out.Write(p.Name, string(p.Zone), string(p.Side), p.Place, number(p.AreaM2), string(p.Size), string(p.Mounting),
			p.Set, p.Route, number(float64(p.Grade)), restoration.FormatFaults(p.Faults), p.LiesAt, p.Note)
	}
	return out.Flush()
}

// number writes 0 as a blank.
func number(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
