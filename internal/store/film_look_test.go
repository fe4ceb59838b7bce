package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
)

func TestCautionsAreSeenByPersonAndStage(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	tom := h.technician(t, "Tom")
	morning := h.clock.Now()
	require.NoError(t, h.SeeCautions(ctx, h.by, "Primed", time.Time{}))
	h.clock.advance(time.Hour)
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cleared", time.Time{}))
	require.NoError(t, h.SeeCautions(ctx, restoration.Actor{PersonID: tom.ID}, "Primed", time.Time{}))
	h.clock.advance(time.Hour)
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cleared", time.Time{}))
	seen, err := h.CautionsSeen(ctx, h.owner.ID, morning)
	require.NoError(t, err)
	require.Equal(t, map[string]time.Time{"Primed": morning, "Cleared": morning.Add(2 * time.Hour)}, seen)
	seen, err = h.CautionsSeen(ctx, h.owner.ID, morning.Add(time.Second))
	require.NoError(t, err)
	require.Equal(t, map[string]time.Time{"Cleared": morning.Add(2 * time.Hour)}, seen)
}

func TestWhatWasCutIsLookedAtAgain(t *testing.T) {
	t.Parallel()
	s, ctx := newPaintShop(t), t.Context()
	s.mustEnter(t, s.tick(s.step, 30))
	s.clock.advance(7 * 24 * time.Hour)
	cut := s.clock.Now()
	done := s.tick(stepOf(s.piece, "cut"), 30)
	done.Checks = append(done.Checks, restoration.CheckScuffed)
	s.mustEnter(t, done)
	list := func() []restoration.CutPiece {
		pieces, err := s.LookAgain(ctx, cut, cut.Add(time.Hour))
		require.NoError(t, err)
		return pieces
	}
	car, err := s.FindCarByID(ctx, s.piece.CarID)
	require.NoError(t, err)
	require.Equal(t, []restoration.CutPiece{{PieceID: s.piece.ID, Piece: "Ash tray", WorkOrder: car.WorkOrder, CutAt: cut}}, list())
	gloss := restoration.Reading{Kind: restoration.ReadGloss, Gloss: &colour.Gloss{GU: 88, Angle: 20}}
	s.clock.advance(restoration.DieBackAfter - time.Second)
	s.mustEnter(t, s.reading(gloss))
	require.Len(t, list(), 1, "too soon to tell")
	s.clock.advance(time.Second)
	s.mustEnter(t, s.reading(gloss))
	require.Empty(t, list())
}

func TestWhatWasLetThroughOfTheFilm(t *testing.T) {
	t.Parallel()
	s, ctx := newPaintShop(t), t.Context()
	from := s.clock.Now()
	unknown, struck := s.coat(2), s.coat(3)
	for _, e := range []*restoration.Event{&unknown, &struck} {
		e.Coat.Material, e.Coat.Lots, e.Reason = 0, nil, "the customer's own paint"
	}
	s.mustEnter(t, s.coat(1), unknown, struck, s.strike(struck.ID))
	s.clock.advance(24 * time.Hour)
	light, through := s.pass("P1500"), s.pass("P800")
	light.Cut.Off, through.Cut.Off = new(coating.Exactly(1)), new(coating.Exactly(500))
	s.mustEnter(t, light, through)
	entries, err := s.FilmOverrides(ctx, from)
	require.NoError(t, err)
	require.Len(t, entries, 2)
	require.Equal(t, []restoration.ID{through.ID, unknown.ID}, []restoration.ID{entries[0].Event.ID, entries[1].Event.ID})
	entries, err = s.FilmOverrides(ctx, s.clock.Now().Add(time.Second))
	require.NoError(t, err)
	require.Empty(t, entries)
}

// The example clear's sheet says 55–68 µm wet. What was found at its hour stays, whatever the
// sheet says since, and it is no override: nobody was asked.
func TestAWetFilmBeyondTheSheetIsKept(t *testing.T) {
	t.Parallel()
	s, ctx := newPaintShop(t), t.Context()
	from := s.clock.Now()
	thick := s.coat(1)
	thick.Coat.WetUM = new(75.0)
	thick.Facts = &restoration.Facts{} // what a tablet says of facts counts for nothing
	s.mustEnter(t, thick)
	sheet := s.clear
	sheet.WetUM.High = 80
	_, err := s.SaveMaterial(ctx, s.by, sheet)
	require.NoError(t, err)

	entries, err := s.History(ctx, restoration.HistoryFilter{PieceID: s.piece.ID, Limit: 1})
	require.NoError(t, err)
	require.Equal(t, []string{"75 µm wet is thicker than the sheet: 55–68 µm."}, entries[0].Event.Facts.Warnings)
	require.Empty(t, entries[0].Event.Facts.Needs)
	overrides, err := s.FilmOverrides(ctx, from)
	require.NoError(t, err)
	require.Empty(t, overrides)
	s.requireSound(t)
}
