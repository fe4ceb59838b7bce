package store_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func newID() restoration.ID { return restoration.ID(uuid.Must(uuid.NewV7())) }

// entry begins an event about a step at the shop's hour.
func (h house) entry(k restoration.Kind, step restoration.ID) restoration.Event {
	return restoration.Event{ID: newID(), Kind: k, StepID: step, PersonID: h.owner.ID, At: h.clock.Now()}
}

// tick begins a tick that answers every check of the stock route.
func (h house) tick(s restoration.Step, hours restoration.Minutes) restoration.Event {
	e := h.entry(restoration.KindTick, s.ID)
	stage, _ := restoration.StockRoute().Stage(s.Stage)
	for _, c := range stage.Checks {
		e.Checks = append(e.Checks, c.Key)
	}
	if hours > 0 {
		e.Hours = &hours
	}
	return e
}

// enter enters events and gives what became of them.
func (h house) enter(t testing.TB, events ...restoration.Event) []restoration.Outcome {
	t.Helper()
	out, err := h.Enter(t.Context(), events)
	require.NoError(t, err)
	require.Len(t, out, len(events))
	return out
}

// mustEnter requires each event to be applied.
func (h house) mustEnter(t testing.TB, events ...restoration.Event) {
	t.Helper()
	for _, o := range h.enter(t, events...) {
		require.Equal(t, restoration.Applied, o.Result, o.Reason)
	}
}

// onePiece takes in a car with one piece on the stock route.
func (h house) onePiece(t testing.TB, workOrder string) restoration.Piece {
	t.Helper()
	return h.pieces(t, h.car(t, workOrder, "1936 Brennick Eight", "", "Ash tray"))[0]
}

func (h house) pieces(t testing.TB, c restoration.Car) []restoration.Piece {
	t.Helper()
	pieces, err := h.CarPieces(t.Context(), c.ID)
	require.NoError(t, err)
	return pieces
}

func (h house) piece(t testing.TB, id restoration.ID) restoration.Piece {
	t.Helper()
	p, err := h.FindPiece(t.Context(), id)
	require.NoError(t, err)
	return p
}

func (h house) history(t testing.TB, f restoration.HistoryFilter) []restoration.Entry {
	t.Helper()
	entries, err := h.History(t.Context(), f)
	require.NoError(t, err)
	return entries
}

// requireSound requires that the ledger and its projection agree.
func (h house) requireSound(t testing.TB) {
	t.Helper()
	differences, err := h.Verify(t.Context())
	require.NoError(t, err)
	require.Empty(t, differences)
}

// finish ticks every step of a piece, letting each wait pass.
func (h house) finish(t testing.TB, id restoration.ID) {
	t.Helper()
	for _, s := range h.piece(t, id).Steps {
		h.clock.advance(7 * 24 * time.Hour)
		e := h.tick(s, 30)
		e.Checks = append(e.Checks, restoration.CheckScuffed)
		h.mustEnter(t, e)
	}
}

func anyContains(list []string, words string) bool {
	return slices.ContainsFunc(list, func(s string) bool { return strings.Contains(s, words) })
}
