package store_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/internal/store/storetest"
)

// The example clear is 2 : 1 + 5 % of 56 and 58 % solids: (2 × 0.56 + 0.58) ÷ 3.15 = 0.5397,
// so that 60 µm wet leave 32.38 µm. Of 63 mL, 2 ÷ 3.15 are paint: 40 mL.
func TestACoatIsKeptWithItsFilmAndItsTin(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	first, second := s.coat(1), s.coat(2)
	s.mustEnter(t, first)
	s.clock.advance(20 * time.Minute)
	second.At = s.clock.Now()
	s.mustEnter(t, second)

	deeds := s.film(t)
	require.Len(t, deeds, 2)
	require.Equal(t, []restoration.ID{first.ID, second.ID}, []restoration.ID{deeds[0].EventID, deeds[1].EventID})
	require.InDelta(t, 32.38, deeds[0].Film.Likely, .01)
	require.InDelta(t, 32.38*.9, deeds[0].Film.Low, .01, "a comb is believed to a tenth")
	require.Equal(t, "Example clear, two-part", deeds[0].Name)
	require.Equal(t, "Olga Reuter", deeds[0].Person)
	require.InDelta(t, 1000-2*40, s.left(t), 1e-9)
	require.InDelta(t, 2*32.38, s.kept(t).Clear.Likely, .01)

	step := stepOf(s.house.piece(t, s.piece.ID), "cleared")
	require.Equal(t, restoration.StepInHand, step.State)
	require.Equal(t, second.At, step.CoatedAt)
	require.Equal(t, restoration.Minutes(20*60), step.CoatWaits.Sand)
	car, err := s.CarFilm(t.Context(), s.piece.CarID)
	require.NoError(t, err)
	require.Equal(t, deeds, car)

	s.mustEnter(t, s.strike(second.ID))
	require.Len(t, s.film(t), 1)
	require.InDelta(t, 1000-40, s.left(t), 1e-9, "a strike gives the tin back what it took")
	require.InDelta(t, 32.38, s.kept(t).Clear.Likely, .01)
	require.Equal(t, first.At, stepOf(s.house.piece(t, s.piece.ID), "cleared").CoatedAt)
	require.Equal(t, restoration.Refused, s.enter(t, s.strike(second.ID))[0].Result)
	s.mustEnter(t, s.strike(first.ID))
	require.Empty(t, s.film(t))
	require.InDelta(t, 1000, s.left(t), 1e-9)
	require.Zero(t, s.kept(t))
	s.requireSound(t)
}

func TestPassesAndReadingsAreKept(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	base := restoration.Reading{Kind: restoration.ReadFilm, Spot: "A", Baseline: true, FilmUM: []float64{100, 100, 100}}
	s.mustEnter(t, s.reading(base), s.coat(1), s.coat(2))
	third := s.coat(3)
	third.Reason = "thick on purpose"
	s.mustEnter(t, third)
	estimate := s.kept(t)
	require.False(t, estimate.ByGauge)
	s.mustEnter(t, s.pass("P1500"))
	require.Less(t, s.kept(t).Clear.Likely, estimate.Clear.Likely)

	s.clock.advance(time.Hour)
	after := restoration.Reading{Kind: restoration.ReadFilm, Spot: "A", FilmUM: []float64{186, 187, 188}}
	gloss := restoration.Reading{Kind: restoration.ReadGloss, Gloss: &colour.Gloss{GU: 88, Angle: 20}}
	lab := restoration.Reading{Kind: restoration.ReadColour, Lab: &colour.Lab{L: 41, A: 14, B: 22}, UnderClear: true}
	s.mustEnter(t, s.reading(after), s.reading(gloss), s.reading(lab))
	film := s.kept(t)
	require.True(t, film.ByGauge)
	require.InDelta(t, 87, film.Clear.Likely, 1e-9, "187 now − 100 before the first clear")
	require.InDelta(t, film.Clear.Low-restoration.StockFloorUM, film.MayGoUM, 1e-9)

	var read []restoration.Reading
	for _, d := range s.film(t) {
		if d.Kind == restoration.KindReading {
			read = append(read, *d.Reading)
		}
	}
	require.ElementsMatch(t, []restoration.Reading{base, after, gloss, lab}, read)
	s.requireSound(t)
}

