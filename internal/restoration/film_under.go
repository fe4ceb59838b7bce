package restoration

import (
	"slices"
	"strings"

	"scumble/internal/coating"
)

// UnderPaper says what a paper meets where no clear is on, from the top down: the film of
// each layer by its coats, less the passes whose removal is known. How much of it may go
// nobody reckons: only the clear has a floor.
func UnderPaper(f coating.Film, units Units) string {
	var list []string
	for _, l := range slices.Backward(f.Layers) {
		if !l.Left.IsZero() {
			list = append(list, string(l.Layer)+", about "+FilmWords(l.Left.Likely, units))
		}
	}
	if len(list) == 0 {
		return "No coat is logged on this piece, so nobody knows what lies under the paper."
	}
	says := "The paper meets " + list[0] + " by its coats"
	if len(list) > 1 {
		says += "; below it " + strings.Join(list[1:], "; ")
	}
	return says + "; then the base metal. How much may go is reckoned for clear alone."
}
