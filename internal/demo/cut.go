package demo

import (
	"time"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// ladder is how the shop cuts: one pass a grade; common practice, no source.
var ladder = []string{"P1500", "P2000", "P3000", "compound"}

// cutDown enters the passes of a cut, from the beginning of the stretch of work to its
// end, between a reading of the film and one of the gloss.
func (w *world) cutDown(h *hand, from, at time.Time) {
	j := h.job
	if um, ok := w.base(j.car, j.piece); ok {
		film := w.clear(j.car, j.piece).Clear
		w.read(j.car, j.piece, h.person, from, w.gauge(um+film.Likely+3*w.rnd.NormFloat64(), false), restoration.ID{})
	}
	ladder := ladder
	if j.car.finish.sparse {
		ladder = nil
	}
	gap := (at.Sub(from) / time.Duration(len(ladder)+1)).Truncate(time.Second)
	for k, grade := range ladder {
		pass := restoration.CutPass{Grade: grade, Wet: k < len(ladder)-1}
		if j.fateful() && k == 1 { // measured afterwards, where it was through
			pass.Off = &coating.Range{Low: 55, Likely: 75, High: 95}
		}
		w.pass(h, j, from.Add(gap*time.Duration(k+1)), pass, restoration.ID{})
		if pass.Off != nil {
			return
		}
	}
	if want := j.car.schemeOf(j.piece).Gloss; want != nil {
		gloss := colour.Gloss{GU: tenth(want.GU - 3 + 6*w.rnd.Float64()), Angle: want.Angle}
		w.read(j.car, j.piece, h.person, at.Add(-time.Second), restoration.Reading{Kind: restoration.ReadGloss, Gloss: &gloss}, restoration.ID{})
	}
}
