package restoration

import (
	"cmp"
	"slices"
)

// DeedOf gives the row of the film that an applied entry adds to its piece, as the
// piece stands after it. False when the entry adds none.
func DeedOf(p Piece, e Event) (Deed, bool) {
	d := Deed{EventID: e.ID, Kind: e.Kind, PieceID: p.ID, At: e.At, PersonID: e.PersonID, Batch: e.Batch}
	if d.At.After(e.Arrived) {
		d.At = e.Arrived // as [Apply] takes it
	}
	if e.Kind == KindReading && e.Reading != nil {
		d.Pass, d.Reading = p.LastPass(), e.Reading.measured()
		return d, true
	}
	if e.Facts == nil || e.Facts.Film == nil {
		return Deed{}, false
	}
	if i := slices.IndexFunc(p.Steps, func(s Step) bool { return s.ID == e.StepID }); i >= 0 {
		d.StepID, d.Stage, d.Pass = e.StepID, p.Steps[i].Stage, p.Steps[i].Pass
	}
	d.Layer, d.Film = e.Facts.Layer, *e.Facts.Film
	switch {
	case e.Kind == KindCoat && e.Coat != nil:
		d.Number, d.Name, d.ML, d.Waits, d.Lots = e.Coat.Number, e.Facts.Material, cmp.Or(e.Facts.ML, e.Coat.ML), e.Facts.Waits, addLots(e.Facts.Lots)
		if d.Name != "" { // else it is none of the shop's list, whatever was said
			d.Material = e.Coat.Material
		}
		return d, true
	case e.Kind == KindCutPass && e.Cut != nil:
		d.Name = e.Cut.Grade
		return d, true
	}
	return Deed{}, false
}

// measured leaves out what a reading says beyond its kind: nobody has judged that.
func (r Reading) measured() *Reading {
	m := Reading{Kind: r.Kind, Spot: r.Spot}
	switch r.Kind {
	case ReadFilm:
		m.Baseline, m.FilmUM = r.Baseline, r.FilmUM
	case ReadGloss:
		m.Gloss = r.Gloss
	case ReadColour:
		m.Lab, m.UnderClear = r.Lab, r.UnderClear
	}
	return &m
}

// addLots gives each tin once, by number of the list.
func addLots(uses []LotUse) []LotUse {
	var sums []LotUse
	for _, use := range uses {
		if i := slices.IndexFunc(sums, func(s LotUse) bool { return s.Lot == use.Lot }); i >= 0 {
			sums[i].ML += use.ML
		} else {
			sums = append(sums, use)
		}
	}
	slices.SortFunc(sums, func(a, b LotUse) int { return cmp.Compare(a.Lot, b.Lot) })
	return sums
}

// ByHour puts the film in the order in which it happened.
func ByHour(deeds []Deed) []Deed {
	slices.SortStableFunc(deeds, func(a, b Deed) int {
		return cmp.Or(a.At.Compare(b.At), slices.Compare(a.EventID[:], b.EventID[:]))
	})
	return deeds
}

// FilmMoves tells whether a change of a piece may change what is kept of its film though
// no entry of the film was made: a step that counted no longer does, or another one does;
// the step that comes next is another, and one of the two has coats on it.
func FilmMoves(before, after Piece) bool {
	same := func(a, b Step) bool { return a.ID == b.ID && a.Current() == b.Current() }
	next := before.Sum.NextStep != after.Sum.NextStep && (before.nextCoated() || after.nextCoated())
	return len(before.Steps) > 0 && (next || before.RouteID != after.RouteID || !slices.EqualFunc(before.Steps, after.Steps, same))
}

func (p Piece) nextCoated() bool {
	return slices.ContainsFunc(p.Steps, func(s Step) bool { return s.ID == p.Sum.NextStep && !s.CoatedAt.IsZero() })
}
