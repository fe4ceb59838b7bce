package demo

import (
	"maps"
	"math"
	"slices"
	"time"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// schemes are the finishes that were agreed for a car, its own first, in numbers of the
// tale. The others are built and cut like it, and nobody measured a colour for them: one
// has another figure under the grain, one is painted and bears no grain.
func (w *world) schemes(c *carPlay) []restoration.Scheme {
	list := []restoration.Scheme{w.ownScheme(c)}
	add := func(name string) *restoration.Scheme {
		s := list[0]
		s.ID, s.Name, s.Ground, s.Materials = int64(100*len(list)+c.index+1), name, nil, maps.Clone(s.Materials)
		list = append(list, s)
		return &list[len(list)-1]
	}
	if c.odd != "" {
		add(oddScheme)
	}
	if c.explained != "" {
		s := add(c.oddScheme)
		s.Materials[coating.Ground], s.GroundLot = paintGround2K, 0
		delete(s.Materials, coating.Grain)
	}
	return list
}

// schemeOf is the finish of one piece of a car.
func (c *carPlay) schemeOf(piece int) restoration.Scheme {
	name := c.told.Pieces[piece].Scheme
	i := slices.IndexFunc(c.told.Schemes, func(s restoration.Scheme) bool { return s.Name == name })
	return c.told.Schemes[i]
}

func (w *world) ownScheme(c *carPlay) restoration.Scheme {
	f := c.finish
	s := restoration.Scheme{ID: int64(c.index) + 1, CarID: c.told.Car.ID, ClearCoats: f.coats, BuildUM: f.build, FloorUM: f.floor,
		Gloss: &colour.Gloss{GU: f.gloss, Angle: 20}, GroundLot: w.inUse[shelf{paint: f.ground, car: c.index + 1}]}
	if lab, err := colour.LabOfHex(c.told.Car.Ground); err == nil && !f.sparse {
		s.Ground = &colour.Lab{L: tenth(lab.L), A: tenth(lab.A), B: tenth(lab.B)}
	}
	s.Materials = map[coating.Layer]int64{coating.Primer: paintEpoxy, coating.Filler: paintFiller,
		coating.Ground: f.ground, coating.Grain: paintGrain, coating.Clear: f.clear}
	return s
}

// judged gives the facts that the shop would find for an entry, as the store will when
// the tale is loaded; nil where the film is not asked.
func (w *world) judged(c *carPlay, e restoration.Event) *restoration.Facts {
	p, ok := c.book.Piece(e.PieceID)
	if !ok || !restoration.NeedsFacts(p, w.route, e) {
		return nil
	}
	sc := restoration.FilmScene{Film: w.settings.Film, Units: w.settings.Units, Scheme: c.schemeOf(slices.Index(c.ids, p.ID)), Agreed: true,
		Deeds: c.film[p.ID], Colours: c.colours(p)}
	if e.Coat != nil {
		sc.Material = &w.paints[e.Coat.Material-1]
		for _, use := range e.Coat.Lots {
			sc.Lots = append(sc.Lots, w.tins[use.Lot-1])
		}
	}
	return restoration.Judge(p, w.route, e, sc)
}

// colours are the grounds of the set's other pieces, the latest reading of each.
func (c *carPlay) colours(p restoration.Piece) (list []colour.Sample) {
	if p.Set == "" {
		return nil
	}
	for i, id := range c.ids {
		if other := c.told.Pieces[i]; other.Set != p.Set || id == p.ID {
			continue
		}
		for _, d := range slices.Backward(c.film[id]) {
			if d.Kind == restoration.KindReading && d.Reading.Kind == restoration.ReadColour {
				list = append(list, colour.Sample{Key: id.String(), Name: c.told.Pieces[i].Name, Lab: *d.Reading.Lab})
				break
			}
		}
	}
	return list
}

// film adds what an applied entry did to the film of its piece.
func (w *world) film(c *carPlay, e restoration.Event) {
	p, ok := c.book.Piece(e.PieceID)
	if !ok {
		return
	}
	d, ok := restoration.DeedOf(p, e)
	if !ok {
		return
	}
	c.film[p.ID] = restoration.ByHour(append(c.film[p.ID], d))
	for _, use := range d.Lots {
		w.tins[use.Lot-1].LeftML -= use.ML
	}
}

// clear is the film of a piece as it stands.
func (w *world) clear(c *carPlay, i int) coating.Film {
	sc := restoration.FilmScene{Film: w.settings.Film, Scheme: c.schemeOf(i)}
	return restoration.FilmOf(c.piece(i), w.route, c.film[c.ids[i]], sc.Policy())
}

// read enters a reading of a piece.
func (w *world) read(c *carPlay, i int, person int64, at time.Time, r restoration.Reading, batch restoration.ID) {
	w.enter(c, restoration.Event{Kind: restoration.KindReading, PieceID: c.ids[i], PersonID: person, DeviceID: tablet, At: at,
		Payload: restoration.Payload{Reading: &r, Batch: batch}})
}

// spot is the marked place at which the film of every piece is measured.
const spot = "Crest"

// gauge gives three readings about a film, as an instrument shows them.
func (w *world) gauge(um float64, baseline bool) restoration.Reading {
	r := restoration.Reading{Kind: restoration.ReadFilm, Spot: spot, Baseline: baseline}
	for range coating.ReadingsPerSpot {
		r.FilmUM = append(r.FilmUM, math.Round(um+w.rnd.NormFloat64()))
	}
	return r
}

// base is the film that was measured on a piece before its clear; false when none was.
func (w *world) base(c *carPlay, i int) (um float64, ok bool) {
	for _, s := range w.clear(c, i).Spots {
		if s.Name == spot && s.Based {
			return s.BaseUM, true
		}
	}
	return 0, false
}

// readColour measures the ground of a piece before it is grained.
func (w *world) readColour(h *hand, at time.Time) {
	j := h.job
	target := j.car.schemeOf(j.piece).Ground
	if target == nil {
		return
	}
	about := func(v float64) float64 { return tenth(v + 0.4*w.rnd.Float64() - 0.2) }
	lab := colour.Lab{L: about(target.L), A: about(target.A), B: about(target.B)}
	if w.isOdd(j) {
		lab = colour.Lab{L: tenth(target.L - 1.3), A: tenth(target.A + 0.8), B: tenth(target.B - 0.8)}
	}
	w.read(j.car, j.piece, h.person, at, restoration.Reading{Kind: restoration.ReadColour, Lab: &lab}, restoration.ID{})
}
