package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// someReadings are readings of every kind on each piece, among them a doubtful one that
// is refused and one that comes twice.
func someReadings(h house, pieces []restoration.Piece, each int) []restoration.Event {
	var events []restoration.Event
	for i := range each {
		for _, p := range pieces {
			e := h.entry(restoration.KindReading, restoration.ID{})
			e.PieceID = p.ID
			switch i % 3 {
			case 0:
				e.Reading = &restoration.Reading{Kind: restoration.ReadGloss, Gloss: &colour.Gloss{GU: float64(80 + i%10), Angle: 60}}
			case 1:
				e.Reading = &restoration.Reading{Kind: restoration.ReadColour, Lab: &colour.Lab{L: float64(40 + i%10), A: 10, B: 20}}
			case 2:
				e.Reading = &restoration.Reading{Kind: restoration.ReadFilm, Spot: "A", FilmUM: []float64{200, 201, 202}}
			}
			events = append(events, e)
		}
	}
	events[2*len(pieces)].Reading.FilmUM[0] = 9000
	return append(events, events[0])
}

// What is entered together is what would have been entered one by one.
func TestReadingsTogetherAreReadingsOneByOne(t *testing.T) {
	t.Parallel()
	single, together := newPaintShop(t), newPaintShop(t)
	kept := func(s paintShop, enter func([]restoration.Event) ([]restoration.Outcome, error)) ([]restoration.Outcome, []restoration.Deed, []restoration.Facts) {
		s.mustEnter(t, s.coat(1))
		events := someReadings(s.house, []restoration.Piece{s.piece, {ID: newID()}}, 12)
		outcomes, err := enter(events)
		require.NoError(t, err)
		again, err := enter(events)
		require.NoError(t, err)
		require.Equal(t, outcomes, again, "the same id gets the same answer")
		film := s.film(t)
		for i := range film {
			film[i].EventID, film[i].PieceID, film[i].StepID, film[i].PersonID = restoration.ID{}, restoration.ID{}, restoration.ID{}, 0
			film[i].At = time.Time{}
			film[i].Lots, film[i].Material = nil, 0
		}
		history, err := s.History(t.Context(), restoration.HistoryFilter{PieceID: s.piece.ID, Limit: 20})
		require.NoError(t, err)
		var facts []restoration.Facts
		for _, e := range history {
			if e.Event.Facts != nil && e.Event.Kind == restoration.KindReading {
				facts = append(facts, *e.Event.Facts)
			}
		}
		s.requireSound(t)
		return outcomes, film, facts
	}
	wantOut, wantFilm, wantFacts := kept(single, func(e []restoration.Event) ([]restoration.Outcome, error) { return single.Enter(t.Context(), e) })
	out, film, facts := kept(together, func(e []restoration.Event) ([]restoration.Outcome, error) {
		return together.EnterReadings(t.Context(), e)
	})
	require.Equal(t, wantOut, out)
	require.Equal(t, wantFilm, film)
	require.Equal(t, wantFacts, facts)
	require.Len(t, film, 12, "a coat and eleven readings, one of twelve was refused")
	require.Len(t, facts, 12)
}

// However many readings a piece has, they take the same round trips.
func TestWhatReadingsTogetherAskOfTheDatabase(t *testing.T) {
	t.Parallel()
	var count trips
	clock := &handClock{now: time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)}
	h := house{Store: storetest.Open(t, storetest.URL(t), store.Options{Now: clock.Now, Tracer: &count, MaxConns: 1}), clock: clock}
	owner, err := h.CreateOwner(t.Context(), "Olga Reuter", "a hash")
	require.NoError(t, err)
	h.owner, h.by = owner, restoration.Actor{PersonID: owner.ID}
	pieces := h.pieces(t, h.car(t, "26-014", "1936 Brennick Eight", "", "Cap", "Ash tray"))
	enter := func(each int) int64 {
		count.n.Store(0)
		_, err := h.EnterReadings(t.Context(), someReadings(h, pieces, each))
		require.NoError(t, err)
		return count.n.Load()
	}
	enter(3) // the route is known from now on
	require.Equal(t, int64(2*6), enter(3))
	require.Equal(t, int64(2*6), enter(300))
}

func TestEnterReadingsTakesReadingsOnly(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	_, err := s.EnterReadings(t.Context(), []restoration.Event{s.tick(s.step, 15)})
	require.ErrorContains(t, err, "is no reading but a tick")
}

// A reading that was struck out or refused is spent; one that stands is known.
func TestReadingIDs(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	struck, stands := s.reading(restoration.Reading{Kind: restoration.ReadFilm, FilmUM: []float64{120, 121, 122}}),
		s.reading(restoration.Reading{Kind: restoration.ReadFilm, FilmUM: []float64{120, 121, 123}})
	refused := s.reading(restoration.Reading{Kind: restoration.ReadFilm, FilmUM: []float64{9000, 121, 123}})
	_, err := s.EnterReadings(t.Context(), []restoration.Event{struck, stands, refused})
	require.NoError(t, err)
	s.mustEnter(t, s.strike(struck.ID))
	known, spent, err := s.ReadingIDs(t.Context(), s.piece.CarID)
	require.NoError(t, err)
	require.Equal(t, []restoration.ID{stands.ID}, known)
	require.ElementsMatch(t, []restoration.ID{struck.ID, refused.ID}, spent)
}

// 10,000 readings of gloss and colour, on one piece and on twenty.
func BenchmarkEnterReadings(b *testing.B) {
	for name, n := range map[string]int{"on one piece": 1, "on twenty pieces": 20} {
		b.Run(name, func(b *testing.B) {
			h := newHouse(b)
			names := make([]string, n)
			for i := range names {
				names[i] = "Cap " + string(rune('A'+i))
			}
			pieces := h.pieces(b, h.car(b, "26-014", "1936 Brennick Eight", "", names...))
			for b.Loop() {
				b.StopTimer()
				var events []restoration.Event
				for i, e := range someReadings(h, pieces, 15_000/n) {
					if i/n%3 != 2 {
						events = append(events, e)
					}
				}
				b.StartTimer()
				_, err := h.EnterReadings(b.Context(), events[:10_000])
				require.NoError(b, err)
			}
		})
	}
}
