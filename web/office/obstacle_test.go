package office

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func texts(list []obstacle) []string {
	var out []string
	for _, x := range list {
		out = append(out, x.Text)
	}
	return out
}

func rollOf(state restoration.CarState, pieces ...restoration.Piece) restoration.Roll {
	return restoration.SumUp(state, pieces, map[int64]restoration.Route{1: stock()}, noon)
}

func TestObstaclesWorstFirst(t *testing.T) {
	t.Parallel()
	held := opened(t, "glove-box door", restoration.Details{})
	held.does(restoration.Event{Kind: restoration.KindHold, At: noon.AddDate(0, 0, -3), Payload: restoration.Payload{Reason: "hinge pin to be found"}})
	shut := opened(t, "ash tray", restoration.Details{})
	shut.ticks(1, noon.Add(-30*time.Hour))
	pieces := []restoration.Piece{held.Piece, shut.Piece}
	v := testView()
	v.Car.State, v.Car.HoldReason, v.Car.HeldSince = restoration.CarOnHold, "owner abroad", noon.AddDate(0, 0, -9)
	// A medium piece takes 9.5 h: 1 stripped, 0.7, 2, 0.5, 1.2, 1.5, 2, 0.6. The tray has 1 h less.
	require.Equal(t, []string{
		"The car is on hold since Wed 18 Mar 2026: owner abroad.",
		"Glove-box door is held for 3 days: hinge pin to be found.",
		"The recoat window of ash tray is shut.",
		"Most of the work lies in blocked: 4 h on 2 pieces.", // and as much in cut, which comes later,
	}, texts(v.obstacles(pieces, rollOf(v.Car.State, pieces...))))
}

func TestObstacleNothingButWaits(t *testing.T) {
	t.Parallel()
	first := opened(t, "cap", restoration.Details{})
	first.ticks(2, noon.Add(-4*time.Hour))
	second := opened(t, "rail", restoration.Details{})
	second.ticks(2, noon.Add(-2*time.Hour))
	pieces := []restoration.Piece{second.Piece, first.Piece}
	list := testView().obstacles(pieces, rollOf(restoration.CarInWork, pieces...))
	require.Equal(t, "Nothing can be worked now: 15.6 h wait for paint to harden.", list[0].Text)
	require.Equal(t, "First again is cap, Sat 00:00 (in 12 h).", list[0].Help)
	require.Equal(t, piecePath(first.ID), list[0].Href)
}

func TestObstacleManyHeldAreCounted(t *testing.T) {
	t.Parallel()
	var pieces []restoration.Piece
	for range 5 {
		w := opened(t, "cap", restoration.Details{})
		w.does(restoration.Event{Kind: restoration.KindHold, Payload: restoration.Payload{Reason: "lost"}})
		pieces = append(pieces, w.Piece)
	}
	list := testView().obstacles(pieces, rollOf(restoration.CarInWork, pieces...))
	require.Equal(t, "2 more pieces are held.", list[3].Text)
	require.Equal(t, "/office/cars/26-014?now=held", list[3].Href)
}

func TestNoObstacleWhenNothingIsLeft(t *testing.T) {
	t.Parallel()
	w := opened(t, "cap", restoration.Details{})
	w.ticks(8, noon)
	require.Empty(t, testView().obstacles([]restoration.Piece{w.Piece}, rollOf(restoration.CarInWork, w.Piece)))
	require.Empty(t, testView().obstacles(nil, restoration.Roll{}))
	v := testView()
	v.Car.State = restoration.CarDelivered
	open := opened(t, "cap", restoration.Details{})
	require.Empty(t, v.obstacles([]restoration.Piece{open.Piece}, rollOf(restoration.CarDelivered, open.Piece)))
}
