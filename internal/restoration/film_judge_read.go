package restoration

import (
	"slices"

	"scumble/internal/coating"
)

func (j *judgement) reading() {
	r := j.event.Reading
	if r == nil {
		return
	}
	switch r.Kind {
	case ReadFilm:
		j.readFilm(*r)
	case ReadGloss:
		if want := j.scene.Scheme.Gloss; want != nil && r.Gloss != nil {
			j.judgeGloss(*r.Gloss, *want, j.warn)
		}
	case ReadColour:
		if r.Lab != nil {
			j.judgeColour(*r.Lab, j.warn)
		}
	}
}

func (j *judgement) readFilm(r Reading) {
	for _, um := range r.FilmUM {
		if um > mostReadingUM {
			j.ask("A film of %s is more than %s, the end of a gauge's scale. It would be kept, but not counted.", j.um(um), j.um(mostReadingUM))
			break
		}
	}
	if len(r.FilmUM) < coating.ReadingsPerSpot {
		j.warn("A spot is the mean of at least %d readings (SSPC-PA 2); it has %d.", coating.ReadingsPerSpot, len(r.FilmUM))
	}
	film := j.film()
	spot := slices.IndexFunc(film.Spots, func(s coating.Spot) bool { return s.Based && s.Name == r.Spot })
	based := spot >= 0
	switch {
	case !r.Baseline && based && mean(r.FilmUM) < film.Spots[spot].BaseUM:
		j.ask("The spot read %s before the clear, and less now. A gauge reads all film over the steel, not the clear alone.",
			j.um(film.Spots[spot].BaseUM))
	case !r.Baseline && based:
		j.judgeGauge(r, film, film.Spots[spot])
	case r.Baseline && film.Known():
		j.warn("Clear is on already, so this is no baseline and doesn't count.")
	case !r.Baseline && film.Known() && !based:
		j.warn("The spot has no baseline from before the clear, so this doesn't tell how much of it is clear.")
	}
}

// judgeGauge points out a reading that differs from what is logged of the clear by more than
// the log's own doubt and the gauge's spread together: one of the two is wrong.
func (j *judgement) judgeGauge(r Reading, before coating.Film, spot coating.Spot) {
	if len(r.FilmUM) < coating.ReadingsPerSpot || len(j.facts.Asks) > 0 {
		return // it isn't counted, or is asked about already
	}
	logged, by := j.loggedAt(before, spot)
	switch read := j.gaugeReads(r.Spot); {
	case read.Low > logged.High:
		j.warn("The gauge says %s of clear, %s %s: measure again, or the log lacks a coat.", j.um(read.Likely), by, FilmSpan(logged, j.scene.Units))
	case read.High < logged.Low:
		j.warn("The gauge says %s of clear, %s %s: measure again, or more was sanded off than is logged.", j.um(read.Likely), by, FilmSpan(logged, j.scene.Units))
	}
}

// loggedAt is the clear that a spot should have, and by what: its last reading with what was
// logged since, else coats and passes alone. Of these the spot may be at an edge, which
// holds less.
func (j *judgement) loggedAt(film coating.Film, spot coating.Spot) (clear coating.Range, by string) {
	if spot.Measured {
		return spot.ClearUM, "the reading before and the log since give"
	}
	if i := slices.IndexFunc(film.Layers, func(l coating.LayerFilm) bool { return l.Layer == coating.Clear }); i >= 0 {
		clear = film.Layers[i].Left
	}
	if f := j.scene.Film.EdgeFactor; f > 0 && f < 1 {
		clear.Low *= f
	}
	return clear, "the log of coats gives"
}

// gaugeReads is the clear at the spot by the entry's own reading, with the gauge's spread.
func (j *judgement) gaugeReads(spot string) (clear coating.Range) {
	own, _ := DeedOf(j.piece, j.event)
	for _, s := range j.film(own).Spots {
		if s.Name == spot {
			clear = s.ClearUM
		}
	}
	return clear
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(max(1, len(values)))
}