func TestTheFilmKeptIsThatOfTheRows(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	second := s.coat(2)
	second.Reason = "a test of what holds"
	s.mustEnter(t, s.coat(1), s.pass("P1500"), second, s.pass("P2000"))
	p := s.house.piece(t, s.piece.ID)
	scene, err := s.FilmScene(t.Context(), p.ID)
	require.NoError(t, err)
	whole := restoration.FilmOf(p, restoration.StockRoute(), scene.Deeds, scene.Policy())
	kept := s.kept(t)
	require.Equal(t, whole.Clear, kept.Clear)
	require.Equal(t, whole.CutAway, kept.CutAway)
	require.Equal(t, []any{whole.MayGoUM, whole.NearFloor, whole.BelowFloor, whole.Built, whole.Known()},
		[]any{kept.MayGoUM, kept.NearFloor, kept.BelowFloor, kept.Built, kept.Known()})
	_, err = s.FilmScene(t.Context(), newID())
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such piece")
}

func TestASendBackTakesTheFilmOff(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	s.mustEnter(t, s.coat(1), s.coat(2))
	s.mustEnter(t, s.sendBack("grounded", "lifting"))
	require.Zero(t, s.kept(t), "the coats lie under the new ground")
	require.Len(t, s.film(t), 2, "they were sprayed all the same")
	s.requireSound(t)
}

func TestAnEntryOfTheFilmTwice(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	coat, reading := s.coat(1), s.reading(restoration.Reading{Kind: restoration.ReadFilm, FilmUM: []float64{1, 2, 3}})
	first := s.enter(t, coat, reading)
	require.Equal(t, first, s.enter(t, coat, reading))
	require.Len(t, s.film(t), 2)
	require.InDelta(t, 960, s.left(t), 1e-9)
	other := coat
	more := *coat.Coat
	more.ML = 64
	other.Coat = &more
	require.Contains(t, s.enter(t, other)[0].Reason, "already used for another entry")
	s.requireSound(t)
}

func TestTwoTabletsAtOnceOnOneFilm(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	same := s.coat(1)
	same.Reason = "thick on purpose" // five coats are more than one session holds
	var g errgroup.Group
	for i := range 8 {
		e := same
		if i >= 4 {
			e = s.coat(i)
			e.Reason = same.Reason
		}
		g.Go(func() error {
			out, err := s.Enter(t.Context(), []restoration.Event{e})
			if err == nil && out[0].Result != restoration.Applied {
				t.Error(out[0].Reason)
			}
			return err
		})
	}
	require.NoError(t, g.Wait())
	require.Len(t, s.film(t), 5)
	require.InDelta(t, 1000-5*40, s.left(t), 1e-9)
	require.InDelta(t, 5*32.38, s.kept(t).Clear.Likely, .05)
	s.requireSound(t)
}

