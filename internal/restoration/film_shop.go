package restoration

import "scumble/internal/coating"

// FilmKept is what is kept of a piece's film beside the piece, so that the whole shop's
// is read without going through every coat again. It holds no floor: that is the
// scheme's, which may change.
type FilmKept struct {
	On, Left, CutAway coating.Range // of the clear, µm
	ByGauge           bool          // Left comes from the worst measured spot
}

// Keep gives what is kept of a film.
func Keep(f coating.Film) FilmKept {
	k := FilmKept{Left: f.Clear, CutAway: f.CutAway, ByGauge: f.ByGauge}
	for _, l := range f.Layers {
		if l.Layer == coating.Clear {
			k.On = l.On
		}
	}
	return k
}

// Film gives the clear again, measured against a policy. Spots, sessions and the layers
// under the clear are not kept.
func (k FilmKept) Film(p coating.Policy) coating.Film {
	film := coating.Film{
		Layers:  []coating.LayerFilm{{Layer: coating.Clear, On: k.On, Cut: k.CutAway, Left: k.Left}},
		CutAway: k.CutAway, Clear: k.Left,
	}
	if k.ByGauge {
		film.Spots = []coating.Spot{{Based: true, Measured: true, ClearUM: k.Left}}
	}
	film = coating.After(film, coating.Range{}, p)
	film.Spots = nil
	return film
}

// PieceFilm is the clear on a piece of a car that is not delivered.
type PieceFilm struct {
	PieceID ID
	CarID   int64
	Scheme  string // its name; "" the car's own
	FloorUM float64
	Film    coating.Film // as [FilmKept.Film] gives it
}
