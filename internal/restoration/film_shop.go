package restoration

import (
	"slices"
	"time"

	"scumble/internal/coating"
)

// FilmKept is what is kept of a piece's film beside the piece, so that the whole shop's
// is read without going through every coat again. It holds no floor: that is the
// scheme's, which may change.
type FilmKept struct {
	On, Left, CutAway coating.Range // of the clear, µm
	ByGauge           bool          // Left comes from the worst measured spot

	Coats     int       // on the step that comes next
	SessionUM float64   // likely dry clear of the session of the last of them
	CoatedAt  time.Time // of the last of them; zero: none
	MaxRecoat Minutes   // after it the recoat window shuts; 0: never
	Sand      Minutes   // after it the piece may be flatted; 0: not said
	BeforeUM  float64   // likely clear that stayed from earlier passes
	KeptAt    time.Time // of the last coat of that; zero: none stayed
	SandedAt  time.Time // of the last pass of sanding or cutting; zero: none
	Grade     string    // of that pass
}

// Equal tells whether two are the same.
func (k FilmKept) Equal(o FilmKept) bool {
	same := k.SandedAt.Equal(o.SandedAt) && k.CoatedAt.Equal(o.CoatedAt) && k.KeptAt.Equal(o.KeptAt)
	for _, f := range []*FilmKept{&k, &o} {
		f.SandedAt, f.CoatedAt, f.KeptAt = time.Time{}, time.Time{}, time.Time{}
	}
	return same && k == o
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

// KeptOf gives what is kept of the film of a piece, from what was done to it in the order
// in which it happened: see [FilmOf].
func KeptOf(p Piece, r Route, deeds []Deed) FilmKept {
	film := FilmOf(p, r, deeds, coating.Policy{})
	k := Keep(film)
	k.BeforeUM = stayedUM(film)
	for _, d := range deeds {
		switch {
		case d.Kind == KindCutPass:
			k.SandedAt, k.Grade = d.At, d.Name
		case d.Kind == KindCoat && d.StepID == p.Sum.NextStep:
			k.Coats++
		case d.Kind == KindCoat && d.Layer == coating.Clear && k.BeforeUM > 0:
			k.KeptAt = d.At
		}
	}
	k.SessionUM = sessionOn(p.Sum.NextStep, deeds)
	if i := slices.IndexFunc(p.Steps, func(s Step) bool { return s.ID == p.Sum.NextStep }); i >= 0 && p.Steps[i].CoatWaits != nil {
		s := p.Steps[i]
		k.CoatedAt, k.MaxRecoat, k.Sand = s.CoatedAt, s.CoatWaits.MaxRecoat, s.CoatWaits.Sand
	}
	return k
}

// sessionOn is the likely dry clear of the last session on a step, in µm.
func sessionOn(step ID, deeds []Deed) float64 {
	var hours []time.Time
	var films []float64
	for _, d := range deeds {
		if d.Kind == KindCoat && d.StepID == step && d.Layer == coating.Clear {
			hours, films = append(hours, d.At), append(films, d.Film.Likely)
		}
	}
	return lastSession(hours, films)
}

// SprayKeyOf is what [Batches] looks at of one piece, from what was done to it in the
// order in which it happened.
func SprayKeyOf(p Piece, r Route, car *Car, deeds []Deed) SprayKey {
	kept := KeptOf(p, r, deeds)
	key := SprayKey{Car: car, PieceID: p.ID, StepID: p.Sum.NextStep, RouteID: r.ID, Label: p.Label, Title: p.Title(), Set: p.Set, Scheme: p.Scheme,
		Size: p.Size, AreaM2: p.AreaM2, BothM2: p.BothM2, Stage: p.Sum.NextStage, Look: p.Sum.Look, GateFrom: p.Sum.GateFrom, LateFrom: p.Sum.LateFrom,
		LiesAt: p.LiesAt, Coats: kept.Coats, CoatedAt: kept.CoatedAt, MaxRecoat: kept.MaxRecoat, Sand: kept.Sand, SessionUM: kept.SessionUM,
		KeptUM: kept.BeforeUM, KeptAt: kept.KeptAt, SandedAt: kept.SandedAt}
	if p.Holding != nil {
		key.HeldSince = p.Holding.Since
	}
	if stage, _ := r.Stage(p.Sum.NextStage); LayerOf(stage.Look) == coating.Clear {
		key.Grade = kept.Grade
	}
	return key
}

// stayedUM is what is left of the clear that stayed from earlier passes: what is on the
// piece less what was put on since.
func stayedUM(f coating.Film) float64 {
	if !slices.ContainsFunc(f.Sessions, func(s coating.SessionFilm) bool { return s.Name == coating.Stayed }) {
		return 0
	}
	left := f.Clear.Likely
	for _, s := range f.Sessions {
		if s.Name != coating.Stayed {
			left -= s.On.Likely
		}
	}
	return max(0, left)
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
	film.Spots, film.Since = nil, coating.Since{}
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
