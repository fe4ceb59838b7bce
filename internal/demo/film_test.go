package demo_test

import (
	"slices"
	"strings"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/demo"
	"scumble/internal/restoration"
)

// shop is the film of the tale, gathered from its entries.
type shop struct {
	tale  demo.Tale
	books []*restoration.Book
	film  map[restoration.ID][]restoration.Deed // by piece
	tins  map[int64]restoration.Lot
}

func gather(t require.TestingT, tale demo.Tale, books []*restoration.Book) shop {
	s := shop{tale: tale, books: books, film: map[restoration.ID][]restoration.Deed{}, tins: map[int64]restoration.Lot{}}
	for _, a := range tale.Acts {
		if a.Kind == demo.ActTin {
			left := a.Lot.AmountML
			if known, ok := s.tins[a.Lot.ID]; ok {
				left = known.LeftML
			}
			a.Lot.LeftML = left
			s.tins[a.Lot.ID] = a.Lot
		}
		if a.Kind != demo.ActEnter || a.Refuse {
			continue
		}
		p, _ := books[a.Car].Piece(a.Event.PieceID)
		d, ok := restoration.DeedOf(p, a.Event)
		if !ok {
			continue
		}
		s.film[p.ID] = append(s.film[p.ID], d)
		for _, use := range d.Lots {
			tin, ok := s.tins[use.Lot]
			require.True(t, ok, "tin %d is on the shelf before it is used", use.Lot)
			tin.LeftML -= use.ML
			s.tins[use.Lot] = tin
		}
	}
	return s
}

// requireFilm: whenever the demo is started, the film has what it is there to show.
func requireFilm(t require.TestingT, tale demo.Tale, books []*restoration.Book, now time.Time) {
	s := gather(t, tale, books)
	s.requireCoats(t)
	s.requireThin(t)
	s.requireBatch(t, now)
	s.requireShut(t, now)
	s.requireOdd(t)
	s.requireTins(t, now)
	s.requireShort(t, now)
	s.requireSchemes(t)
	s.requireCutThrough(t, now)
}

// requireCoats: coats have their air, sessions are flatted between, batches share an id.
func (s shop) requireCoats(t require.TestingT) {
	batches := map[restoration.ID]int{}
	kinds, grades, reads := map[restoration.Kind]int{}, map[string]int{}, map[restoration.ReadingKind]int{}
	lacquer := 0
	for _, a := range s.tale.Acts {
		e := a.Event
		kinds[e.Kind]++
		switch {
		case e.Coat != nil:
			require.NotNil(t, e.Coat.Air)
			require.Empty(t, e.Facts.Asks)
			lacquer = max(lacquer, e.Coat.Number)
			if !e.Batch.IsZero() {
				batches[e.Batch]++
			}
		case e.Cut != nil:
			grades[e.Cut.Grade]++
		case e.Reading != nil:
			reads[e.Reading.Kind]++
		}
	}
	require.Greater(t, kinds[restoration.KindCoat], 800)
	require.Less(t, kinds[restoration.KindCoat], 1800, "the demo must load fast")
	require.Greater(t, len(batches), 20)
	require.Len(t, grades, 5, "flatted with one grade, cut with four")
	require.Len(t, reads, 3)
	require.Equal(t, 30, lacquer)
}

func (s shop) scheme(car int, name string) restoration.Scheme {
	list := s.tale.Cars[car].Schemes
	return list[slices.IndexFunc(list, func(v restoration.Scheme) bool { return v.Name == name })]
}

func (s shop) clear(car int, p restoration.Piece) (nearFloor, below bool) {
	scene := restoration.FilmScene{Film: restoration.StockFilm(), Scheme: s.scheme(car, p.Scheme)}
	film := restoration.FilmOf(p, stockRoute(), s.film[p.ID], scene.Policy())
	return film.NearFloor, film.BelowFloor
}

// requireThin: a piece is near the floor, and not cut yet.
func (s shop) requireThin(t require.TestingT) {
	n := 0
	for i, b := range s.books {
		for _, p := range b.Pieces() {
			if near, _ := s.clear(i, p); near && p.Sum.NextStage == "cut" {
				n++
			}
		}
	}
	require.Positive(t, n, "a piece near the floor before its cut")
}

func (s shop) requireBatch(t require.TestingT, now time.Time) {
	spray := restoration.SprayShop{Routes: map[int64]restoration.Route{1: stockRoute()}, Schemes: map[restoration.SchemeKey]restoration.Scheme{},
		Materials: s.tale.Paints, Film: restoration.StockFilm(), TempC: 20}
	for _, l := range s.tins {
		spray.Lots = append(spray.Lots, l)
	}
	for i, b := range s.books {
		for _, scheme := range s.tale.Cars[i].Schemes {
			spray.Schemes[restoration.KeyOf(scheme)] = scheme
		}
		for _, p := range b.Pieces() {
			if p.Sum.NextStep.IsZero() || p.Holding != nil {
				continue
			}
			spray.Keys = append(spray.Keys, restoration.SprayKey{Car: &b.Car, PieceID: p.ID, StepID: p.Sum.NextStep, RouteID: p.RouteID,
				Scheme: p.Scheme, AreaM2: p.AreaM2, BothM2: p.BothM2, Stage: p.Sum.NextStage, Coats: s.coatsOn(p),
				GateFrom: p.Sum.GateFrom, LateFrom: p.Sum.LateFrom})
		}
	}
	require.True(t, slices.ContainsFunc(restoration.Batches(spray, now, 0), func(b restoration.Batch) bool {
		return b.Look == restoration.LookCleared && b.Ready >= 3 && len(b.Missing) == 0
	}), "several pieces can be cleared together now")
}

