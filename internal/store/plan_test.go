package store_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestEditPiece(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	c, err := h.NewCar(ctx, h.by, aCar("26-014"), []restoration.NewPiece{aPiece("Ash tray")})
	require.NoError(t, err)
	p := h.pieces(t, c)[0]
	events := func() int { return len(h.history(t, restoration.HistoryFilter{PieceID: p.ID})) }

	d := p.Details
	d.Note, d.Scheme, d.SchemeReason = "to be matched", "Oak", "the owner's wish"
	require.NoError(t, h.EditPiece(ctx, h.by, p.ID, d, 0))
	require.Equal(t, d, h.piece(t, p.ID).Details)
	require.Equal(t, 1, events(), "the ledger knows nothing of notes")

	require.NoError(t, h.EditPiece(ctx, h.by, p.ID, d, p.RouteID))
	require.Equal(t, 1, h.count(t, "edit piece"), "an edit that changes nothing leaves no trace")

	d.Size, d.AreaM2, d.BothM2, d.Faults = restoration.SizeLarge, .3, .6, nil
	require.NoError(t, h.EditPiece(ctx, h.by, p.ID, d, 0))
	after := h.piece(t, p.ID)
	require.Equal(t, 2, events())
	require.Len(t, after.Steps, 8, "no fault, no repair")
	require.Greater(t, after.Steps[0].Planned.Likely, p.Steps[0].Planned.Likely)

	short := h.route(t, "Painted trim")
	h.mustEnter(t, h.tick(after.Steps[0], 0))
	requireTrouble(t, h.EditPiece(ctx, h.by, p.ID, d, short.ID), restoration.TroubleConflict, "", "keeps the route")
	require.Equal(t, p.RouteID, h.piece(t, p.ID).RouteID)
	h.mustEnter(t, h.entry(restoration.KindUntick, after.Steps[0].ID))
	require.NoError(t, h.EditPiece(ctx, h.by, p.ID, d, short.ID))
	require.Len(t, h.piece(t, p.ID).Steps, 2)
	requireTrouble(t, h.EditPiece(ctx, h.by, newID(), d, 0), restoration.TroubleNotFound, "", "no such piece")
	h.requireSound(t)
}

func TestChangePieces(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	c := h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Glove-box door", "Instrument panel")
	pieces := h.pieces(t, c)
	ids := []restoration.ID{pieces[2].ID, pieces[0].ID, pieces[2].ID}
	n, err := h.ChangePieces(ctx, h.by, ids, restoration.PieceChange{Set: new("panel"), Mounting: new(restoration.MountFixed)})
	require.NoError(t, err)
	require.Equal(t, 2, n)
	after := h.pieces(t, c)
	require.Equal(t, []string{"panel", "", "panel"}, []string{after[0].Set, after[1].Set, after[2].Set})
	require.Greater(t, after[0].Sum.Left, pieces[0].Sum.Left, "fixed in the car takes longer")

	n, err = h.ChangePieces(ctx, h.by, ids, restoration.PieceChange{Set: new("panel")})
	require.NoError(t, err)
	require.Zero(t, n)
	h.mustEnter(t, h.tick(pieces[2].Steps[0], 0))
	short := h.route(t, "Painted trim")
	_, err = h.ChangePieces(ctx, h.by, []restoration.ID{pieces[0].ID, pieces[2].ID}, restoration.PieceChange{RouteID: &short.ID})
	requireTrouble(t, err, restoration.TroubleConflict, "", "keeps the route")
	require.Equal(t, pieces[0].RouteID, h.piece(t, pieces[0].ID).RouteID, "all or nothing")
	h.requireSound(t)
}

func TestOvertypePlan(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p := h.onePiece(t, "26-014")
	require.NoError(t, h.OvertypePlan(ctx, h.by, p.Steps[2].ID, restoration.Hours3(1, 2, 3)))
	s := h.piece(t, p.ID).Steps[2]
	require.True(t, s.Overtyped)
	require.Equal(t, restoration.Minutes(120), s.Left)
	requireTrouble(t, h.OvertypePlan(ctx, h.by, p.Steps[2].ID, restoration.Hours3(3, 2, 1)), restoration.TroubleConflict, "", "low to likely to high")
	requireTrouble(t, h.OvertypePlan(ctx, h.by, newID(), restoration.Hours3(1, 2, 3)), restoration.TroubleNotFound, "", "no such step")
	h.requireSound(t)
}

