package main

import (
	"os"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store/storetest"
	"scumble/internal/trimlist"
)

// A whole interior, from its trim list to the delivered car, every step of every
// piece ticked; the ledger agrees at the end.
func TestFromTrimListToDelivered(t *testing.T) {
	t.Parallel()
	file, err := os.Open("../../testdata/brennick-eight-saloon.csv")
	require.NoError(t, err)
	defer file.Close()
	list, err := trimlist.ParsePieces(file, trimlist.Known{Routes: []string{restoration.StockRouteKey}})
	require.NoError(t, err)
	require.Empty(t, list.Faults)
	require.GreaterOrEqual(t, len(list.Pieces), 40)

	s := storetest.New(t)
	car, err := s.NewCar(t.Context(), restoration.Actor{}, restoration.Car{Name: "1936 Brennick Eight"}, list.Pieces)
	require.NoError(t, err)
	enter := func(e restoration.Event) {
		t.Helper()
		e.ID, e.CarID, e.At = restoration.ID(uuid.Must(uuid.NewV7())), car.ID, time.Now()
		out, err := s.Enter(t.Context(), []restoration.Event{e})
		require.NoError(t, err)
		require.Equal(t, restoration.Applied, out[0].Result, out[0].Reason)
	}
	pieces, err := s.CarPieces(t.Context(), car.ID)
	require.NoError(t, err)
	quarter := restoration.Minutes(15)
	for _, p := range pieces {
		if p.Holding != nil { // the missing one was found
			enter(restoration.Event{Kind: restoration.KindRelease, PieceID: p.ID})
		}
		for _, step := range p.Steps {
			stage, _ := restoration.StockRoute().Stage(step.Stage)
			tick := restoration.Event{Kind: restoration.KindTick, StepID: step.ID,
				Payload: restoration.Payload{Hours: &quarter, Reason: "caught up", Checks: []string{restoration.CheckScuffed}}}
			for _, c := range stage.Checks {
				tick.Checks = append(tick.Checks, c.Key)
			}
			enter(tick)
		}
	}
	enter(restoration.Event{Kind: restoration.KindCarDeliver})

	roll, err := s.CarRoll(t.Context(), car.ID)
	require.NoError(t, err)
	require.Equal(t, restoration.CarDelivered, roll.Car.State)
	require.Zero(t, roll.Left)
	require.InDelta(t, 100, roll.PercentDone(), 1e-9)
	require.Equal(t, len(list.Pieces), roll.Finished)
	differences, err := s.Verify(t.Context())
	require.NoError(t, err)
	require.Empty(t, differences)
}
