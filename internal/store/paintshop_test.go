package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// paintShop is a house with one piece that comes to be cleared next, the example clear
// and 1,000 mL of its paint.
type paintShop struct {
	house
	piece restoration.Piece
	step  restoration.Step // cleared
	clear restoration.Material
	tin   restoration.Lot
}

func newPaintShop(t testing.TB) paintShop {
	t.Helper()
	return paint(t, newHouse(t))
}

func paint(t testing.TB, h house) paintShop {
	t.Helper()
	s := paintShop{house: h}
	s.piece = h.upTo(t, h.onePiece(t, "").ID, restoration.LookCleared)
	s.step = stepOf(s.piece, "cleared")
	s.clear = h.material(t, "Example clear, two-part")
	s.tin = h.lot(t, s.clear, "C-1")
	return s
}

func stepOf(p restoration.Piece, stage string) restoration.Step {
	for _, s := range p.Steps {
		if s.Stage == stage && s.Current() {
			return s
		}
	}
	return restoration.Step{}
}

// upTo ticks the steps of a piece until the one of a look comes next.
func (h house) upTo(t testing.TB, id restoration.ID, look restoration.Look) restoration.Piece {
	t.Helper()
	p := h.piece(t, id)
	for _, s := range p.Steps {
		if stage, _ := restoration.StockRoute().Stage(s.Stage); stage.Look == look {
			break
		}
		e := h.tick(s, 30)
		e.Checks = append(e.Checks, restoration.CheckScuffed)
		h.mustEnter(t, e)
		h.clock.advance(7 * 24 * time.Hour)
	}
	return h.piece(t, id)
}

// material finds one of the materials that every shop starts with.
func (h house) material(t testing.TB, name string) restoration.Material {
	t.Helper()
	list, err := h.Materials(t.Context())
	require.NoError(t, err)
	for _, m := range list {
		if m.Name == name {
			return m
		}
	}
	require.Fail(t, "no such material", name)
	return restoration.Material{}
}

func (h house) lot(t testing.TB, m restoration.Material, number string) restoration.Lot {
	t.Helper()
	l, err := h.SaveLot(t.Context(), h.by, restoration.Lot{Material: m.ID, Number: number, AmountML: 1000})
	require.NoError(t, err)
	return l
}

// coat is a coat of clear, 60 µm wet, 63 mL of it from the tin.
func (s paintShop) coat(number int) restoration.Event {
	e := s.entry(restoration.KindCoat, s.step.ID)
	air := 20.0
	e.Checks = []string{restoration.CheckScuffed}
	e.Coat = &restoration.Coat{Number: number, Material: s.clear.ID, Lots: []restoration.LotUse{{Lot: s.tin.ID}}, WetUM: new(60.0), ML: 63,
		Air: &restoration.AirWords{AirC: &air}}
	return e
}

// pass is one cutting pass, which the coat before needn't be hard for.
func (s paintShop) pass(grade string) restoration.Event {
	e := s.entry(restoration.KindCutPass, s.step.ID)
	e.Reason = "the coat is hard by the nail"
	e.Cut = &restoration.CutPass{Grade: grade, Wet: true}
	return e
}

func (s paintShop) reading(r restoration.Reading) restoration.Event {
	e := s.entry(restoration.KindReading, restoration.ID{})
	e.PieceID, e.Reading = s.piece.ID, &r
	return e
}

func (s paintShop) strike(what restoration.ID) restoration.Event {
	e := s.entry(restoration.KindStrike, restoration.ID{})
	e.PieceID, e.Ref, e.Reason = s.piece.ID, what, "entered on the wrong piece"
	return e
}

func (s paintShop) sendBack(stage, defect string) restoration.Event {
	e := s.entry(restoration.KindSendBack, restoration.ID{})
	e.PieceID, e.Stage, e.Defect = s.piece.ID, stage, defect
	return e
}

func (s paintShop) film(t testing.TB) []restoration.Deed {
	t.Helper()
	deeds, err := s.Film(t.Context(), s.piece.ID)
	require.NoError(t, err)
	return deeds
}

func (s paintShop) left(t testing.TB) float64 {
	t.Helper()
	l, err := s.FindLot(t.Context(), s.tin.ID)
	require.NoError(t, err)
	return l.LeftML
}

// kept is the film of the piece in the list of the whole shop.
func (s paintShop) kept(t testing.TB) coating.Film {
	t.Helper()
	films, err := s.ShopFilm(t.Context())
	require.NoError(t, err)
	for _, f := range films {
		if f.PieceID == s.piece.ID {
			return f.Film
		}
	}
	return coating.Film{}
}
