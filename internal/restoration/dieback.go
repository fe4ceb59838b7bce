package restoration

import "time"

// A cut piece is looked at again when its clear has had time to shrink: die-back shows
// weeks after cutting. Two to four weeks are common practice, no source.
const (
	DieBackAfter  = 14 * 24 * time.Hour
	DieBackWithin = 28 * 24 * time.Hour
)

// CutPiece is a piece that was cut, and whose gloss nobody has read since its clear
// has had time to shrink.
type CutPiece struct {
	PieceID   ID
	Piece     string // its title
	WorkOrder string
	CutAt     time.Time
}

// LookBy is the hour until which it is to be looked at.
func (c CutPiece) LookBy() time.Time { return c.CutAt.Add(DieBackWithin) }