// Whichever tin an entry names first, it takes hold of them in one order: of two entries
// neither waits for the other's second tin.
func TestTinsAreLockedInOneOrder(t *testing.T) {
	t.Parallel()
	url, ctx := storetest.URL(t), t.Context()
	s := paint(t, houseAt(t, url))
	hardener, err := s.SaveLot(ctx, s.by, restoration.Lot{Material: s.clear.ID, Part: 1, Number: "H-1", AmountML: 1000})
	require.NoError(t, err)
	super := storetest.Superuser(t, url)
	other, err := super.Begin(ctx)
	require.NoError(t, err)
	_, err = other.Exec(ctx, `UPDATE lots SET used_ml = 100 WHERE id = $1`, hardener.ID)
	require.NoError(t, err)

	coat := s.coat(1)
	coat.Coat.Lots = []restoration.LotUse{{Lot: hardener.ID}, {Lot: s.tin.ID}}
	var g errgroup.Group
	g.Go(func() error {
		_, err := s.Enter(ctx, []restoration.Event{coat})
		return err
	})
	require.Eventually(t, func() bool {
		waits := false
		err := other.QueryRow(ctx, `SELECT EXISTS (SELECT FROM pg_stat_activity
			WHERE datname = current_database() AND wait_event_type = 'Lock')`).Scan(&waits)
		return err == nil && waits
	}, time.Minute, 5*time.Millisecond)
	_, err = other.Exec(ctx, `SELECT FROM lots WHERE id = $1 FOR UPDATE NOWAIT`, s.tin.ID)
	require.ErrorContains(t, err, "could not obtain lock", "the tin of the lower number is held already")
	require.NoError(t, other.Rollback(ctx))
	require.NoError(t, g.Wait())
	s.requireSound(t)
}

func TestRefusedFilmIsKeptAndLeavesNoRow(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	bare := s.onePiece(t, "")
	early := s.coat(1)
	early.StepID = stepOf(bare, "cleared").ID
	unknown := s.coat(1)
	unknown.Coat.Material, unknown.Coat.Lots = 4711, nil
	unknownTin := s.coat(1)
	unknownTin.Coat.Lots = []restoration.LotUse{{Lot: 4711}}
	for name, c := range map[string]struct {
		event restoration.Event
		says  string
	}{
		"a coat too early":           {early, "comes first"},
		"a material of no list":      {unknown, "not on the shop's list"},
		"a tin of no list":           {unknownTin, "not on the shop's list"},
		"a spot's name too long":     {s.reading(restoration.Reading{Kind: restoration.ReadFilm, Spot: strings.Repeat("x", 61), FilmUM: []float64{1, 2, 3}}), ""},
		"a reading of nothing":       {s.reading(restoration.Reading{Kind: restoration.ReadFilm}), ""},
		"a reading of no kind":       {s.reading(restoration.Reading{Kind: "weight"}), ""},
		"a grade too long":           {s.pass(strings.Repeat("P", 21)), ""},
		"less than nothing in a gun": {func() restoration.Event { e := s.coat(1); e.Coat.ML = -1; return e }(), ""},
		"coat nought":                {s.coat(0), ""},
		"a strike of what never was": {s.strike(newID()), "no such entry"},
	} {
		out := s.enter(t, c.event)[0]
		require.Equal(t, restoration.Refused, out.Result, name)
		require.Contains(t, out.Reason, c.says, name)
		require.Equal(t, out, s.enter(t, c.event)[0], name)
		require.Equal(t, c.event.ID, s.history(t, restoration.HistoryFilter{RefusedOpen: true, Limit: 1})[0].Event.ID, name)
	}
	require.Empty(t, s.film(t))
	odd := s.reading(restoration.Reading{Kind: restoration.ReadFilm, FilmUM: []float64{1, 2, 3}, Gloss: &colour.Gloss{GU: -1, Angle: 1 << 40}})
	s.mustEnter(t, odd)
	require.Nil(t, s.film(t)[0].Reading.Gloss, "what a film reading says of gloss is left aside")
	s.mustEnter(t, s.strike(odd.ID))
	unknown.ID, unknown.Reason = newID(), "the customer's own paint"
	s.mustEnter(t, unknown)
	require.Zero(t, s.film(t)[0].Material, "with a reason it is let through")
	s.requireSound(t)
}

