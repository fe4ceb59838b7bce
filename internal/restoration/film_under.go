package restoration

import (
	"slices"
	"strings"

	"scumble/internal/coating"
)

// UnderPaper says what a paper meets where no clear is on, from the top down: the film of
// each layer by its coats, less the passes that were logged and whose removal is known. How
// much of it may go nobody reckons: only the clear has a floor.
func UnderPaper(f coating.Film, units Units) string {
	var list []string
	for _, l := range slices.Backward(f.Layers) {
		if !l.Left.IsZero() {
			list = append(list, string(l.Layer)+" "+FilmWords(l.Left.Likely, units))
		}
	}
	if len(list) == 0 {
		return "No coat is logged on this piece, so nobody knows what lies under the paper."
	}
	return "By what is logged the paper meets " + strings.Join(append(list, "the base metal"), ", then ") + ". How much may go is reckoned for clear alone."
}
