package store_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// Open work comes in parts; its sums are those of all that was chosen, and agree with
// the roll-up.
func TestListWork(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	first := h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Cant rail", "Door cap", "Glove-box door")
	second := h.car(t, "26-015", "1951 Ardwyn Town Saloon", "", "Ash tray", "Window frame")
	pieces := map[string]restoration.Piece{}
	for _, p := range h.pieces(t, first) {
		pieces[p.Name] = p
	}
	tray, rail, door := pieces["Ash tray"], pieces["Cant rail"], pieces["Door cap"]
	h.mustEnter(t, h.tick(tray.Steps[0], 15),
		restoration.Event{ID: newID(), Kind: restoration.KindHold, PieceID: rail.ID, At: h.clock.Now(), Payload: restoration.Payload{Reason: "waits for a clip"}},
		h.entry(restoration.KindStart, door.Steps[0].ID))
	h.clock.advance(time.Minute)
	primed := h.tick(h.piece(t, tray.ID).Steps[1], 0)
	h.mustEnter(t, primed)

	roll, err := h.Roll(ctx, false)
	require.NoError(t, err)
	hand := h.entry(restoration.KindStart, door.Steps[0].ID).PersonID
	for name, tc := range map[string]struct {
		filter restoration.WorkFilter
		want   []string
		left   restoration.Minutes
	}{
		"all":          {restoration.WorkFilter{}, []string{"Ash tray", "Cant rail", "Door cap", "Glove-box door", "Ash tray", "Window frame"}, roll.Total.Left},
		"workable":     {restoration.WorkFilter{Footing: restoration.FootWorkable}, []string{"Door cap", "Glove-box door", "Ash tray", "Window frame"}, roll.Total.Workable},
		"waiting":      {restoration.WorkFilter{Footing: restoration.FootWaiting}, []string{"Ash tray"}, roll.Total.Waiting},
		"held":         {restoration.WorkFilter{Footing: restoration.FootHeld}, []string{"Cant rail"}, roll.Total.Held},
		"in hand":      {restoration.WorkFilter{InHand: true}, []string{"Door cap"}, door.Sum.Left},
		"in his hand":  {restoration.WorkFilter{PersonID: hand}, []string{"Door cap"}, door.Sum.Left},
		"of nobody":    {restoration.WorkFilter{PersonID: 999}, nil, 0},
		"rework":       {restoration.WorkFilter{Rework: true}, nil, 0},
		"of a car":     {restoration.WorkFilter{CarID: second.ID}, []string{"Ash tray", "Window frame"}, roll.Cars[1].Left},
		"by name":      {restoration.WorkFilter{CarID: first.ID, By: restoration.WorkByPiece, Falling: true}, []string{"Glove-box door", "Door cap", "Cant rail", "Ash tray"}, roll.Cars[0].Left},
		"a part":       {restoration.WorkFilter{Limit: 2, Offset: 3}, []string{"Glove-box door", "Ash tray"}, roll.Total.Left},
		"beyond":       {restoration.WorkFilter{Limit: 2, Offset: 30}, nil, roll.Total.Left},
		"strange sort": {restoration.WorkFilter{CarID: second.ID, By: "1; DROP TABLE cars"}, []string{"Ash tray", "Window frame"}, roll.Cars[1].Left},
	} {
		part, err := h.ListWork(ctx, tc.filter)
		require.NoError(t, err, name)
		var names []string
		for _, w := range part.Work {
			names = append(names, w.Piece.Name)
		}
		require.Equal(t, tc.want, names, name)
		require.Equal(t, tc.left, part.Left, name)
	}
}

// Rework is what a piece that was sent back has to do again, and what can be begun at
// once is a part of what its pieces have left.
func TestListWorkTellsOfRework(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p := h.onePiece(t, "26-014")
	h.mustEnter(t, h.tick(p.Steps[0], 15),
		restoration.Event{ID: newID(), Kind: restoration.KindSendBack, PieceID: p.ID, At: h.clock.Now(),
			Payload: restoration.Payload{Defect: restoration.DefectOther, Stage: p.Steps[0].Stage, Note: "rust again"}})
	after := h.piece(t, p.ID)
	part, err := h.ListWork(ctx, restoration.WorkFilter{Rework: true})
	require.NoError(t, err)
	require.Len(t, part.Work, 1)
	again := after.Steps[slices.IndexFunc(after.Steps, func(s restoration.Step) bool { return s.ID == after.Sum.NextStep })]
	require.Equal(t, again.Left, part.ReworkLeft)
	require.Equal(t, again.Left, part.NextLeft)
	require.Equal(t, part.ReworkLeft, part.Work[0].ReworkLeft)
	require.Equal(t, after.Sum.Left, part.Left)
}