func (s shop) coatsOn(p restoration.Piece) (n int) {
	for _, d := range s.film[p.ID] {
		if d.Kind == restoration.KindCoat && d.StepID == p.Sum.NextStep {
			n++
		}
	}
	return n
}

func (s shop) requireShut(t require.TestingT, now time.Time) {
	n := 0
	for _, b := range s.books {
		for _, p := range b.Pieces() {
			if shut := p.Sum.LateFrom; b.Car.State == restoration.CarInWork && !shut.IsZero() && shut.Before(now) {
				n++
			}
		}
	}
	require.Positive(t, n, "a recoat window has shut")
}

// requireOdd: in one set one piece is of another colour.
func (s shop) requireOdd(t require.TestingT) {
	var odd []string
	for i, b := range s.books {
		sets := map[string][]colour.Sample{}
		for _, p := range b.Pieces() {
			for _, d := range slices.Backward(s.film[p.ID]) {
				if p.Set != "" && d.Kind == restoration.KindReading && d.Reading.Kind == restoration.ReadColour {
					sets[p.Set] = append(sets[p.Set], colour.Sample{Key: p.ID.String(), Name: p.Name, Lab: *d.Reading.Lab})
					break
				}
			}
		}
		for set, samples := range sets {
			m := colour.Match(samples, s.scheme(i, "").Ground, colour.DefaultTolerance())
			require.True(t, m.OnTarget, "%s: all near their scheme", set)
			if !m.InSet {
				require.NotNil(t, m.Odd, set)
				odd = append(odd, set)
			}
		}
	}
	require.Len(t, odd, 1)
}

func (s shop) requireTins(t require.TestingT, now time.Time) {
	scraps, stale, hardener := 0, 0, 0
	for _, l := range s.tins {
		require.GreaterOrEqual(t, l.LeftML, 0.0)
		require.Empty(t, l.Check(restoration.Metric))
		require.Equal(t, l.LeftML < l.AmountML, !l.OpenedOn.IsZero(), "%s is open when something was taken", l.Number)
		switch {
		case !l.Closed.IsZero():
		case l.PastDate(now):
			stale++
		case l.LeftML < l.AmountML/10:
			scraps++
		case l.Part > 0 && now.Sub(l.OpenedOn) > 42*24*time.Hour:
			hardener++
		}
	}
	require.Positive(t, scraps, "a tin is all but empty")
	require.Positive(t, stale, "a tin is past its date")
	require.Positive(t, hardener, "a hardener was opened weeks ago")
}

// requireSchemes: every piece's finish is one that its car has agreed, and one that
// names no grain colour is sprayed with none.
func (s shop) requireSchemes(t require.TestingT) {
	plain := 0
	for i, b := range s.books {
		for _, p := range b.Pieces() {
			if _, ok := s.scheme(i, p.Scheme).Materials[coating.Grain]; ok {
				continue
			}
			plain++
			require.False(t, slices.ContainsFunc(s.film[p.ID], func(d restoration.Deed) bool { return d.Layer == coating.Grain }))
		}
	}
	require.Positive(t, plain, "a piece is painted in body colour")
}

// requireShort: the only entry that the film asked a reason for is the clear that was
// ticked a coat short, in the last fortnight.
func (s shop) requireShort(t require.TestingT, now time.Time) {
	var found []restoration.Event
	for _, a := range s.tale.Acts {
		if e := a.Event; e.Facts != nil && len(e.Facts.Needs) > 0 && !a.Refuse {
			found = append(found, e)
		}
	}
	require.Len(t, found, 1)
	require.True(t, strings.HasPrefix(found[0].Reason, "Valleys flat"), found[0].Reason)
	require.Less(t, now.Sub(found[0].At), 14*24*time.Hour)
}

func (s shop) requireCutThrough(t require.TestingT, now time.Time) {
	for i, a := range s.tale.Acts {
		if e := a.Event; e.Kind == restoration.KindSendBack && e.Defect == "cut-through" {
			book := s.books[a.Car]
			p, _ := book.Piece(e.PieceID)
			roll := restoration.SumUp(book.Car.State, []restoration.Piece{p}, nil, now)
			require.Positive(t, roll.ReworkLeft)
			require.True(t, slices.ContainsFunc(s.tale.Acts[:i], func(b demo.Act) bool {
				return b.Event.PieceID == p.ID && b.Event.Cut != nil && len(b.Event.Facts.Warnings) > 0
			}), "the pass before it was warned of")
			return
		}
	}
	require.Fail(t, "no cut-through")
}