func TestNULInTheFilmIsDropped(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	pass, reading := s.pass("P15\x0000"), s.reading(restoration.Reading{Kind: restoration.ReadFilm, Spot: "lower\x00 edge", FilmUM: []float64{1, 2, 3}})
	pass.Checks = []string{"clean\x00"}
	s.mustEnter(t, pass, reading)
	require.Equal(t, "P15\x0000", pass.Cut.Grade, "what the caller holds is left alone")
	for _, d := range s.film(t) {
		if d.Kind == restoration.KindCutPass {
			require.Equal(t, "P1500", d.Name)
		} else {
			require.Equal(t, "lower edge", d.Reading.Spot)
		}
	}
	s.mustEnter(t, pass, reading)
	s.requireSound(t)
}

func TestEverythingFromOneTin(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	other := paintShop{house: s.house, clear: s.clear, tin: s.tin, piece: s.upTo(t, s.onePiece(t, "").ID, restoration.LookCleared)}
	other.step = stepOf(other.piece, "cleared")
	one, two := s.coat(1), other.coat(1)
	two.Batch, two.At = newID(), one.At.Add(time.Second)
	elsewhere := s.coat(2)
	elsewhere.Coat.Lots = []restoration.LotUse{{Lot: s.lot(t, s.clear, "C-2").ID}}
	s.clock.advance(time.Minute)
	s.mustEnter(t, one, two, elsewhere)
	deeds, err := s.LotFilm(t.Context(), s.tin.ID)
	require.NoError(t, err)
	require.Len(t, deeds, 2)
	require.Equal(t, []restoration.ID{s.piece.ID, other.piece.ID}, []restoration.ID{deeds[0].PieceID, deeds[1].PieceID})
	require.InDelta(t, 40, deeds[0].Lots[0].ML, 1e-9)
	require.Equal(t, two.Batch, deeds[1].Batch)
	s.requireSound(t)
}

// A tin has 1,000 mL; 40 of them a coat.
func TestATinThatRunsOutAsksForAReason(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	e := s.coat(1)
	e.Coat.Lots[0].ML = 990
	s.mustEnter(t, e)
	require.Contains(t, s.enter(t, s.coat(2))[0].Reason, "holds less than this takes")
	e = s.coat(2)
	e.Reason = "the tin held more than it says"
	s.mustEnter(t, e)
	require.InDelta(t, -30, s.left(t), 1e-9)
	require.Contains(t, s.enter(t, s.coat(3))[0].Reason, "empty by the book")
	s.requireSound(t)
}

func TestASchemeSavedTwice(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	v := restoration.StockScheme(s.piece.CarID, "")
	v.Gloss, v.Ground = &colour.Gloss{GU: 90, Angle: 20}, &colour.Lab{L: 41, A: 14, B: 22}
	v.Materials, v.GroundLot = map[coating.Layer]int64{coating.Clear: s.clear.ID}, s.tin.ID
	first, err := s.SaveScheme(t.Context(), s.by, v)
	require.NoError(t, err)
	v.ClearCoats, v.FloorUM, v.Gloss = 2, 60, nil
	second, err := s.SaveScheme(t.Context(), s.by, v)
	require.NoError(t, err)
	v.ID = first.ID
	require.Equal(t, v, second)
	list, err := s.Schemes(t.Context(), s.piece.CarID)
	require.NoError(t, err)
	require.Equal(t, []restoration.Scheme{v}, list)
	rows, err := s.Audit(t.Context(), restoration.AuditFilter{Acts: []restoration.Act{restoration.ActSaveScheme}})
	require.NoError(t, err)
	require.Len(t, rows, 2)
	require.Contains(t, rows[0].Before, `"FloorUM": 50`)
	require.Contains(t, rows[0].After, `"FloorUM": 60`)

	s.mustEnter(t, s.coat(1))
	out := s.enter(t, s.tick(s.step, 30))[0]
	require.Contains(t, out.Reason, "asks for 2 coats of clear, 1 are logged")
	require.InDelta(t, s.kept(t).Clear.Low-60, s.kept(t).MayGoUM, 1e-9, "the film is measured against the new floor")
	v.CarID = 4711
	_, err = s.SaveScheme(t.Context(), s.by, v)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such car")
	s.requireSound(t)
}