func TestCopyPieces(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	c, err := h.NewCar(ctx, h.by, aCar("26-014"), []restoration.NewPiece{aPiece("Ash tray"), aPiece("Wiper knob")})
	require.NoError(t, err)
	gone := h.pieces(t, c)[1]
	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindRemove, PieceID: gone.ID, At: h.clock.Now()})
	copied, err := h.CopyPieces(ctx, c.ID)
	require.NoError(t, err)
	want := aPiece("Ash tray")
	want.Route, want.LiesAt, want.Grade, want.Faults, want.Note = restoration.StockRouteKey, "", 0, nil, ""
	require.Equal(t, []restoration.NewPiece{want}, copied)
	removed, err := h.RemovedPieces(ctx, c.ID)
	require.NoError(t, err)
	require.Len(t, removed, 1)
	require.Equal(t, gone.ID, removed[0].ID)
}

// Sending back takes the hours of the size that the piece had then, whatever the
// office finds out since.
func TestReplayKnowsTheSizeOfThen(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p := h.onePiece(t, "26-014")
	h.mustEnter(t, h.tick(p.Steps[0], 0), h.tick(p.Steps[1], 0))
	e := restoration.Event{ID: newID(), Kind: restoration.KindSendBack, PieceID: p.ID, At: h.clock.Now()}
	e.Stage, e.Defect = "primed", "pinholes"
	h.mustEnter(t, e)
	d := p.Details
	d.Size = restoration.SizeSmall
	require.NoError(t, h.EditPiece(t.Context(), h.by, p.ID, d, 0))
	require.True(t, h.piece(t, p.ID).Sum.SentBack)
	h.requireSound(t)
}

func TestWorkAndOverrides(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	tom := h.technician(t, "Tom Achterberg")
	c := h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Glove-box door")
	p := h.pieces(t, c)[0]
	h.mustEnter(t, h.tick(p.Steps[0], 15), h.tick(p.Steps[1], 15))
	since := h.clock.Now()
	early := h.tick(p.Steps[2], 20)
	early.Reason = "baked at 60 °C"
	h.mustEnter(t, early)
	start := h.entry(restoration.KindStart, p.Steps[3].ID)
	h.clock.advance(24 * time.Hour)
	start.At, start.PersonID = h.clock.Now(), tom.ID
	h.mustEnter(t, start)

	keys, err := h.WorkKeys(ctx)
	require.NoError(t, err)
	require.Len(t, keys, 2)
	slices.SortFunc(keys, func(a, b restoration.WorkKey) int { return strings.Compare(a.Name, b.Name) })
	work, err := h.WorkOf(ctx, []restoration.ID{keys[1].PieceID, newID(), keys[0].PieceID})
	require.NoError(t, err)
	require.Len(t, work, 2, "what isn't there is left out")
	require.Equal(t, keys[1].PieceID, work[0].Piece.ID, "as asked")
	for i, w := range work {
		requireKeyOf(t, w, keys[1-i])
	}
	w := work[1]
	require.Equal(t, []string{"26-014", "Ash tray", "Grounded", "Tom Achterberg"}, []string{w.Car.WorkOrder, w.Piece.Name, w.Stage.Name, w.HandName})
	require.Equal(t, h.clock.Now(), w.HandSince)
	require.Equal(t, []int{4, 1, 0}, []int{w.NextPosition, w.Pass, len(w.Piece.Steps)})
	require.Equal(t, w.Planned.Likely, w.StepLeft)
	require.Equal(t, h.piece(t, p.ID).Sum, w.Piece.Sum)
	require.Zero(t, work[0].HandBy)
	all, err := h.ListWork(ctx, restoration.WorkFilter{})
	require.NoError(t, err)
	require.Equal(t, []restoration.Work{work[1], work[0]}, all.Work, "in the order of the interior plan")

	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindMove, PieceID: p.ID, At: h.clock.Now(), Payload: restoration.Payload{Place: "Rack 2"}})
	places, err := h.Places(ctx)
	require.NoError(t, err)
	require.Equal(t, []string{"Rack 2"}, places)

	against, err := h.Overrides(ctx, since)
	require.NoError(t, err)
	require.Len(t, against, 1)
	require.Equal(t, early.ID, against[0].Event.ID)
	against, err = h.Overrides(ctx, since.Add(time.Minute))
	require.NoError(t, err)
	require.Empty(t, against)
}

