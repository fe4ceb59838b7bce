package main

import (
	"strconv"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// A clone must be a shop that works: the same hours as its model, the same number of
// entries, and every step that is to be ticked may be.
func TestClonesWorkAsTheirModel(t *testing.T) {
	t.Parallel()
	const cars = 3
	ctx, url := t.Context(), storetest.URL(t)
	require.NoError(t, workFirstCar(ctx, url))
	require.NoError(t, cloneCars(ctx, url, cars))
	s := storetest.Open(t, url, store.Options{})

	shop, err := s.Roll(ctx, false)
	require.NoError(t, err)
	require.Len(t, shop.Cars, cars)
	model := shop.Cars[0]
	require.Equal(t, piecesPerCar, model.Pieces)
	require.Equal(t, 5, model.Finished)
	for _, figure := range []restoration.Minutes{model.Left, model.Workable, model.Waiting, model.Held, model.Logged, model.ReworkLeft} {
		require.Positive(t, figure, "the model has some of everything")
	}
	for _, clone := range shop.Cars[1:] {
		require.Equal(t, model.Roll, clone.Roll, "car %s", clone.Car.WorkOrder)
	}

	conn := storetest.Superuser(t, url)
	rows, err := conn.Query(ctx, `SELECT count(*) FROM shop_events GROUP BY car_id`)
	require.NoError(t, err)
	entries, err := pgx.CollectRows(rows, pgx.RowTo[int])
	require.NoError(t, err)
	require.Equal(t, []int{piecesPerCar * eventsPerPiece, piecesPerCar * eventsPerPiece, piecesPerCar * eventsPerPiece}, entries)

	ticks, err := openTicks(ctx, url)
	require.NoError(t, err)
	require.Greater(t, len(ticks), cars*flatTicks, "enough for the shop of one car")
	first := ticks[:cars*(ordinary-ordinary/len(doneSteps))] // each piece once, so none is in a wait
	for _, k := range first {
		out, err := s.Enter(ctx, []restoration.Event{{ID: newID(), Kind: restoration.KindTick, StepID: k.step, At: time.Now(), PersonID: 2,
			Payload: restoration.Payload{Checks: k.checks}}})
		require.NoError(t, err)
		require.Equal(t, restoration.Applied, out[0].Result, out[0].Reason)
	}
}

// The script of pgbench must name the rows of its pieces, whatever their number.
func TestTheScriptNamesTheRowsOfItsPieces(t *testing.T) {
	t.Parallel()
	const cars = 3
	ctx, url := t.Context(), storetest.URL(t)
	require.NoError(t, workFirstCar(ctx, url))
	require.NoError(t, cloneCars(ctx, url, cars))
	text, err := recordTick(ctx, url, cars)
	require.NoError(t, err)
	require.Contains(t, text, `\set number random(2, 3)`)
	require.NotContains(t, text, "$", "every argument is in its place")
	require.Regexp(t, `(?s)begin;\n\\startpipeline\n(SELECT [^\n]+;\n){4}\\endpipeline\n.*UPDATE finish_steps [^\n]+;\nUPDATE components [^\n]+;\n\\endpipeline\ncommit;\n$`, text)

	conn := storetest.Superuser(t, url)
	for number := 2; number <= cars; number++ {
		for turn := range ordinary / len(doneSteps) {
			piece := (number-1)*piecesPerCar + turn*len(doneSteps) + scripted + 1
			var found int
			err := conn.QueryRow(ctx, `SELECT count(*) FROM finish_steps s JOIN components p ON p.id = s.component_id
				WHERE p.id = md5('piece ' || $1::text)::uuid AND s.id = md5('step ' || $1::text || ' ' || '4' || ' ' || '1')::uuid
				AND s.stage = 'grounded' AND p.car_id = $2`, strconv.Itoa(piece), number).Scan(&found)
			require.NoError(t, err)
			require.Equal(t, 1, found, "piece %d", piece)
		}
	}
}
