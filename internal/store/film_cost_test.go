package store_test

import (
	"context"
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// trips counts the round trips to the database: each lone statement, and each batch.
type trips struct{ n atomic.Int64 }

func (c *trips) TraceQueryStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceQueryStartData) context.Context {
	c.n.Add(1)
	return ctx
}
func (*trips) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

func (c *trips) TraceBatchStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchStartData) context.Context {
	c.n.Add(1)
	return ctx
}
func (*trips) TraceBatchQuery(context.Context, *pgx.Conn, pgx.TraceBatchQueryData) {}
func (*trips) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData)     {}

// A tick takes the begin, what it is about, what it changes, and the commit. What the
// film gates asks for the film besides, all at once.
func TestWhatAnEntryAsksOfTheDatabase(t *testing.T) {
	t.Parallel()
	var count trips
	clock := &handClock{now: time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)}
	h := house{Store: storetest.Open(t, storetest.URL(t), store.Options{Now: clock.Now, Tracer: &count, MaxConns: 1}), clock: clock}
	owner, err := h.CreateOwner(t.Context(), "Olga Reuter", "a hash")
	require.NoError(t, err)
	h.owner, h.by = owner, restoration.Actor{PersonID: owner.ID}
	s := paint(t, h)
	bare := h.onePiece(t, "")
	h.mustEnter(t, h.tick(bare.Steps[0], 15)) // the statements are prepared, the route is known
	h.mustEnter(t, s.coat(1), s.tick(s.step, 15))
	untick := s.entry(restoration.KindUntick, s.step.ID)
	h.mustEnter(t, untick)

	for _, c := range []struct {
		name  string
		event restoration.Event
		trips int64
	}{
		{"a tick", h.tick(bare.Steps[1], 15), 4},
		{"a note", func() restoration.Event {
			e := h.entry(restoration.KindNote, restoration.ID{})
			e.PieceID, e.Note = bare.ID, "dry"
			return e
		}(), 4},
		{"a tick that the film gates", s.tick(s.step, 15), 5},
		{"a coat", s.coat(2), 5},
		{"a reading", s.reading(restoration.Reading{Kind: restoration.ReadFilm, FilmUM: []float64{120, 121, 122}}), 5},
	} {
		count.n.Store(0)
		h.mustEnter(t, c.event)
		require.Equal(t, c.trips, count.n.Load(), c.name)
	}
}

// An instrument's file of 10,000 readings on 500 pieces.
func TestTenThousandReadings(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	names := make([]string, 500)
	for i := range names {
		names[i] = fmt.Sprintf("Garnish moulding %d", i+1)
	}
	car := h.car(t, "26-014", "1936 Brennick Eight", "", names...)
	pieces := h.pieces(t, car)
	var events []restoration.Event
	for i := range 20 {
		for _, p := range pieces {
			e := h.entry(restoration.KindReading, restoration.ID{})
			e.PieceID = p.ID
			e.Reading = &restoration.Reading{Kind: restoration.ReadFilm, Spot: fmt.Sprint(i), FilmUM: []float64{100, float64(100 + i), 102}}
			events = append(events, e)
		}
	}
	h.mustEnter(t, events...)
	film, err := h.CarFilm(t.Context(), car.ID)
	require.NoError(t, err)
	require.Len(t, film, 10_000)
	h.requireSound(t)
}