// requireKeyOf wants the key to say of the work what it says of itself.
func requireKeyOf(t *testing.T, w restoration.Work, k restoration.WorkKey) {
	t.Helper()
	want := restoration.WorkKey{Car: &w.Car, PieceID: w.Piece.ID, RouteID: w.Piece.RouteID, Name: w.Piece.Name, Set: w.Piece.Set, Look: w.Piece.Sum.Look,
		Stage: w.Stage.Key, StageName: w.Stage.Name,
		NextPosition: w.NextPosition, Left: w.Piece.Sum.Left, HandBy: w.HandBy, HandSince: w.HandSince,
		GateFrom: w.Piece.Sum.GateFrom, LateFrom: w.Piece.Sum.LateFrom, SentBack: w.Piece.Sum.SentBack}
	if w.Piece.Holding != nil {
		want.HeldSince = w.Piece.Holding.Since
	}
	require.Equal(t, want, k)
}

// A look is needed at what is held, in hand, or about to run out of its recoat
// window; each piece is listed once, though two of these hold.
func TestUrgentWorkIsThePartThatNeedsALook(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	c := h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Cant rail", "Door cap", "Glove-box door")
	pieces := map[string]restoration.Piece{}
	for _, p := range h.pieces(t, c) {
		pieces[p.Name] = p
	}
	start := h.entry(restoration.KindStart, pieces["Ash tray"].Steps[0].ID)
	hold := func(name string) restoration.Event {
		return restoration.Event{ID: newID(), Kind: restoration.KindHold, PieceID: pieces[name].ID, At: h.clock.Now(),
			Payload: restoration.Payload{Reason: "waits for a clip"}}
	}
	stripped := h.tick(pieces["Door cap"].Steps[0], 15)
	h.mustEnter(t, start, hold("Ash tray"), hold("Cant rail"), stripped)
	shut := h.piece(t, pieces["Door cap"].ID).Sum.LateFrom
	require.False(t, shut.IsZero(), "bare steel waits for no one")

	keys := map[restoration.ID]restoration.WorkKey{}
	all, err := h.WorkKeys(ctx)
	require.NoError(t, err)
	for _, k := range all {
		keys[k.PieceID] = k
	}
	for until, names := range map[time.Time][]string{
		shut:                  {"Ash tray", "Cant rail"},
		shut.Add(time.Second): {"Ash tray", "Cant rail", "Door cap"},
	} {
		work, err := h.UrgentWork(ctx, until)
		require.NoError(t, err)
		var listed []string
		for _, w := range work {
			listed = append(listed, w.Piece.Name)
			requireKeyOf(t, w, keys[w.Piece.ID])
		}
		require.ElementsMatch(t, names, listed)
	}
}

// What has nothing left to do, and is not delivered yet.
func TestFinishedKeys(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	open := h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Cant rail", "Door cap")
	gone := h.car(t, "26-015", "1937 Brennick Ten", "", "Ash tray")
	pieces := h.pieces(t, open)
	for _, p := range []restoration.Piece{pieces[0], pieces[1], h.pieces(t, gone)[0]} {
		h.finish(t, p.ID)
	}
	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindHold, PieceID: pieces[0].ID, At: h.clock.Now(), Payload: restoration.Payload{Reason: "waits for a clip"}},
		restoration.Event{ID: newID(), Kind: restoration.KindRemove, PieceID: pieces[1].ID, At: h.clock.Now()},
		restoration.Event{ID: newID(), Kind: restoration.KindCarDeliver, CarID: gone.ID, PersonID: h.owner.ID, At: h.clock.Now()})
	p := h.piece(t, pieces[0].ID)
	keys, err := h.FinishedKeys(ctx)
	require.NoError(t, err)
	require.Len(t, keys, 1)
	require.Equal(t, "26-014", keys[0].Car.WorkOrder)
	keys[0].Car = nil
	require.Equal(t, restoration.WorkKey{PieceID: p.ID, RouteID: p.RouteID, Name: p.Name, Set: p.Set, Look: restoration.LookFitted, HeldSince: p.Holding.Since}, keys[0])
}
