package office

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// A piece's page tells of the piece, of who differs most, and of whoever lies too far
// from the scheme; a set's other pieces, all well, would bury that.
func TestPieceMatchTellsOfThePiece(t *testing.T) {
	t.Parallel()
	at := func(key string, l float64) colour.Sample {
		return colour.Sample{Key: key, Name: key, Lab: colour.Lab{L: l, A: 10, B: 30}}
	}
	target := &colour.Lab{L: 60, A: 10, B: 30}
	samples := []colour.Sample{at("cap", 60.1), at("rail", 60.2), at("door", 66)}
	var said []string
	for _, line := range matchLines("Set dash", samples, target, "cap", restoration.StockFilm())[1:] {
		said = append(said, line.Text)
	}
	require.Len(t, said, 3)
	require.Contains(t, said[0], "door stands out")
	require.Contains(t, said[1], "cap lies ΔE 0.1 from the scheme's ground; 2.0 is allowed.")
	require.Contains(t, said[2], "door lies ΔE")
	require.Contains(t, said[2], "over the 2.0 that is allowed.")
}
