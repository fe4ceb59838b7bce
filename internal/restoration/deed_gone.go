package restoration

import "slices"

// SentBackSince tells whether a send-back took off what a deed put on, sanded or measured,
// so that it tells nothing of the piece as it is: a coat or a pass with its step, a colour
// with the ground, a gloss with the clear or its cut. What was done to the clear, and a film
// by gauge, goes when what lies under the clear is done again: until then the clear stays.
func (p Piece) SentBackSince(r Route, d Deed) bool {
	reads := ReadingKind("")
	if d.Kind == KindReading {
		reads = d.Reading.Kind
	}
	switch {
	case reads == ReadColour:
		return d.Pass < p.passAt(r, LookGrounded)
	case reads == ReadGloss:
		return d.Pass < max(p.passAt(r, LookCleared), p.passAt(r, LookCut))
	case d.clears(), d.baseline():
		return d.Pass < p.passUnder(r)
	}
	return slices.ContainsFunc(p.Steps, func(s Step) bool { return s.ID == d.StepID && !s.Current() })
}

// LatestReading finds the last reading of a kind that is of the present finish, among deeds
// in the order in which they happened; nil: none is.
func LatestReading(p Piece, r Route, deeds []Deed, kind ReadingKind) *Reading {
	for _, d := range slices.Backward(deeds) {
		if d.Kind == KindReading && d.Reading.Kind == kind && !p.SentBackSince(r, d) {
			return d.Reading
		}
	}
	return nil
}
